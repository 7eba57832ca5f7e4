package analysis

import (
	"math"

	"sandarac/archive/exposure"
	"sandarac/archive/record"
	"sandarac/archive/stats"
)

// position is where the aim lies on the scale of dose: the estimate, and a
// normal distribution for each value of the batch sd that the data allow.
type position struct {
	dose  float64 // estimate
	moved float64 // by today's plates, in stops
	// At each node: the aim dose, its standard error, the dose effect and half
	// the distance of the thresholds.
	mean, se, slope, half []float64
	avg                   *stats.Averaged
	lo, hi                float64 // doses tried
	least                 float64 // middle dose of the plates judged right
	// bounded says that the dose effect is sure enough for an interval.
	bounded bool
	// extra is a further variance in stops², shared by all plates of the day:
	// that of a kind of light never tried.
	extra float64
}

// position reads a question's aim off the fit.
func (f *exposureFit) position(q question, extra float64) *position {
	p := &position{avg: f.avg, extra: extra, bounded: f.bounded()}
	if p.avg == nil {
		p.avg = stats.Single(f.fit)
	}
	num, den := f.combinations(q)
	p.dose, _, _ = f.fit.Ratio(num, den)
	p.lo, p.hi = f.tried()
	p.least = p.lo
	if m, ok := middleOf(f.data.rows, q.batch, q.light); ok {
		if dose, err := exposure.DoseFromEI(m.ei); err == nil {
			p.least = dose
		}
	}
	p.hold()
	for _, fit := range p.avg.Fits {
		v, se, err := fit.Ratio(num, den)
		if err != nil {
			v, se = p.dose, math.Inf(1)
		}
		p.mean = append(p.mean, v)
		p.se = append(p.se, se)
		p.slope = append(p.slope, fit.Beta[0])
		p.half = append(p.half, (fit.Tau[1]-fit.Tau[0])/2)
	}
	return p
}

// hold keeps the advised dose, while the dose effect is too loose to trust, from
// the middle of the plates judged right (what was advised before there was a
// model) to the most that was tried.
func (p *position) hold() {
	if !p.bounded {
		p.dose = math.Max(p.least, math.Min(p.hi, p.dose))
	}
}

// interval is the 95 % interval of the aim dose, nil where it has no end.
func (p *position) interval() *Limits {
	if !p.bounded {
		return nil
	}
	sd := make([]float64, len(p.se))
	for i, s := range p.se {
		sd[i] = math.Sqrt(s*s + p.extra)
	}
	i, err := p.avg.Mixture(p.mean, sd, stats.Level95)
	if err != nil {
		return nil
	}
	return limits(i.Lo, i.Hi)
}

// right is the probability that a plate at the estimated dose is judged
// right: the plate's own scatter and the doubt about the aim together.
func (p *position) right() *float64 {
	if !p.bounded {
		return nil
	}
	sum := 0.0
	for i, w := range p.avg.Weight {
		off := p.slope[i] * (p.dose - p.mean[i])
		scale := math.Sqrt(1 + p.slope[i]*p.slope[i]*(p.se[i]*p.se[i]+p.extra))
		sum += w * (stats.Probit.P((p.half[i]-off)/scale) - stats.Probit.P((-p.half[i]-off)/scale))
	}
	return some(sum)
}

// shift lets today's plates move the aim. The day is a random effect shared
// by all plates under the light, with the standard deviation days show in
// the archive; what is not yet known of each batch is another effect, as wide
// as its aim's standard error. Thresholds and dose effect are held, so that a
// plate judged under can only lengthen the advice.
func (p *position) shift(f *exposureFit, q question, today []row, daySD float64) {
	before := p.dose
	if d, _, ok := f.dayEffect(f.fit, q, today, daySD, p.doubt(), p.extra); ok {
		p.dose -= d / f.fit.Beta[0]
	}
	for i, fit := range p.avg.Fits {
		d, v, ok := f.dayEffect(fit, q, today, daySD, p.se[i], p.extra)
		if !ok {
			continue
		}
		p.mean[i] -= d / fit.Beta[0]
		p.se[i] = math.Sqrt(v) / fit.Beta[0]
	}
	p.hold()
	p.moved, p.extra = p.dose-before, 0
}

// doubt is the standard error of the aim, the batch sd averaged over.
func (p *position) doubt() float64 {
	v := 0.0
	for i, w := range p.avg.Weight {
		v += w * p.se[i] * p.se[i]
	}
	return math.Sqrt(v)
}

// dayEffect is the effect of the day and the asked batch together, on the
// latent scale, with its variance, after today's plates.
func (f *exposureFit) dayEffect(fit *stats.Fit, q question, today []row, daySD, se, extra float64) (mean, variance float64, ok bool) {
	slope := fit.Beta[0]
	// Effects: the day, the asked batch, then each other batch of today.
	prior := []float64{daySD*daySD + slope*slope*extra, slope * slope * se * se}
	place := map[string]int{q.batch: 1}
	for _, x := range today {
		if _, ok := place[x.collodion]; ok {
			continue
		}
		place[x.collodion] = len(prior)
		num, den := f.combinations(question{x.collodion, x.light, float64(x.age)})
		_, own, err := fit.Ratio(num, den)
		if err != nil {
			return 0, 0, false
		}
		prior = append(prior, slope*slope*own*own)
	}
	for i := range prior {
		prior[i] = math.Max(prior[i], 1e-6)
	}
	var eta []float64
	var y []int
	var design [][]float64
	for _, x := range today {
		num, _ := f.combinations(question{x.collodion, x.light, float64(x.age)})
		mid := (fit.Tau[0] + fit.Tau[1]) / 2
		eta = append(eta, slope*x.dose+mid-fit.Value(num))
		y = append(y, x.grade)
		row := make([]float64, len(prior))
		row[0], row[place[x.collodion]] = 1, 1
		design = append(design, row)
	}
	s, err := stats.ShiftBy(stats.Probit, fit.Tau, eta, y, design, prior)
	if err != nil {
		return 0, 0, false
	}
	return s.Mean[0] + s.Mean[1], s.Cov.At(0, 0) + s.Cov.At(1, 1) + 2*s.Cov.At(0, 1), true
}

// unknownDaySD stands for days when the archive is too small to tell how they
// differ: about the mean of the prior below, on the latent scale.
const unknownDaySD = 0.6

// daySD is how far days differ under one light, on the latent scale of the
// fit: the posterior mean of the sd of a day effect beside the fitted
// predictor, whose coefficient is left free because the fit counted the days
// among the plates' own scatter.
func (f *exposureFit) daySD() float64 {
	type day struct {
		date  record.Date
		light string
	}
	o := stats.Ordered{Grades: 3, Link: stats.Probit, X: [][]float64{nil}}
	place := map[day]int{}
	for _, x := range f.data.rows {
		k := day{x.day, x.light}
		if _, ok := place[k]; !ok {
			place[k] = len(place)
		}
		num, _ := f.combinations(question{x.collodion, x.light, float64(x.age)})
		o.Y = append(o.Y, x.grade)
		o.X[0] = append(o.X[0], f.fit.Beta[0]*x.dose+(f.fit.Tau[0]+f.fit.Tau[1])/2-f.fit.Value(num))
		o.Group = append(o.Group, place[k])
	}
	o.Groups = len(place)
	a, err := stats.AverageOverSD(o)
	if err != nil {
		return unknownDaySD
	}
	// The fit's scatter of 1 holds the day's and the plate's together.
	sd := 0.0
	for i, fit := range a.Fits {
		sd += a.Weight[i] * fit.SD / math.Sqrt(1+fit.SD*fit.SD)
	}
	return sd
}
