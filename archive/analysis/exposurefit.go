package analysis

import (
	"fmt"
	"math"

	"sandarac/archive/exposure"
	"sandarac/archive/stats"
)

// exposureFit is a fitted rung with what intervals need.
type exposureFit struct {
	data   *exposureData
	rung   rung
	lights []string // columns after dose and age
	fit    *stats.Fit
	avg    *stats.Averaged // over the batch sd; the fit alone without batches
	mixed  *stats.Mixed    // nil without batches
}

// slopeZ is the z of the dose effect below which the latitude is not printed,
// boundedZ that below which an aim, being a ratio to that effect, has no
// bounded interval at 95 % (Fieller).
const (
	slopeZ   = 3
	boundedZ = 1.96
)

func (d *exposureData) fitRung(s rung) (*exposureFit, error) {
	o, lights := d.ordered(s)
	f := &exposureFit{data: d, rung: s, lights: lights}
	if s.batch {
		m, err := stats.FitMixed(o)
		if err != nil {
			return nil, err
		}
		f.mixed, f.fit = m, &m.Fit
		if !d.point {
			// The estimate stands without its average; aim_ei95 says so.
			if f.avg, err = stats.AverageOverSD(o); err != nil {
				f.avg = nil
			}
		}
	} else {
		fit, err := stats.FitOrdered(o)
		if err != nil {
			return nil, err
		}
		f.fit, f.avg = fit, stats.Single(fit)
	}
	if f.fit.Beta[0] <= 0 {
		return nil, errBackwards
	}
	return f, nil
}

// fill writes the fit into the report's form.
func (f *exposureFit) fill(m *ExposureModel) {
	m.fitted = f
	m.Kind = Fixed
	m.LogLikelihood = some(f.fit.LogLik)
	m.Tau = limits(f.fit.Tau[0], f.fit.Tau[1])
	m.Dose = some(f.fit.Beta[0])
	if f.data.withAge {
		m.AgeDays = some(f.fit.Beta[1])
	}
	if f.rung.light || len(f.data.lights) == 1 {
		m.Light = map[string]*float64{f.data.reference: some(0)}
		for _, l := range f.lights {
			m.Light[l] = some(f.fit.Beta[f.column(l)])
		}
	}
	if f.rung.batch {
		m.Kind = Mixed
		m.BatchSD = some(f.fit.SD)
		m.Batch = map[string]*float64{}
		for i, b := range f.data.batches {
			m.Batch[b] = some(f.fit.Modes[i])
		}
		if f.fit.SD == 0 {
			m.Notes = append(m.Notes, "The batches differ no more than chance would make them: batch sd 0.")
		}
		if f.avg == nil {
			m.Notes = append(m.Notes, "The average over the batch sd was not found: aim_ei95 is missing, aim_ei95_plugin stands.")
		}
	}
	m.SE = f.errors()
	if z := f.slopeZ(); z < boundedZ {
		m.Notes = append(m.Notes, fmt.Sprintf("No latitude, and no interval in advice: the effect of dose itself is in doubt (z = %.1f).", z))
	} else if z < slopeZ {
		m.Notes = append(m.Notes, fmt.Sprintf("No latitude: the effect of dose itself is in doubt (z = %.1f, wanted %d).", z, slopeZ))
	} else {
		m.LatitudeStops = some((f.fit.Tau[1] - f.fit.Tau[0]) / f.fit.Beta[0])
	}
	f.ageStops(m)
	f.cells(m)
}

// ageStops fills what a day of age asks for, a ratio like the aims.
func (f *exposureFit) ageStops(m *ExposureModel) {
	if !f.data.withAge || !f.bounded() || f.avg == nil {
		return
	}
	num := stats.Combination{Beta: make([]float64, len(f.fit.Beta))}
	num.Beta[1] = -1
	den := stats.Combination{Beta: f.unit(0)}
	v, _, err := f.fit.Ratio(num, den)
	i, err2 := f.avg.Ratio(num, den, stats.Level95)
	if err == nil && err2 == nil {
		m.AgeStops, m.AgeStops95 = some(v), limits(i.Lo, i.Hi)
	}
}

// tried is the range of doses the fit rests on.
func (f *exposureFit) tried() (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, x := range f.data.rows {
		lo, hi = math.Min(lo, x.dose), math.Max(hi, x.dose)
	}
	return lo, hi
}

func (f *exposureFit) bounded() bool { return f.slopeZ() >= boundedZ }

