package analysis

import (
	"math/rand/v2"
	"strings"
	"testing"

	"sandarac/archive/record"
)

func TestPlatesSinceMaintenance(t *testing.T) {
	a := newArchive()
	batch(a, "bath", "b1", date(0),
		record.LogEntry{Date: date(4), Action: "filtered"},
		record.LogEntry{Date: date(6), Action: "measured"},
		record.LogEntry{Date: date(20), Action: "sunned"})
	for day := range 10 {
		plate(a, day, func(p *record.Plate) { p.Outcome = "keeper" })
	}
	r := analyse(t, a, 15)
	b := r.Baths[0]
	// Days 0 to 3, then filtered before the plate of day 4; a reading is no
	// maintenance; sunned after the last plate.
	if b.Plates != 10 || b.SinceNow != 0 {
		t.Errorf("%+v", b)
	}
	if len(b.Wear) != 1 || b.Wear[0].Plates != 10 || b.Wear[0].Wilson95[1] != 1 {
		t.Errorf("%+v", b.Wear)
	}
	rows, _ := tabulate(a)
	lived := since(rows, []record.Date{date(4)})
	if lived[3].since != 4 || lived[4].since != 1 || lived[9].since != 6 {
		t.Errorf("%+v", lived)
	}
}

// Four baths, the last of which goes bad at its thirtieth plate: the chart
// finds it, says to test it, and looks back to about where it began. The poor
// light of another bath is not blamed on that bath.
func TestBathGoesBad(t *testing.T) {
	found, wrong := 0, 0
	for seed := range uint64(20) {
		rng := rand.New(rand.NewPCG(seed, 77))
		a := newArchive()
		id := 0
		for b, name := range []string{"b1", "b2", "b3", "b4"} {
			batch(a, "bath", name, date(60*b))
			for i := range 60 {
				id++
				plate(a, 60*b+i, func(p *record.Plate) {
					p.Batches.Bath = name
					p.Batches.Collodion = []string{"c1", "c2", "c3"}[i%3]
					keep := 0.85
					if name == "b2" || i%4 == 0 {
						p.Light.Kind, keep = "dull", 0.5
					}
					if name == "b4" && i >= 30 {
						keep /= 4
						p.Flaws = []string{"fog"}
					}
					p.Outcome = "keeper"
					if rng.Float64() > keep {
						p.Outcome = "scrapped"
					}
				})
			}
		}
		r := analyse(t, a, 300)
		for _, b := range r.Baths {
			if b.Signal != "" && b.Batch != "b4" {
				wrong++
			}
			if b.Batch != "b4" || b.Signal == "" {
				continue
			}
			found++
			first := r.Findings[0]
			if first.About != "bath" || !strings.Contains(first.Text, "Test the bath b4") || strings.Contains(first.Text, "bad") {
				t.Errorf("first finding: %+v", first)
			}
			at := 0
			for i, p := range b.Chart {
				if p.Plate == b.Signal {
					at = i
				}
			}
			if at < 25 || at > 55 {
				t.Errorf("signal at plate %d of the bath", at+1)
			}
		}
	}
	if found < 18 {
		t.Errorf("the bad bath was found in %d of 20 archives", found)
	}
	if wrong > 8 {
		t.Errorf("%d sound baths of 60 were called out", wrong)
	}
}
