package analysis

import (
	"fmt"
	"math"
	"sort"

	"sandarac/archive/exposure"
	"sandarac/archive/record"
)

// Table is an exposure table to print for one batch under one kind of light.
type Table struct {
	Batch, Light string
	EI           float64
	EI95         *Limits
	Judged       int       // judged plates of the batch under the light
	EV100        []float64 // rows
	Stops        []float64 // columns, f-numbers
	Times        [][]Time  // a row per EV
	Notes        []string
}

// Time is a time in seconds, as computed and as counted; Limits95 is rounded
// outward, nil where there is no interval.
type Time struct {
	Seconds  float64
	Count    float64
	Limits95 *Limits
}

// The f-numbers a table may have, and how many of each side it takes.
var fullStops = []float64{1.4, 2, 2.8, 4, 5.6, 8, 11, 16, 22}

const (
	tableStops = 5
	tableRows  = 12
)

// ExposureTable makes the table of a batch (or of any batch, when batch is
// empty or has no plates) under a kind of light, at the report's day and for
// a far subject: nearer ones take the bellows factor besides. It runs over the
// light readings and the stops the archive has used, and one step beyond. The
// error wraps ErrNoData where the archive does not know the light.
func (r *Report) ExposureTable(batch, light string) (*Table, error) {
	t := &Table{Batch: batch, Light: light}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, x := range r.rows {
		if !x.modelled() || x.light != light {
			continue
		}
		lo, hi = math.Min(lo, x.ev100), math.Max(hi, x.ev100)
		if x.collodion == batch {
			t.Judged++
		}
	}
	if lo > hi {
		return nil, fmt.Errorf("an exposure table for %q: %w", light, ErrNoData)
	}
	aim, err := r.aimOf(batch, light)
	if err != nil {
		return nil, err
	}
	dose, interval := aim.dose, aim.interval
	t.EI, t.EI95 = exposure.EIFromDose(dose), eiLimits(interval)
	if interval == nil {
		t.Notes = append(t.Notes, "No interval: it needs plates judged under, right and over.")
	}
	if t.Judged == 0 {
		t.Notes = append(t.Notes, "No judged plate of this batch under this light: the aim is that of the others.")
	} else if aim.whose == ofLight {
		t.Notes = append(t.Notes, "No plate of this batch is right under this light yet: the aim is that of the others.")
	}
	first := math.Floor(lo) - 1
	rows := min(int(math.Ceil(hi)-first)+2, tableRows)
	for i := range rows {
		t.EV100 = append(t.EV100, first+float64(i))
	}
	t.Stops = r.stops()
	for _, ev := range t.EV100 {
		var line []Time
		for _, n := range t.Stops {
			line = append(line, timeFor(setting{ev100: ev, stop: n}, dose, interval))
		}
		t.Times = append(t.Times, line)
	}
	return t, nil
}

func timeFor(s setting, dose float64, interval *Limits) Time {
	sec, err := s.seconds(dose)
	if err != nil {
		return Time{}
	}
	t := Time{Seconds: sec, Count: exposure.Countable(sec, exposure.Nearest)}
	if interval != nil {
		lo, err1 := s.seconds(interval[0])
		hi, err2 := s.seconds(interval[1])
		if err1 == nil && err2 == nil {
			t.Limits95 = limits(exposure.Countable(lo, exposure.Down), exposure.Countable(hi, exposure.Up))
		}
	}
	return t
}

// aimed is an aim dose with its interval, nil where there is none.
type aimed struct {
	dose     float64
	interval *Limits
	whose    whose // of an aim without a model
}

// aimOf is the aim of a batch under a light at the report's day, by the rule
// the advice follows; but plates under another light give no aim.
func (r *Report) aimOf(batch, light string) (aimed, error) {
	m, q := r.chosen(batch, light)
	if m == nil {
		return aimed{}, ErrNoData
	}
	if m.fitted != nil {
		p := m.fitted.position(q, 0)
		return aimed{dose: p.dose, interval: p.interval()}, nil
	}
	mid, ok := middleOf(r.judged(), batch, light)
	if !ok || mid.whose == ofAll {
		return aimed{}, fmt.Errorf("no plate is judged right under %q: %w", light, ErrNoData)
	}
	dose, err := exposure.DoseFromEI(mid.ei)
	return aimed{dose: dose, whose: mid.whose}, err
}

// chosen is the report's model to ask: with age, once ages span a month and
// the batch's age is known.
func (r *Report) chosen(batch, light string) (*ExposureModel, question) {
	q := question{batch: batch, light: light}
	if m := r.ExposureModelAge; m != nil && m.fitted != nil {
		if age, ok := askedAge(r.archive, batch, r.AsOf, m.fitted.data.rows); ok {
			q.age = age
			return m, q
		}
	}
	return r.ExposureModel, q
}

// askedAge is the age of a batch on a day, kept within the ages at which plates
// came out right; false unless those span a month and the batch's is known.
// Only plates judged right widen the span: one failure with a very old
// collodion gives no licence to carry the effect of age so far.
func askedAge(a *record.Archive, batch string, day record.Date, aged []row) (float64, bool) {
	b, ok := a.Batch("collodion", batch)
	var right []row
	oldest := 0
	for _, x := range aged {
		if x.right() {
			right = append(right, x)
			oldest = max(oldest, x.age)
		}
	}
	if !ok || b.Mixed.IsZero() || day.IsZero() || day.Before(b.Mixed) || span(right) < monthDays {
		return 0, false
	}
	return float64(min(day.DaysSince(b.Mixed), oldest)), true
}

// stops are the full stops around those used, from the widest lens on.
func (r *Report) stops() []float64 {
	widest := math.Inf(1)
	for _, x := range r.rows {
		if x.modelled() {
			widest = math.Min(widest, x.stop)
		}
	}
	if s := r.archive.Studio; s != nil {
		for _, l := range s.Lenses {
			if l.WidestStop > 0 {
				widest = math.Min(widest, l.WidestStop)
			}
		}
	}
	at := sort.Search(len(fullStops), func(i int) bool { return fullStops[i] > widest*1.06 })
	at = max(0, min(at-1, len(fullStops)-tableStops))
	return fullStops[at : at+tableStops]
}