// slopeZ is the dose effect over its standard error.
func (f *exposureFit) slopeZ() float64 {
	return f.fit.Beta[0] / math.Sqrt(f.fit.Variance(stats.Combination{Beta: f.unit(0)}))
}

func (f *exposureFit) errors() *ExposureErrors {
	tau, beta := make([]float64, 2), make([]float64, len(f.fit.Beta))
	e := &ExposureErrors{}
	if f.mixed != nil {
		copy(tau, f.mixed.TauSE)
		copy(beta, f.mixed.BetaSE)
		e.BatchSD = some(f.mixed.SDSE)
	} else {
		cov := f.fit.Cov()
		for i := range cov.SymmetricDim() {
			se := math.Sqrt(cov.At(i, i))
			if i < 2 {
				tau[i] = se
			} else {
				beta[i-2] = se
			}
		}
	}
	e.Tau, e.Dose = limits(tau[0], tau[1]), some(beta[0])
	if f.data.withAge {
		e.AgeDays = some(beta[1])
	}
	if f.rung.light {
		e.Light = map[string]*float64{}
		for _, l := range f.lights {
			e.Light[l] = some(beta[f.column(l)])
		}
	}
	return e
}

// column is the place of a light's effect among the coefficients.
func (f *exposureFit) column(light string) int {
	at := 1
	if f.data.withAge {
		at = 2
	}
	for i, l := range f.lights {
		if l == light {
			return at + i
		}
	}
	return none
}

func (f *exposureFit) unit(k int) []float64 {
	u := make([]float64, len(f.fit.Beta))
	u[k] = 1
	return u
}

// question is a batch and a light to aim for. An unknown batch is any batch;
// age matters to models with age only.
type question struct {
	batch, light string
	age          float64
}

// combinations gives the aim as a ratio: (mid of the thresholds - all effects
// but the dose's) over the dose effect.
func (f *exposureFit) combinations(q question) (num, den stats.Combination) {
	num = stats.Combination{Tau: []float64{0.5, 0.5}, Beta: make([]float64, len(f.fit.Beta))}
	if f.data.withAge {
		num.Beta[1] = -q.age
	}
	if f.rung.light {
		if k := f.column(q.light); k != none {
			num.Beta[k] = -1
		}
	}
	if f.rung.batch {
		num.Effect, num.Group = -1, stats.NewGroup
		if i, ok := f.data.batchOf[q.batch]; ok {
			num.Group = i
		}
	}
	return num, stats.Combination{Beta: f.unit(0)}
}

// aim is an aim dose with its standard error, sd held, and its interval
// averaged over the sd (nil where that was not found).
type aim struct {
	dose, se float64
	averaged *Limits
}

func (f *exposureFit) aim(q question) (aim, error) {
	num, den := f.combinations(q)
	dose, se, err := f.fit.Ratio(num, den)
	if err != nil {
		return aim{}, err
	}
	a := aim{dose: dose, se: se}
	if f.avg != nil {
		if i, err := f.avg.Ratio(num, den, stats.Level95); err == nil {
			a.averaged = limits(i.Lo, i.Hi)
		}
	}
	return a, nil
}

// cells fills every batch under every light, those without a plate included:
// the model speaks for them too.
func (f *exposureFit) cells(m *ExposureModel) {
	z, _ := stats.NormalQuantile(stats.Level95)
	type key struct{ batch, light string }
	n, ages, members := map[key]int{}, map[string]float64{}, map[string]int{}
	for _, x := range f.data.rows {
		n[key{x.collodion, x.light}]++
		ages[x.collodion] += float64(x.age)
		members[x.collodion]++
	}
	for _, b := range f.data.batches {
		for _, l := range f.data.lights {
			c := Cell{Batch: b, Light: l, N: n[key{b, l}]}
			q := question{batch: b, light: l}
			if f.data.withAge {
				q.age = ages[b] / float64(members[b])
				c.AgeDays = some(q.age)
			}
			if a, err := f.aim(q); err == nil {
				c.AimDose, c.AimEI = some(a.dose), some(exposure.EIFromDose(a.dose))
				c.AimEI95Plugin = eiLimits(&Limits{a.dose - z*a.se, a.dose + z*a.se})
				c.AimEI95 = eiLimits(a.averaged)
			}
			m.Cells = append(m.Cells, c)
		}
	}
}

// eiLimits turns limits of dose into limits of EI, which exchanges them.
func eiLimits(dose *Limits) *Limits {
	if dose == nil {
		return nil
	}
	return limits(exposure.EIFromDose(dose[1]), exposure.EIFromDose(dose[0]))
}
