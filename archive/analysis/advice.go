package analysis

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"sandarac/archive/exposure"
	"sandarac/archive/record"
)

// Kinds of refusal, met with errors.Is.
var (
	// ErrNoData: nothing in the archive tells of exposure yet.
	ErrNoData = errors.New("no plate in the archive tells of exposure yet: it needs judged plates with seconds, stop and a light reading")
	// ErrAsk: the question lacks something or contradicts itself.
	ErrAsk = errors.New("the question cannot be answered as it stands")
)

// Ask is a question for an exposure: what to set for a batch under a light.
type Ask struct {
	Collodion     string   // batch id; empty for any batch
	Light         string   // kind of light; may be empty when the archive knows one only
	EV100, Lux    *float64 // one of the two: incident exposure value at ISO 100, or lux
	Stop          float64  // f-number
	Magnification *float64 // or ExtensionMM with a lens, or neither for far away
	ExtensionMM   *float64
	Lens          string
	Today         record.Date
}

// Advice is the answer.
type Advice struct {
	Seconds   float64  `json:"seconds"`
	Seconds95 *Limits  `json:"seconds95"`
	Bracket   Limits   `json:"bracket"` // half a stop shorter, half a stop longer
	EI        float64  `json:"ei"`
	PRight    *float64 `json:"p_right"`
	Basis     Basis    `json:"basis"`
	Count     Count    `json:"count"`
	Collodion string   `json:"collodion"`
	Light     string   `json:"light"`
	EV100     float64  `json:"ev100"`
	Stop      float64  `json:"stop"`
	Bellows   float64  `json:"bellows_stops"`
	RestsOn   string   `json:"rests_on"`
	Notes     []string `json:"notes"`
}

// Basis is what the advice rests on, in judged plates.
type Basis struct {
	Judged      int `json:"judged"`
	BatchJudged int `json:"batch_judged"`
	DayJudged   int `json:"day_judged"`
}

// Count holds the times as a photographer counts them, the interval rounded
// outward.
type Count struct {
	Seconds   float64 `json:"seconds"`
	Seconds95 *Limits `json:"seconds95"`
	Bracket   Limits  `json:"bracket"`
}

// setting is a question made definite.
type setting struct {
	light         string
	batch         string
	ev100, stop   float64
	magnification float64
}

// seconds is the time that gives a dose at this setting.
func (s setting) seconds(dose float64) (float64, error) {
	return exposure.SecondsFor(exposure.EIFromDose(dose), s.stop, s.magnification, s.ev100)
}

// Expose answers what to set next. Today's judged plates under the same light
// shift the answer by the day as a random effect. Without plates of the batch
// it speaks for all batches, with a wider interval. The error wraps ErrNoData
// when the archive has nothing to go by, ErrAsk when the question is at fault.
func Expose(ctx context.Context, a *record.Archive, ask Ask) (*Advice, error) {
	rows, _ := tabulate(a)
	judged := judgedOf(rows)
	if len(judged) == 0 {
		return nil, ErrNoData
	}
	s, err := ask.settle(a, judged)
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("working out the exposure: %w", err)
	}
	d := &desk{archive: a, ask: ask, setting: s, judged: judged}
	return d.answer()
}

// settle checks the question against the archive.
func (q Ask) settle(a *record.Archive, judged []row) (setting, error) {
	s := setting{batch: strings.TrimSpace(q.Collodion), stop: q.Stop}
	kinds := map[string]bool{}
	for _, x := range judged {
		kinds[x.light] = true
	}
	names := sortedKeys(kinds)
	light := strings.TrimSpace(q.Light)
	switch {
	case light == "" && len(names) == 1:
		s.light = names[0]
	case light == "":
		return s, fmt.Errorf("which kind of light? the archive knows %s: %w", join(names, "and"), ErrAsk)
	default:
		s.light = light
		for _, k := range names {
			if !kinds[light] && strings.EqualFold(k, light) {
				s.light = k
			}
		}
	}
	switch {
	case q.EV100 != nil && q.Lux != nil:
		return s, fmt.Errorf("give the light as EV or as lux, not both: %w", ErrAsk)
	case q.EV100 != nil:
		s.ev100 = *q.EV100
	case q.Lux != nil:
		ev, err := exposure.EV100FromLux(*q.Lux, meterConstant(a.Studio))
		if err != nil {
			return s, fmt.Errorf("%w: %w", err, ErrAsk)
		}
		s.ev100 = ev
	default:
		return s, fmt.Errorf("the light needs a reading, EV at ISO 100 or lux: %w", ErrAsk)
	}
	if q.Magnification != nil && q.ExtensionMM != nil {
		return s, fmt.Errorf("give magnification or extension, not both: %w", ErrAsk)
	}
	lens := q.Lens
	if lens == "" && a.Studio != nil && len(a.Studio.Lenses) == 1 {
		lens = a.Studio.Lenses[0].ID
	}
	m, ok := magnificationOf(a.Studio, q.Magnification, q.ExtensionMM, lens)
	if !ok {
		return s, fmt.Errorf("the extension needs a lens of the studio record with its focal length, found %q: %w", lens, ErrAsk)
	}
	s.magnification = m
	// The arithmetic itself refuses impossible stops and distances.
	if _, err := s.seconds(0); err != nil {
		return s, fmt.Errorf("%w: %w", err, ErrAsk)
	}
	return s, nil
}

