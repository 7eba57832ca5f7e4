package analysis

import (
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"sandarac/archive/record"
)

// The words of a comparison, at their edges.
func TestVerdict(t *testing.T) {
	few, many := &Group{TooFew: true}, &Group{}
	for _, c := range []struct {
		name     string
		pair     Pair
		p        float64
		modelled bool
		want     string
	}{
		{"under five plates", Pair{Newcombe95: Limits{0.1, 0.4}, HolmP: 0.001, a: few, b: many}, 0.99, true, TooFewToTell},
		{"a wide interval", Pair{Newcombe95: Limits{0.05, 0.6}, HolmP: 0.01, a: many, b: many}, 0.99, true, TooFewToTell},
		{"spans zero", Pair{Newcombe95: Limits{-0.01, 0.3}, HolmP: 0.2, a: many, b: many}, 0.97, true, NoClearDifference},
		{"the model is sure, Holm is not", Pair{Difference: 0.2, Newcombe95: Limits{0.02, 0.4}, HolmP: 0.2, a: many, b: many}, 0.95, true, ProbablyBetter},
		{"the model is not sure", Pair{Difference: 0.2, Newcombe95: Limits{0.02, 0.4}, HolmP: 0.2, a: many, b: many}, 0.7, true, NoClearDifference},
		{"the model sees it the other way", Pair{Difference: 0.2, Newcombe95: Limits{0.02, 0.4}, HolmP: 0.2, a: many, b: many}, 0.05, true, NoClearDifference},
		{"no model", Pair{Difference: 0.2, Newcombe95: Limits{0.02, 0.4}, HolmP: 0.2, a: many, b: many}, 0, false, NoClearDifference},
		{"Holm is sure", Pair{Difference: -0.3, Newcombe95: Limits{-0.4, -0.1}, HolmP: 0.01, a: many, b: many}, 0.01, true, Better},
	} {
		if got := verdict(c.pair, c.p, c.modelled); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// A sentence never gives a rate to more than whole percent, nor a bare p.
func TestFindingsSpeakPlainly(t *testing.T) {
	rates := regexp.MustCompile(`\d\.\d+ ?%`)
	p := regexp.MustCompile(`\bp [=<]`)
	long := regexp.MustCompile(`\d\.\d{3,}`)
	for seed := range uint64(12) {
		tr := usualTruth()
		tr.perBatch = 3 + 4*int(seed)
		a, _ := tr.draw(rand.New(rand.NewPCG(seed, 6)))
		r := analyse(t, a, 200)
		if len(r.Findings) == 0 || len(r.Findings) > MaxFindings {
			t.Errorf("%d findings", len(r.Findings))
		}
		for i, f := range r.Findings {
			if rates.MatchString(f.Text) || p.MatchString(f.Text) || long.MatchString(f.Text) {
				t.Errorf("too many digits: %s", f.Text)
			}
			if !strings.HasSuffix(f.Text, ".") || f.Strength == "" || f.About == "" {
				t.Errorf("%+v", f)
			}
			if i > 0 && f.weight > r.Findings[i-1].weight {
				t.Error("findings are not ranked")
			}
		}
		if !strings.Contains(strings.Join(r.Notes, "\n"), "Records observe") {
			t.Error("the caution is missing")
		}
	}
}

// With a large, real difference the comparison leads with both ns.
func TestBetterBatchIsSaid(t *testing.T) {
	a := newArchive()
	for i := range 120 {
		plate(a, i/4, func(p *record.Plate) {
			p.Batches.Collodion, p.Outcome = "c1", "keeper"
			if i%2 == 0 {
				p.Batches.Collodion = "c2"
				if i%4 == 0 {
					p.Outcome = "scrapped"
				}
			} else if i%12 == 1 {
				p.Outcome = "scrapped"
			}
		})
	}
	r := analyse(t, a, 60)
	for _, f := range r.Findings {
		if f.About == "collodion" {
			for _, want := range []string{"c1 is better than c2", "50 of 60", "30 of 60", "points"} {
				if !strings.Contains(f.Text, want) {
					t.Errorf("lacks %q: %s", want, f.Text)
				}
			}
			if f.Strength != Better {
				t.Errorf("strength %q", f.Strength)
			}
			return
		}
	}
	t.Errorf("no finding about collodion: %+v", r.Findings)
}

// What pages draw is there, in order, and adds up.
func TestSeries(t *testing.T) {
	tr := usualTruth()
	a, _ := tr.draw(rand.New(rand.NewPCG(8, 6)))
	s := analyse(t, a, 200).Series
	if len(s.Keepers) != tr.batches || len(s.Grades) != 2 || len(s.EI) == 0 || len(s.Baths) != 1 || len(s.Months) == 0 {
		t.Fatalf("%d, %d, %d, %d, %d", len(s.Keepers), len(s.Grades), len(s.EI), len(s.Baths), len(s.Months))
	}
	for _, k := range s.Keepers {
		if k.Interval[0] > k.Rate || k.Interval[1] < k.Rate || k.Adjusted == nil {
			t.Errorf("%+v", k)
		}
	}
	for _, c := range s.Grades {
		for _, p := range c.Points {
			if sum := p.Under + p.Right + p.Over; sum < 1-1e-9 || sum > 1+1e-9 || p.Right < 0 {
				t.Errorf("%+v", p)
			}
		}
		mid := c.Points[len(c.Points)/2]
		if mid.Stops != 0 || mid.Right < c.Points[0].Right {
			t.Errorf("right is likeliest at the aim: %+v", mid)
		}
	}
	for _, e := range s.EI {
		for i, p := range e.Points {
			if p.EI <= 0 || i > 0 && p.AgeDays < e.Points[i-1].AgeDays {
				t.Errorf("%+v", e)
			}
		}
	}
}
