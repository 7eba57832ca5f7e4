package analysis

import (
	"math"
	"sort"

	"sandarac/archive/exposure"
	"sandarac/archive/record"
	"sandarac/archive/stats"
)

// Series is what pages draw, as plain numbers.
type Series struct {
	Keepers []RatePoint  // by collodion batch
	Months  []MonthPoint // keeper rate by month with its control limits
	EI      []EISeries   // EI of plates judged right over the batch's age
	Grades  []GradeCurve // chance of each judgement over exposure, by light
	Baths   []BathChart
}

// RatePoint is a keeper rate with its interval.
type RatePoint struct {
	Label           string
	Plates, Keepers int
	Rate            float64
	Interval        Limits
	Adjusted        *float64 // by the keeper model, at the archive's mix of light and age
	TooFew          bool
}

// MonthPoint is a month's keeper rate on a chart of proportions.
type MonthPoint struct {
	Month           string
	Plates, Keepers int
	Rate            float64
	Mean            float64 // of all months
	Limits          Limits  // three sigma
	// Charted is false where limits say nothing: one month, all kept, none kept.
	Charted bool
	Outside bool
}

// EISeries is one batch under one kind of light.
type EISeries struct {
	Batch, Light string
	Points       []EIPoint
	Fit          []EIFit // empty where no model with age holds
}

// EIPoint is one plate judged right.
type EIPoint struct {
	Plate   string
	Day     record.Date
	AgeDays int
	EI      float64
}

// EIFit is the fitted aim at an age.
type EIFit struct {
	AgeDays  float64
	EI       float64
	Interval *Limits
}

// GradeCurve is the chance of each judgement under a kind of light, for a
// batch like most, as the exposure moves away from the aim.
type GradeCurve struct {
	Light  string
	AimEI  float64
	Points []GradePoint
}

// GradePoint is the chances at an exposure so many stops from the aim.
type GradePoint struct {
	Stops              float64
	Under, Right, Over float64
}

// BathChart is a bath's control chart.
type BathChart struct {
	Batch  string
	Points []ChartPoint
	Signal string
}

func (r *Report) series() {
	for _, g := range r.Groups.Collodion {
		if g.KeeperRate == nil {
			continue
		}
		r.Series.Keepers = append(r.Series.Keepers, RatePoint{
			Label: g.Key, Plates: g.Plates, Keepers: g.Keepers, Rate: *g.KeeperRate,
			Interval: *g.Wilson95, Adjusted: g.AdjustedRate, TooFew: g.TooFew,
		})
	}
	r.Series.Months = r.months()
	r.Series.EI = r.eiSeries()
	r.Series.Grades = r.gradeCurves()
	for _, b := range r.Baths {
		if len(b.Chart) > 0 {
			r.Series.Baths = append(r.Series.Baths, BathChart{Batch: b.Batch, Points: b.Chart, Signal: b.Signal})
		}
	}
}

func (r *Report) months() []MonthPoint {
	var out []MonthPoint
	var k, n []int
	for _, g := range r.Groups.Month {
		if g.Plates > 0 {
			out = append(out, MonthPoint{Month: g.Key, Plates: g.Plates, Keepers: g.Keepers, Rate: *g.KeeperRate})
			k, n = append(k, g.Keepers), append(n, g.Plates)
		}
	}
	c, err := stats.PChartOf(k, n)
	if err != nil {
		return nil
	}
	for i := range out {
		out[i].Mean, out[i].Limits = c.Mean, Limits{c.Limits[i].Lo, c.Limits[i].Hi}
		out[i].Charted = len(out) > 1 && c.Mean > 0 && c.Mean < 1
	}
	for _, i := range c.Signals {
		out[i].Outside = true
	}
	return out
}

func (r *Report) eiSeries() []EISeries {
	type key struct{ batch, light string }
	by := map[key][]EIPoint{}
	for _, x := range r.rows {
		if x.right() && x.dosed && x.aged && x.light != "" {
			k := key{x.collodion, x.light}
			by[k] = append(by[k], EIPoint{x.id, x.day, x.age, x.ei})
		}
	}
	var keys []key
	for k := range by {
		keys = append(keys, k)
	}
	sort.Slice(keys, func(i, j int) bool {
		if keys[i].batch != keys[j].batch {
			return keys[i].batch < keys[j].batch
		}
		return keys[i].light < keys[j].light
	})
	var out []EISeries
	for _, k := range keys {
		s := EISeries{Batch: k.batch, Light: k.light, Points: by[k]}
		s.Fit = r.fittedAim(k.batch, k.light, s.Points)
		out = append(out, s)
	}
	return out
}

// fittedAim follows the model with age over the ages of a series.
func (r *Report) fittedAim(batch, light string, points []EIPoint) []EIFit {
	if r.ExposureModelAge == nil || r.ExposureModelAge.fitted == nil {
		return nil
	}
	lo, hi := points[0].AgeDays, points[0].AgeDays
	for _, p := range points {
		lo, hi = min(lo, p.AgeDays), max(hi, p.AgeDays)
	}
	const steps = 8
	var out []EIFit
	for i := range steps + 1 {
		age := float64(lo) + float64(hi-lo)*float64(i)/steps
		a, err := r.ExposureModelAge.fitted.aim(question{batch, light, age})
		if err != nil {
			return nil
		}
		out = append(out, EIFit{AgeDays: age, EI: exposure.EIFromDose(a.dose), Interval: eiLimits(a.averaged)})
		if hi == lo {
			break
		}
	}
	return out
}

// gradeCurves runs two stops either side of the aim in eighths of a stop.
func (r *Report) gradeCurves() []GradeCurve {
	if r.ExposureModel == nil || r.ExposureModel.fitted == nil {
		return nil
	}
	f := r.ExposureModel.fitted
	var out []GradeCurve
	for _, l := range f.data.lights {
		num, den := f.combinations(question{light: l})
		aim, _, err := f.fit.Ratio(num, den)
		if err != nil {
			continue
		}
		c := GradeCurve{Light: l, AimEI: exposure.EIFromDose(aim)}
		// The batch's own scatter widens what is seen across batches.
		scale := math.Sqrt(1 + f.fit.SD*f.fit.SD)
		half := (f.fit.Tau[1] - f.fit.Tau[0]) / 2
		for i := -16; i <= 16; i++ {
			s := float64(i) / 8
			at := f.fit.Beta[0] * s
			under := stats.Probit.P((-half - at) / scale)
			over := stats.Probit.P((at - half) / scale)
			c.Points = append(c.Points, GradePoint{Stops: s, Under: under, Right: 1 - under - over, Over: over})
		}
		out = append(out, c)
	}
	return out
}
