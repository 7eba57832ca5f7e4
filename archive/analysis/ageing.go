package analysis

import (
	"fmt"
	"math"
	"sort"

	"sandarac/archive/stats"
)

// Ageing is how a collodion's EI moves with its age: the Theil-Sen slope of
// log2 EI on age in days over plates judged right, tests included. A negative
// slope is a collodion growing slower.
type Ageing struct {
	Batch            string   `json:"batch"`
	N                int      `json:"n"`
	SlopeStopsPerDay *float64 `json:"slope_stops_per_day"`
	Interval95       *Limits  `json:"interval95"`
	KendallTau       *float64 `json:"kendall_tau"`
	P                *float64 `json:"p"`
	// Clamped says that there are too few plates for the interval to reach 95 %.
	Clamped bool `json:"clamped"`
	// Lights is the number of kinds of light a batch's slope pools.
	Lights int `json:"lights,omitempty"`
	// Series is the number of batches, each under one kind of light, that a
	// pooled slope rests on.
	Series int `json:"series,omitempty"`
}

// ageing takes every batch by itself, and all together within each batch and
// kind of light, where a slow change shows long before it does in any one.
func (r *Report) ageing() {
	batches := map[string]stats.Series{}
	type key struct{ batch, light string }
	within := map[key]stats.Series{}
	n := 0
	for _, x := range r.rows {
		if !x.right() || !x.dosed || !x.aged {
			continue
		}
		n++
		age, ei := float64(x.age), math.Log2(x.ei)
		s := batches[x.collodion]
		batches[x.collodion] = stats.Series{X: append(s.X, age), Y: append(s.Y, ei)}
		k := key{x.collodion, x.light}
		s = within[k]
		within[k] = stats.Series{X: append(s.X, age), Y: append(s.Y, ei)}
	}
	var names []string
	for b := range batches {
		names = append(names, b)
	}
	sort.Strings(names)
	short := 0
	for _, b := range names {
		a := ageingOf([]stats.Series{batches[b]})
		a.Batch = b
		for _, l := range r.lights() {
			if _, ok := within[key{b, l}]; ok {
				a.Lights++
			}
		}
		switch {
		case a.SlopeStopsPerDay == nil:
			short++
		case a.KendallTau == nil:
			r.Notes = append(r.Notes, fmt.Sprintf("No rank test of ageing for %s: all its plates have one EI.", b))
		}
		r.Ageing = append(r.Ageing, a)
	}
	if short > 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("No ageing slope for %d of %d batches: fewer than two plates judged right at different ages.", short, len(names)))
	}
	var series []stats.Series
	for _, b := range names {
		for _, l := range r.lights() {
			if s, ok := within[key{b, l}]; ok && len(s.X) > 1 {
				series = append(series, s)
			}
		}
	}
	if len(series) > 0 {
		pooled := ageingOf(series)
		pooled.Series = len(series)
		if pooled.SlopeStopsPerDay != nil {
			r.AgeingPooled = &pooled
		}
	}
}

func ageingOf(series []stats.Series) Ageing {
	a := Ageing{}
	for _, s := range series {
		a.N += len(s.X)
	}
	s, err := stats.TheilSenPooled(series, stats.Level95)
	if err != nil {
		return a
	}
	a.SlopeStopsPerDay = some(s.Slope)
	a.Interval95 = limits(s.Limits.Lo, s.Limits.Hi)
	a.Clamped = s.Clamped
	k, err := stats.KendallPooled(series)
	if err != nil {
		return a // every EI alike: a level line has no rank correlation
	}
	a.KendallTau, a.P = some(k.Tau), some(k.P())
	return a
}

// lights are the kinds of light in the archive, by name.
func (r *Report) lights() []string {
	var out []string
	for _, g := range r.Groups.Light {
		out = append(out, g.Key)
	}
	return out
}
