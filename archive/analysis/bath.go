package analysis

import (
	"slices"
	"sort"

	"sandarac/archive/chemistry/logbook"
	"sandarac/archive/record"
	"sandarac/archive/stats"
)

// Bath is a silver bath over its working life.
type Bath struct {
	Batch    string `json:"batch"`
	Plates   int    `json:"plates"` // all that passed through it
	Counted  int    `json:"counted"`
	Keepers  int    `json:"keepers"`
	SinceNow int    `json:"plates_since_maintenance"`
	// Wear is the record by plates since the last maintenance.
	Wear []Wear `json:"wear"`
	// Signal is the plate at which the chart said "test the bath", Change the
	// first plate of the run that led there; empty while it has not.
	Signal string   `json:"signal"`
	Change string   `json:"change"`
	Notes  []string `json:"notes"`

	Chart []ChartPoint `json:"-"`
}

// Wear is the plates made while the bath had taken a number of plates.
type Wear struct {
	From     int     `json:"from"` // plates since maintenance, counted from 1
	To       int     `json:"to"`   // 0: and more
	Plates   int     `json:"plates"`
	Keepers  int     `json:"keepers"`
	Wilson95 *Limits `json:"wilson95"`
	Flawed   int     `json:"flawed"` // with a flaw that points to the bath
	Flaw95   *Limits `json:"flawed95"`
}

// ChartPoint is one plate on a bath's control chart.
type ChartPoint struct {
	Plate  string
	Day    record.Date
	Since  int     // plates since the last maintenance
	Value  float64 // moving average of outcome less expectation
	Limit  float64 // the chart signals below -Limit
	Signal bool
}

// The chart's constants: λ 0.05 and L 2.5 find a failure rate doubled from
// 0.3 to 0.6 in about 12 plates, with one false alarm in some 500.
const (
	chartLambda = 0.05
	chartWidth  = 2.5
	// changeSlack is the allowance of the sums that look back for the change.
	changeSlack = 0.1
)

// bathFlaws are the trade's terms for what a tired or dirty bath does to a
// plate.
var bathFlaws = []string{"fog", "comets", "pinholes", "black-spots", "scum", "oily-lines", "vertical-lines", "fantasy"}

var wearSteps = []int{10, 20, 40, 80}

// maintained says whether a log entry did something to the bath; readings and
// remarks did not.
func maintained(e record.LogEntry) bool {
	m, ok := logbook.Find(e.Action)
	return !ok || m.Action.Tends()
}

// bathPlate is a plate with its place in the bath's life.
type bathPlate struct {
	row
	since int
}

func (r *Report) baths() {
	by := map[string][]row{}
	for _, x := range r.rows {
		if x.bath != "" {
			by[x.bath] = append(by[x.bath], x)
		}
	}
	var names []string
	for b := range by {
		names = append(names, b)
	}
	sort.Strings(names)
	for _, id := range names {
		r.Baths = append(r.Baths, r.bath(id, by[id]))
	}
}

func (r *Report) bath(id string, rows []row) Bath {
	b := Bath{Batch: id, Plates: len(rows), Wear: []Wear{}, Notes: []string{}}
	var days []record.Date
	batch, known := r.archive.Batch("bath", id)
	if known {
		for _, e := range batch.Log {
			if !e.Date.IsZero() && maintained(e) {
				days = append(days, e.Date)
			}
		}
		slices.SortFunc(days, func(a, b record.Date) int { return a.DaysSince(b) })
	}
	lived := since(rows, days)
	if n := len(lived); n > 0 {
		b.SinceNow = lived[n-1].since
		if len(days) > 0 && days[len(days)-1].After(lived[n-1].day) {
			b.SinceNow = 0
		}
	}
	for _, x := range lived {
		if x.counted() {
			b.Counted++
			if x.keeper() {
				b.Keepers++
			}
		}
	}
	b.Wear = wear(lived)
	r.chart(&b, lived)
	return b
}

// since counts plates from the last maintenance. An entry has a day, not an
// hour, and is taken as done before that day's plates.
func since(rows []row, maintenance []record.Date) []bathPlate {
	out := make([]bathPlate, len(rows))
	n, next := 0, 0
	for i, x := range rows {
		for next < len(maintenance) && !maintenance[next].After(x.day) {
			n, next = 0, next+1
		}
		n++
		out[i] = bathPlate{x, n}
	}
	return out
}

