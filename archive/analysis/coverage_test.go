package analysis

import (
	"context"
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"sandarac/archive/stats"
)

// How many archives the simulation draws: few in every test run, 1,000 for
// the figures in DEVELOPERS.md:
//
//	go test ./archive/analysis -run Coverage -archives 1000
var (
	archives  = flag.Int("archives", 60, "archives drawn by the coverage simulation")
	perArch   = flag.Int("batches", 8, "batches of an archive drawn by it")
	perBatchN = flag.Int("perbatch", 15, "plates of a batch drawn by it")
)

// coverage counts how often an interval holds the truth.
type coverage struct{ held, of int }

func (c *coverage) add(l *Limits, truth float64) {
	if l == nil {
		return
	}
	c.of++
	if l[0] <= truth && truth <= l[1] {
		c.held++
	}
}

func (c coverage) rate() float64 { return float64(c.held) / float64(c.of) }

// The 95 % intervals of aim EI and of keeper rates must hold the truth in 93
// to 97 of 100 cases over archives drawn from a known truth: eight batches of
// fifteen plates under two lights, batches differing by 0.35 stop, keeper
// rates from 0.4 to 0.9.
func TestCoverage(t *testing.T) {
	rng := rand.New(rand.NewPCG(95, 1))
	tr := usualTruth()
	tr.batches, tr.perBatch = *perArch, *perBatchN
	var aims, plugin, rates, slopes coverage
	for range *archives {
		// At one true rate a count's coverage jumps with it (0.915 at 0.7 of
		// 15); over rates it is what it should be.
		tr.keep = 0.4 + 0.5*rng.Float64()
		a, truth := tr.draw(rng)
		r, err := Analyse(context.Background(), a, date(300))
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range r.ExposureModel.Cells {
			ei := 100 * math.Exp2(-truth[[2]string{c.Batch, c.Light}])
			aims.add(c.AimEI95, ei)
			plugin.add(c.AimEI95Plugin, ei)
		}
		for _, g := range r.Groups.Collodion {
			rates.add(g.Wilson95, tr.keep)
		}
		if p := r.AgeingPooled; p != nil {
			slopes.add(p.Interval95, 0)
		}
	}
	t.Logf("%d archives: aim EI %.3f (sd plugged in %.3f), keeper rate %.3f, pooled ageing %.3f",
		*archives, aims.rate(), plugin.rate(), rates.rate(), slopes.rate())
	// Cells of one archive share its slope and thresholds, so they count as
	// about three independent trials; batches' rates are independent.
	within := func(name string, c coverage, trials float64) {
		slack := 2.6 * math.Sqrt(0.95*0.05/trials)
		if *archives >= 1000 {
			slack = 0
		}
		if c.rate() < 0.93-slack || c.rate() > 0.97+slack {
			t.Errorf("%s: covered %.3f of %d", name, c.rate(), c.of)
		}
	}
	within("aim EI", aims, 3*float64(*archives))
	within("keeper rate", rates, float64(rates.of))
	if slopes.rate() < 0.88 {
		t.Errorf("pooled ageing: covered %.3f of %d", slopes.rate(), slopes.of)
	}
}

// A false alarm of a bath's chart comes about once in 500 plates, and a
// failure rate that rises from 0.3 to 0.6 is seen within about 12 plates on
// a bench that has run for a while.
func TestBathChartAlarms(t *testing.T) {
	rng := rand.New(rand.NewPCG(22, 1))
	k := &keeperFit{data: &keeperData{levels: levels{reference: "north"}}, intercept: math.Log(0.7 / 0.3)}
	length := func(sound, most int) (at int, seen bool) {
		var lived []bathPlate
		for i := range most {
			fail := 0.3
			if i >= sound {
				fail = 0.6
			}
			x := row{outcome: 1}
			if rng.Float64() < fail {
				x.outcome = 0
			}
			lived = append(lived, bathPlate{x, i + 1})
		}
		_, signal := k.run(lived)
		return signal, signal >= 0
	}
	var alarms, plates float64
	for range 300 {
		at, seen := length(5000, 5000)
		if !seen {
			at = 4999
		} else {
			alarms++
		}
		plates += float64(at + 1)
	}
	if arl := plates / alarms; arl < 350 || arl > 1200 {
		t.Errorf("a false alarm every %.0f plates", arl)
	}
	var delay []float64
	for len(delay) < 300 {
		if at, seen := length(40, 140); seen && at >= 40 {
			delay = append(delay, float64(at-39))
		}
	}
	if m, _ := stats.Median(delay); m > 18 {
		t.Errorf("a bad bath is seen after %v plates", m)
	}
}
