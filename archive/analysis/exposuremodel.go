package analysis

import (
	"errors"
	"fmt"

	"sandarac/archive/exposure"
	"sandarac/archive/stats"
)

// The kinds of model, from what the data can carry.
const (
	Mixed  = "mixed"  // batches as random effects
	Fixed  = "fixed"  // no batch effects
	Simple = "simple" // no model: medians of the plates judged right
	Firth  = "firth"  // keeper model with a penalty, under separation
)

// ExposureModel is the ordered probit of judged exposure on dose in stops:
// P(grade <= j) = Φ(tau_j - eta), eta = dose·d + light + batch (+ age). The
// aim is the dose at which "right" is likeliest, midway between the
// thresholds.
type ExposureModel struct {
	Kind           string              `json:"kind"`
	N              int                 `json:"n"`
	LogLikelihood  *float64            `json:"log_likelihood"`
	Tau            *Limits             `json:"tau"`
	Dose           *float64            `json:"dose"`
	AgeDays        *float64            `json:"age_days,omitempty"`
	Light          map[string]*float64 `json:"light"` // nil value: the model has no light effects
	ReferenceLight string              `json:"reference_light"`
	BatchSD        *float64            `json:"batch_sd"`
	Batch          map[string]*float64 `json:"batch"`
	LatitudeStops  *float64            `json:"latitude_stops"`
	// AgeStops is how much more exposure a day of age asks for, in stops, with
	// its interval; of the model with age, where the dose effect is sure enough.
	AgeStops   *float64 `json:"age_stops_per_day,omitempty"`
	AgeStops95 *Limits  `json:"age_stops_per_day95,omitempty"`

	SE    *ExposureErrors `json:"se"`
	Cells []Cell          `json:"cells"`
	Notes []string        `json:"notes"`

	fitted *exposureFit // nil for Simple
}

// ExposureErrors are standard errors, the sd among the parameters.
type ExposureErrors struct {
	Tau     *Limits             `json:"tau"`
	Dose    *float64            `json:"dose"`
	AgeDays *float64            `json:"age_days,omitempty"`
	Light   map[string]*float64 `json:"light"`
	BatchSD *float64            `json:"batch_sd"`
}

// Cell is what one batch wants under one kind of light.
type Cell struct {
	Batch   string   `json:"batch"`
	Light   string   `json:"light"`
	N       int      `json:"n"`                  // judged plates of the batch under the light
	AgeDays *float64 `json:"age_days,omitempty"` // age the aim is for: the mean of the batch's plates
	AimDose *float64 `json:"aim_dose"`
	AimEI   *float64 `json:"aim_ei"`
	// AimEI95 is the interval to show, averaged over the batch sd.
	AimEI95 *Limits `json:"aim_ei95"`
	// AimEI95Plugin has the sd held at its estimate.
	AimEI95Plugin *Limits `json:"aim_ei95_plugin"`
}

// aged data must span this many days before age joins the advice.
const monthDays = 30

func (r *Report) exposureModels() {
	all := r.judged()
	var aged []row
	for _, x := range all {
		if x.aged {
			aged = append(aged, x)
		}
	}
	if len(all) == 0 {
		r.Notes = append(r.Notes, "No exposure model: no plate has a judged exposure with seconds, stop, a light reading and a collodion batch.")
		return
	}
	r.ExposureModel = fitExposure(all)
	var why string
	r.ExposureModelAge, why = fitExposureAge(aged)
	if why != "" {
		r.Notes = append(r.Notes, why)
	}
}

// fitExposureAge fits the model with batch age, or says why it cannot.
func fitExposureAge(aged []row) (*ExposureModel, string) {
	return ageModel(newExposureData(aged, true))
}

func ageModel(d *exposureData) (*ExposureModel, string) {
	aged := d.rows
	if span(aged) == 0 {
		return nil, "No exposure model with age: the ages of the judged plates do not differ or are not known."
	}
	m := d.fit()
	if m.Kind == Simple {
		return nil, "No exposure model with age: " + m.Notes[len(m.Notes)-1]
	}
	if n := span(aged); n < monthDays {
		m.Notes = append(m.Notes, fmt.Sprintf("Ages span %d days only: advice does not use them yet.", n))
	}
	return m, ""
}

// span is the number of days between the youngest and the oldest collodion.
func span(rows []row) int {
	if len(rows) == 0 {
		return 0
	}
	lo, hi := rows[0].age, rows[0].age
	for _, x := range rows {
		lo, hi = min(lo, x.age), max(hi, x.age)
	}
	return hi - lo
}

func fitExposure(rows []row) *ExposureModel { return newExposureData(rows, false).fit() }

// exposureData is the table the model is fitted to.
type exposureData struct {
	levels
	rows    []row
	withAge bool
	point   bool // the estimate is enough, no average over the batch sd
}

func newExposureData(rows []row, withAge bool) *exposureData {
	return &exposureData{levels: levelsOf(rows), rows: rows, withAge: withAge}
}