func wear(lived []bathPlate) []Wear {
	out := []Wear{}
	from := 1
	for _, to := range append(slices.Clone(wearSteps), 0) {
		w := Wear{From: from, To: to}
		for _, x := range lived {
			if !x.counted() || x.since < from || (to > 0 && x.since > to) {
				continue
			}
			w.Plates++
			if x.keeper() {
				w.Keepers++
			}
			if slices.ContainsFunc(x.flaws, func(f string) bool { return slices.Contains(bathFlaws, f) }) {
				w.Flawed++
			}
		}
		from = to + 1
		if w.Plates == 0 {
			continue
		}
		if i, err := stats.Wilson(w.Keepers, w.Plates, stats.Level95); err == nil {
			w.Wilson95 = limits(i.Lo, i.Hi)
		}
		if i, err := stats.Wilson(w.Flawed, w.Plates, stats.Level95); err == nil {
			w.Flaw95 = limits(i.Lo, i.Hi)
		}
		out = append(out, w)
	}
	return out
}

// chart runs the risk-adjusted EWMA: each plate's outcome less the keeper
// model's probability, so that a poor batch or bad light is not blamed on the
// bath. After a signal the chart starts afresh at the next maintenance.
func (r *Report) chart(b *Bath, lived []bathPlate) {
	if r.KeeperModel == nil || r.KeeperModel.fitted == nil {
		b.Notes = append(b.Notes, "No control chart: it needs the keeper model.")
		return
	}
	k := r.KeeperModel.fitted
	var charted []bathPlate
	for _, x := range lived {
		if x.counted() && k.covers(x.row) {
			charted = append(charted, x)
		}
	}
	for len(charted) > 0 {
		points, at := k.run(charted)
		if points == nil {
			break
		}
		end := len(charted)
		if at >= 0 {
			for end = at + 1; end < len(charted) && charted[end].since > charted[end-1].since; end++ {
			}
			if b.Signal == "" {
				b.Signal, b.Change = charted[at].id, charted[k.change(charted[:at+1])].id
			}
		}
		b.Chart = append(b.Chart, points[:end]...)
		charted = charted[end:]
	}
	if len(b.Chart) == 0 {
		b.Notes = append(b.Notes, "No control chart: no plate of this bath is in the keeper model.")
	}
}

// residuals are outcomes less the model's probabilities, with their variance.
func (k *keeperFit) residuals(lived []bathPlate) (x, variance []float64) {
	for _, b := range lived {
		p := k.probability(b.row)
		v := -p
		if b.keeper() {
			v = 1 - p
		}
		x, variance = append(x, v), append(variance, p*(1-p))
	}
	return x, variance
}

// run charts plates from a fresh start and gives the first that signals from
// below, -1 if none does.
func (k *keeperFit) run(lived []bathPlate) (points []ChartPoint, signal int) {
	x, v := k.residuals(lived)
	signal = -1
	usual := 0.0
	for _, p := range v {
		usual += p / float64(len(v))
	}
	c, err := stats.EWMAVarying(x, v, usual*chartLambda/(2-chartLambda), 0, chartLambda, chartWidth)
	if err != nil {
		return nil, signal
	}
	for i, b := range lived {
		low := c.Value[i] < -c.Half[i]
		points = append(points, ChartPoint{Plate: b.id, Day: b.day, Since: b.since, Value: c.Value[i], Limit: c.Half[i], Signal: low})
		if low && signal < 0 {
			signal = i
		}
	}
	return points, signal
}

// change is where to look: the first plate after the cumulative sum of
// failures beyond expectation last stood at zero before the signal.
func (k *keeperFit) change(lived []bathPlate) int {
	x, _ := k.residuals(lived)
	c, err := stats.CUSUMChart(x, 0, changeSlack, 1e-9)
	if err != nil {
		return 0
	}
	at := len(x) - 1
	for at > 0 && c.Lo[at-1] > 0 {
		at--
	}
	return at
}

// covers says whether the keeper model has an expectation for the plate.
func (k *keeperFit) covers(x row) bool {
	return x.light != "" && x.collodion != "" && (x.aged || !k.data.withAge)
}
