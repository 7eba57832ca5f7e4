package analysis

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"sandarac/archive/record"
)

// drawn is a small archive with a given truth and an edit of each plate.
func drawn(seed uint64, tr truth, edit func(i int, p *record.Plate)) *record.Archive {
	a, _ := tr.draw(rand.New(rand.NewPCG(seed, 3)))
	for i, p := range a.Plates {
		if edit != nil {
			edit(i, p)
		}
	}
	return a
}

// Each thing the data may lack, the model it leads to, and the sentence.
func TestLadder(t *testing.T) {
	tr := usualTruth()
	for _, c := range []struct {
		name, kind, note string
		light            bool
		archive          *record.Archive
	}{
		{"all there", Mixed, "", true, drawn(1, tr, nil)},
		{"one light", Mixed, "One kind of light only", true, drawn(1, tr, func(_ int, p *record.Plate) { p.Light.Kind = "north" })},
		{"one batch", Fixed, "One collodion batch only", true, drawn(1, tr, func(_ int, p *record.Plate) { p.Batches.Collodion = "c00" })},
		{"one batch, one light", Fixed, "One kind of light only", true, drawn(1, tr, func(_ int, p *record.Plate) {
			p.Batches.Collodion, p.Light.Kind = "c00", "north"
		})},
		{"no unders", Simple, "no plate is judged under", false, drawn(1, tr, func(_ int, p *record.Plate) {
			if p.Judged == "under" {
				p.Judged = "right"
			}
		})},
		{"all right", Simple, "no plate is judged under or over", false, drawn(1, tr, func(_ int, p *record.Plate) { p.Judged = "right" })},
		{"one light always over", Mixed, "Step down to batches without light", false, drawn(1, tr, func(i int, p *record.Plate) {
			if i%20 == 0 {
				p.Light.Kind, p.Judged = "lamps", "over"
				atDose(p, 8)
			}
		})},
		{"dose separates", Simple, "medians of the plates judged right", false, drawn(1, tr, func(i int, p *record.Plate) {
			p.Judged = record.Grades[i%3]
			atDose(p, 7+float64(i%3)+float64(i)/1000)
		})},
		{"backwards", Simple, "more exposure is not judged more exposed", false, drawn(1, tr, func(_ int, p *record.Plate) {
			switch p.Judged {
			case "under":
				p.Judged = "over"
			case "over":
				p.Judged = "under"
			}
		})},
	} {
		m := analyse(t, c.archive, 300).ExposureModel
		if m.Kind != c.kind {
			t.Errorf("%s: %s, want %s: %q", c.name, m.Kind, c.kind, m.Notes)
		}
		if !strings.Contains(strings.Join(m.Notes, "\n"), c.note) {
			t.Errorf("%s: notes lack %q: %q", c.name, c.note, m.Notes)
		}
		if (m.Light != nil) != c.light {
			t.Errorf("%s: light effects %v", c.name, m.Light)
		}
		for _, cell := range m.Cells {
			if c.kind != Simple && (cell.AimEI95 == nil || !(cell.AimEI95[0] < *cell.AimEI && *cell.AimEI < cell.AimEI95[1])) {
				t.Errorf("%s: cell %+v", c.name, cell)
			}
		}
	}
}

// A handful of plates: no interval is narrower than the plates warrant, no
// latitude is printed, nothing breaks.
func TestTinyArchives(t *testing.T) {
	for n := range 12 {
		for seed := range uint64(10) {
			tr := usualTruth()
			tr.batches, tr.perBatch = 1+n%3, 1+n
			a := drawn(seed, tr, nil)
			r := analyse(t, a, 200)
			m := r.ExposureModel
			if m == nil {
				t.Fatal("no model of judged plates")
			}
			if m.LatitudeStops != nil && (*m.LatitudeStops <= 0 || m.fitted.slopeZ() < slopeZ) {
				t.Errorf("latitude %v", *m.LatitudeStops)
			}
			for _, c := range m.Cells {
				if l := c.AimEI95; l != nil && (math.IsNaN(l[0]) || l[0] > l[1]) {
					t.Errorf("limits %v", *l)
				}
			}
		}
	}
}

func TestKeeperLadder(t *testing.T) {
	tr := usualTruth()
	for _, c := range []struct {
		name, kind, note string
		archive          *record.Archive
	}{
		{"all there", Mixed, "", drawn(4, tr, nil)},
		{"one batch", Fixed, "One collodion batch only", drawn(4, tr, func(i int, p *record.Plate) { p.Batches.Collodion = "c00" })},
		{"all keepers", Firth, "all keepers or all failures", drawn(4, tr, func(_ int, p *record.Plate) { p.Outcome = "keeper" })},
		{"a light never fails", Firth, "separates keepers from failures", drawn(4, tr, func(_ int, p *record.Plate) {
			if p.Light.Kind == "south" {
				p.Outcome = "keeper"
			}
		})},
		{"no ages", Mixed, "No age in the model", drawn(4, tr, func(_ int, p *record.Plate) { p.Batches.Collodion = "x" + p.Batches.Collodion })},
	} {
		k := analyse(t, c.archive, 300).KeeperModel
		if k.Kind != c.kind || !strings.Contains(strings.Join(k.Notes, "\n"), c.note) {
			t.Errorf("%s: %s %q, want %s and %q", c.name, k.Kind, k.Notes, c.kind, c.note)
		}
		if k.Intercept == nil {
			t.Errorf("%s: no intercept", c.name)
		}
		for l, v := range k.Light {
			if v == nil || math.Abs(*v) > 20 {
				t.Errorf("%s: effect of %s %v", c.name, l, v)
			}
		}
	}
}

// Batches that really differ: the best is found, the probabilities add up,
// and a batch of under five plates never leads.
func TestBestBatch(t *testing.T) {
	tr := usualTruth()
	tr.perBatch = 40
	a := drawn(5, tr, func(i int, p *record.Plate) {
		good := p.Batches.Collodion == "c03"
		p.Outcome = "keeper"
		if i%10 < 5 && !good || i%10 == 0 && good {
			p.Outcome = "scrapped"
		}
		if i < 3 {
			p.Batches.Collodion, p.Outcome = "lucky", "keeper"
		}
	})
	k := analyse(t, a, 300).KeeperModel
	if k.Kind != Mixed || k.Best.Collodion == nil {
		t.Fatalf("%s, best %v, %q", k.Kind, k.Best, k.Notes)
	}
	sum := 0.0
	for _, p := range k.Best.Collodion {
		sum += p
	}
	if math.Abs(sum-1) > 1e-9 {
		t.Errorf("probabilities add up to %v", sum)
	}
	if p := k.Best.Collodion["c03"]; p < 0.9 {
		t.Errorf("the best batch has %v", p)
	}
	if _, ok := k.Best.Collodion["lucky"]; ok {
		t.Error("three plates made a best batch")
	}
}