// desk is one question being worked on.
type desk struct {
	archive *record.Archive
	ask     Ask
	setting setting
	judged  []row // all that may teach, today's included

	today []row // judged today under this light
	past  []row // the rest
	notes []string
}

func (d *desk) answer() (*Advice, error) {
	for _, x := range d.judged {
		if !d.ask.Today.IsZero() && x.day == d.ask.Today && x.light == d.setting.light {
			d.today = append(d.today, x)
		} else {
			d.past = append(d.past, x)
		}
	}
	m, q := d.model(d.past, false)
	if m != nil && m.fitted != nil && (m.fitted.bounded() || len(d.today) == 0) {
		m, q = d.withoutContrary(d.past, m, q)
		return d.fromModel(m.fitted, q, d.today)
	}
	// Without today's plates there is no model, or none sure enough to say how
	// far a plate shifts it: let them count as any other.
	if m, q := d.model(d.judged, false); m != nil && m.fitted != nil && len(d.today) > 0 {
		d.notes = append(d.notes, "Today's plates count as any others: the rest are too few for a model of their own.")
		m, q = d.withoutContrary(d.judged, m, q)
		return d.fromModel(m.fitted, q, nil)
	}
	return d.fromMedians()
}

// model chooses the model to ask: the one with age once ages span a month and
// the batch's age is known. With point, intervals are not wanted.
func (d *desk) model(rows []row, point bool) (*ExposureModel, question) {
	q := question{batch: d.setting.batch, light: d.setting.light}
	if len(rows) == 0 {
		return nil, q
	}
	var aged []row
	for _, x := range rows {
		if x.aged {
			aged = append(aged, x)
		}
	}
	if age, ok := askedAge(d.archive, d.setting.batch, d.ask.Today, aged); ok {
		data := newExposureData(aged, true)
		data.point = point
		if m, _ := ageModel(data); m != nil {
			q.age = age
			return m, q
		}
	}
	data := newExposureData(rows, false)
	data.point = point
	return data.fit(), q
}

// fromModel reads the advice off a fitted model, today's plates shifting it.
func (d *desk) fromModel(f *exposureFit, q question, today []row) (*Advice, error) {
	a := d.blank()
	if f.data.withAge {
		a.Notes = append(a.Notes, fmt.Sprintf("The age of the collodion, %.0f days, is allowed for.", q.age))
	}
	extra := d.unknownLight(f, a)
	t := f.position(q, extra)
	if len(today) > 0 {
		sd := f.daySD()
		t.shift(f, q, today, sd)
		a.Notes = append(a.Notes, fmt.Sprintf("%s judged today under this light: the day moves the advice by %s.", capital(plates(len(today))), stops(t.moved)))
	}
	if err := d.fill(a, t); err != nil {
		return nil, err
	}
	extrapolation(a, t)
	return a, nil
}

