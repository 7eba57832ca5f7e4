package analysis

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"sandarac/archive/record"
)

// P. K. Sen's worked example (JASA 63 (1968) 1379-1389), as a batch whose
// log2 EI is Sen's y: slope 4, and the tie-free exact p of its seven pairs.
func TestAgeingIsSen(t *testing.T) {
	a := newArchive()
	batch(a, "collodion", "c1", date(0))
	for i, x := range []int{1, 2, 3, 4, 10, 12, 18} {
		y := []float64{9, 15, 19, 20, 45, 55, 78}[i]
		plate(a, x, func(p *record.Plate) {
			p.Judged = "right"
			atDose(p, math.Log2(100)-y)
		})
	}
	r := analyse(t, a, 30)
	if len(r.Ageing) != 1 {
		t.Fatalf("%+v", r.Ageing)
	}
	g := r.Ageing[0]
	if math.Abs(*g.SlopeStopsPerDay-4) > 1e-9 || math.Abs(g.Interval95[0]-3.71428571428571) > 1e-9 || math.Abs(g.Interval95[1]-4.375) > 1e-9 {
		t.Errorf("%v %v", *g.SlopeStopsPerDay, *g.Interval95)
	}
	if *g.KendallTau != 1 || math.Abs(*g.P/0.000396825396825395-1) > 1e-7 || g.N != 7 {
		t.Errorf("%+v", g)
	}
}

// Batches of one plate, or of one age, have no slope, and the notes say so.
func TestAgeingMissing(t *testing.T) {
	a := newArchive()
	batch(a, "collodion", "c1", date(0))
	batch(a, "collodion", "c2", date(0))
	plate(a, 3, func(p *record.Plate) { p.Judged = "right" })
	for range 3 {
		plate(a, 4, func(p *record.Plate) { p.Judged, p.Batches.Collodion = "right", "c2" })
	}
	r := analyse(t, a, 30)
	for _, g := range r.Ageing {
		if g.SlopeStopsPerDay != nil || g.Interval95 != nil || g.P != nil {
			t.Errorf("%+v", g)
		}
	}
	if r.AgeingPooled != nil || !strings.Contains(strings.Join(r.Notes, "\n"), "No ageing slope for 2 of 2 batches") {
		t.Errorf("%+v, %q", r.AgeingPooled, r.Notes)
	}
}

// Ten batches losing 0.4 stop a week, each too short to show it alone: the
// pooled slope finds it and the finding says when the exposure will double.
func TestAgeingPooled(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 1))
	a := newArchive()
	for b := range 10 {
		id := fmt.Sprintf("c%02d", b)
		batch(a, "collodion", id, date(10*b))
		high := 0.5 * rng.NormFloat64()
		for age := range 16 {
			plate(a, 10*b+age, func(p *record.Plate) {
				p.Batches.Collodion, p.Judged = id, "right"
				atDose(p, 8+high+0.4*float64(age)/7+0.3*rng.NormFloat64())
			})
		}
	}
	r := analyse(t, a, 120)
	week := -7 * *r.AgeingPooled.SlopeStopsPerDay
	if week < 0.3 || week > 0.5 || r.AgeingPooled.Interval95[1] >= 0 {
		t.Errorf("%v a week, %v", week, *r.AgeingPooled.Interval95)
	}
	said := ""
	for _, f := range r.Findings {
		if f.About == "ageing" {
			said = f.Text
		}
	}
	for _, want := range []string{"Collodion loses about 0.4 stop a week", "c09 needs twice today's exposure by 1", "May", "160 plates judged right"} {
		if !strings.Contains(said, want) {
			t.Errorf("finding lacks %q: %s", want, said)
		}
	}
}