// rung is one step of the ladder of models.
type rung struct {
	batch, light bool
	name         string
}

// rungs are the models to try, fullest first, and what was left off from the
// start because there is only one of it.
func (d *exposureData) rungs() (out []rung, notes []string) {
	many, lit := len(d.batches) > 1, len(d.lights) > 1
	if !many {
		notes = append(notes, "One collodion batch only: no batch effects.")
	}
	if !lit {
		notes = append(notes, "One kind of light only: no light effects.")
	}
	switch {
	case many && lit:
		out = append(out, rung{true, true, "batches and light"}, rung{true, false, "batches without light"})
	case many:
		out = append(out, rung{true, false, "batches"})
	case lit:
		out = append(out, rung{false, true, "light"})
	}
	return append(out, rung{false, false, "one aim for the whole archive"}), notes
}

// fit climbs down the ladder until a model holds.
func (d *exposureData) fit() *ExposureModel {
	m := &ExposureModel{N: len(d.rows), ReferenceLight: d.reference, Notes: []string{}, Cells: []Cell{}}
	steps, notes := d.rungs()
	m.Notes = append(m.Notes, notes...)
	for i, s := range steps {
		f, err := d.fitRung(s)
		if err == nil {
			f.fill(m)
			return m
		}
		next := "medians of the plates judged right"
		if i+1 < len(steps) {
			next = steps[i+1].name
		}
		m.Notes = append(m.Notes, fmt.Sprintf("The model with %s does not hold: %s. Step down to %s.", s.name, reason(err), next))
		if errors.Is(err, stats.ErrGradeMissing) {
			// No simpler model mends that.
			m.Notes[len(m.Notes)-1] = fmt.Sprintf("No model of exposure: %s. Medians of the plates judged right instead.", d.missing())
			break
		}
	}
	d.medians(m)
	return m
}

// errBackwards: more exposure reads as less.
var errBackwards = errors.New("more exposure is not judged more exposed")

// reason puts a refusal into the photographer's words.
func reason(err error) string {
	switch {
	case errors.Is(err, stats.ErrSeparated):
		return "something separates the grades completely, so that no finite effect fits"
	case errors.Is(err, stats.ErrCollinear):
		return "two of its terms cannot be told apart in these plates"
	case errors.Is(err, stats.ErrNotConverged):
		return "the batches differ too much for so few plates"
	case errors.Is(err, errBackwards):
		return errBackwards.Error()
	}
	return "the plates do not carry it"
}

// missing names the grades that never occur.
func (d *exposureData) missing() string {
	var seen [3]bool
	for _, x := range d.rows {
		seen[x.grade] = true
	}
	var absent []string
	for g, word := range []string{"under", "right", "over"} {
		if !seen[g] {
			absent = append(absent, word)
		}
	}
	return fmt.Sprintf("no plate is judged %s", join(absent, "or"))
}

// ordered lays the rows out for a rung.
func (d *exposureData) ordered(s rung) (o stats.Ordered, lights []string) {
	n := len(d.rows)
	o = stats.Ordered{Grades: 3, Y: make([]int, n), Link: stats.Probit}
	dose, age := make([]float64, n), make([]float64, n)
	for i, x := range d.rows {
		o.Y[i], dose[i], age[i] = x.grade, x.dose, float64(x.age)
	}
	o.X = append(o.X, dose)
	if d.withAge {
		o.X = append(o.X, age)
	}
	if s.light {
		for _, l := range d.lights {
			if l == d.reference {
				continue
			}
			lights = append(lights, l)
			col := make([]float64, n)
			for i, x := range d.rows {
				if x.light == l {
					col[i] = 1
				}
			}
			o.X = append(o.X, col)
		}
	}
	if s.batch {
		o.Groups = len(d.batches)
		o.Group = make([]int, n)
		for i, x := range d.rows {
			o.Group[i] = d.batchOf[x.collodion]
		}
	}
	return o, lights
}

// medians fills the cells from the plates judged right, where no model holds.
func (d *exposureData) medians(m *ExposureModel) {
	m.Kind = Simple
	m.Notes = append(m.Notes, "Aims are medians of plates judged right; an interval needs plates judged under, right and over.")
	type key struct{ batch, light string }
	ei, n := map[key][]float64{}, map[key]int{}
	for _, x := range d.rows {
		k := key{x.collodion, x.light}
		n[k]++
		if x.right() {
			ei[k] = append(ei[k], x.ei)
		}
	}
	for _, b := range d.batches {
		for _, l := range d.lights {
			k := key{b, l}
			if n[k] == 0 {
				continue
			}
			c := Cell{Batch: b, Light: l, N: n[k]}
			if v, err := stats.Median(ei[k]); err == nil {
				c.AimEI = some(v)
				if dose, err := exposure.DoseFromEI(v); err == nil {
					c.AimDose = some(dose)
				}
			}
			m.Cells = append(m.Cells, c)
		}
	}
}