// blank is the advice's frame: what it rests on and for what it was asked.
func (d *desk) blank() *Advice {
	s := d.setting
	a := &Advice{Collodion: s.batch, Light: s.light, EV100: s.ev100, Stop: s.stop, Notes: append([]string{}, d.notes...)}
	a.Bellows, _ = exposure.BellowsStops(s.magnification)
	a.Basis.Judged, a.Basis.DayJudged = len(d.judged), len(d.today)
	for _, x := range d.judged {
		if s.batch != "" && x.collodion == s.batch {
			a.Basis.BatchJudged++
		}
	}
	a.RestsOn = capital(judgedPlates(len(d.judged)))
	switch {
	case s.batch == "":
		a.RestsOn += "; no batch named, so any batch"
	case a.Basis.BatchJudged == 0:
		a.RestsOn += ", none from this batch"
		if _, ok := d.archive.Batch("collodion", s.batch); !ok {
			a.Notes = append(a.Notes, fmt.Sprintf("The archive holds no collodion %q: is the id right?", s.batch))
		}
		a.Notes = append(a.Notes, "No judged plate from "+s.batch+" yet: the advice speaks for all batches, and the interval is as wide as batches differ.")
	default:
		a.RestsOn += fmt.Sprintf(", %d from this batch", a.Basis.BatchJudged)
	}
	if a.Basis.DayJudged > 0 {
		a.RestsOn += fmt.Sprintf(", %d today", a.Basis.DayJudged)
	}
	return a
}

// fill turns a position into times.
func (d *desk) fill(a *Advice, t *position) error {
	sec, err := d.setting.seconds(t.dose)
	if err != nil {
		return fmt.Errorf("the advised time: %w", err)
	}
	a.Seconds, a.EI = sec, exposure.EIFromDose(t.dose)
	if l := t.interval(); l != nil {
		lo, err1 := d.setting.seconds(l[0])
		hi, err2 := d.setting.seconds(l[1])
		if err1 == nil && err2 == nil {
			a.Seconds95 = limits(lo, hi)
		}
	}
	if a.Seconds95 == nil {
		a.Notes = append(a.Notes, "No interval: the judgements follow the exposure too loosely to bound the aim. Bracket by half a stop and more.")
	}
	a.PRight = t.right()
	a.count()
	a.plausible()
	return nil
}

// The span of EI that is believed of wet collodion without a word: about 0.2 to
// 2 is reported, and this is four times as wide (common practice).
const leastEI, mostEI = 0.05, 5.0

func plausibleEI(ei float64) bool { return ei >= leastEI && ei <= mostEI }

func (a *Advice) plausible() {
	if !plausibleEI(a.EI) {
		a.Notes = append(a.Notes, fmt.Sprintf("EI %s is outside what wet collodion is known for (%g to %g): look at the seconds, stops and light readings of the plates.", two(a.EI), leastEI, mostEI))
	}
}

// count adds the bracket and the countable times.
func (a *Advice) count() {
	a.Bracket[0], a.Bracket[1] = exposure.HalfStopBracket(a.Seconds)
	a.Count.Seconds = exposure.Countable(a.Seconds, exposure.Nearest)
	a.Count.Bracket = Limits{exposure.Countable(a.Bracket[0], exposure.Nearest), exposure.Countable(a.Bracket[1], exposure.Nearest)}
	if l := a.Seconds95; l != nil {
		a.Count.Seconds95 = &Limits{exposure.Countable(l[0], exposure.Down), exposure.Countable(l[1], exposure.Up)}
	}
}

// otherLightSD is how far, in stops, a kind of light never tried may lie from
// those tried (common practice: EI differs by a stop and more between
// skylight, low sun and lamps).
const otherLightSD = 1.0

// unknownLight gives the variance, in stops², to add for a light the model
// has not seen, and says so.
func (d *desk) unknownLight(f *exposureFit, a *Advice) float64 {
	for _, l := range f.data.lights {
		if l == d.setting.light {
			return 0
		}
	}
	a.Notes = append(a.Notes, fmt.Sprintf("No judged plate under %q yet. A meter and a plate see light differently, so the advice borrows from %s and is only a start: make a test plate.",
		d.setting.light, join(f.data.lights, "and")))
	return otherLightSD * otherLightSD
}

// extrapolation says when the advice lies beyond every dose tried.
func extrapolation(a *Advice, t *position) {
	switch l := t.interval(); {
	case t.dose < t.lo || t.dose > t.hi:
		a.Notes = append(a.Notes, "The advised exposure lies beyond every exposure tried so far: it is an extrapolation.")
	case !t.bounded && (t.dose == t.least || t.dose == t.hi):
		a.Notes = append(a.Notes, "The advice is held between the middle of the plates judged right and the most that was tried; the judgements point beyond.")
	case l != nil && (l[0] < t.lo || l[1] > t.hi):
		a.Notes = append(a.Notes, "Part of the interval lies beyond the exposures tried so far.")
	}
}
