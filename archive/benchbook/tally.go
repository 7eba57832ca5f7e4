package benchbook

import (
	"fmt"
	"math"

	"sandarac/archive/record"
	"sandarac/archive/stats"
)

// tooFew is the number of plates below which a rate tells nothing.
const tooFew = 5

// tally is what became of some plates: the keeper rate over plates that have an
// outcome and are no tests, and the seconds and EI of those judged right, tests
// included.
type tally struct {
	Plates   int        `json:"plates"`
	Keepers  int        `json:"keepers"`
	Of       int        `json:"of"`
	Rate     string     `json:"rate"`   // "9 of 12, 75 %", empty with none
	Wilson   string     `json:"wilson"` // "46–92 %"
	Said     string     `json:"said"`
	Unjudged int        `json:"unjudged"` // no tests, and no outcome
	Tests    int        `json:"tests"`
	Spreads  []spread   `json:"spreads"`
	Range    [2]float64 `json:"-"`
}

// spread describes the seconds or the EI of plates judged right.
type spread struct {
	Name   string `json:"name"`
	N      int    `json:"n"`
	Median string `json:"median"`
	Mean   string `json:"mean"` // geometric
	GSD    string `json:"gsd"`
	Middle string `json:"middle"` // quartiles
	Note   string `json:"note"`
}

func (s *stage) tally(plates []*record.Plate) tally {
	t := tally{Plates: len(plates)}
	var seconds, ei []float64
	lights := map[string]bool{}
	for _, p := range plates {
		switch {
		case p.Broken:
			continue
		case p.Purpose == "test":
			t.Tests++
		case p.Outcome == "":
			t.Unjudged++
		default:
			t.Of++
			if p.Outcome == "keeper" {
				t.Keepers++
			}
		}
		if p.Judged != "right" {
			continue
		}
		if p.Exposure.Seconds > 0 {
			seconds = append(seconds, p.Exposure.Seconds)
		}
		if set, ok := s.setting(p); ok {
			if x, err := set.EI(); err == nil {
				ei = append(ei, x)
				lights[oneLine(p.Light.Kind)] = true
			}
		}
	}
	t.say()
	t.Spreads = append(t.Spreads, newSpread("Seconds", seconds), newSpread("EI", ei))
	if len(lights) > 1 {
		t.Spreads[1].Note = fmt.Sprintf("pools %d kinds of light: advice never does", len(lights))
	}
	return t
}

func (t *tally) say() {
	switch {
	case t.Of == 0:
		t.Said = "No plate of it has an outcome yet."
		return
	case t.Of < tooFew:
		t.Said = "Too few to tell."
	}
	w, err := stats.Wilson(t.Keepers, t.Of, 0.95)
	if err != nil {
		return
	}
	t.Rate = fmt.Sprintf("%d of %d kept", t.Keepers, t.Of)
	t.Wilson, t.Range = percents(w.Lo, w.Hi), [2]float64{w.Lo, w.Hi}
	if t.Said == "" {
		t.Said = fmt.Sprintf("%s; with so many plates the rate may lie anywhere in %s.", percent(float64(t.Keepers)/float64(t.Of)), t.Wilson)
	}
}

func newSpread(name string, x []float64) spread {
	v := spread{Name: name, N: len(x), Median: "–", Mean: "–", GSD: "–", Middle: "–"}
	if len(x) == 0 {
		return v
	}
	q, err := stats.Quantiles(x, 0.25, 0.5, 0.75)
	if err != nil {
		return v
	}
	v.Median = figures(q[1], 2)
	if len(x) > 1 {
		v.Middle = figures(q[0], 2) + "–" + figures(q[2], 2)
	}
	mean, gsd, _ := stats.Geometric(x)
	v.Mean = figures(mean, 2)
	if !math.IsNaN(gsd) {
		v.GSD = fmt.Sprintf("× %.2f", gsd)
	}
	return v
}
