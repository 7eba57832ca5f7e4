package analysis

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"sandarac/archive/record"
)

// Archives made in memory.

var zone = time.FixedZone("studio", 3600)

func newArchive() *record.Archive {
	return &record.Archive{
		Studio:  &record.Studio{Zone: zone, MeterConstant: 250, Lenses: []record.Lens{{ID: "petzval", FocalMM: 300, WidestStop: 4}}},
		Batches: map[string]*record.Batch{},
	}
}

func batch(a *record.Archive, kind, id string, mixed record.Date, log ...record.LogEntry) {
	a.Batches[id] = &record.Batch{ID: id, Kind: kind, Mixed: mixed, Log: log}
}

// plate adds a plate of a day (counted from 1 January 2026) and lets edit
// finish it.
func plate(a *record.Archive, day int, edit func(*record.Plate)) *record.Plate {
	ev := 10.0
	p := &record.Plate{
		ID: fmt.Sprintf("p%06d", len(a.Plates)+1), Purpose: "portrait",
		Made:     time.Date(2026, 1, 1, 10, 0, 0, 0, zone).AddDate(0, 0, day).Add(time.Duration(len(a.Plates)%600) * time.Minute / 2),
		Batches:  record.PlateBatches{Collodion: "c1", Bath: "b1"},
		Lens:     "petzval",
		Exposure: record.Exposure{Seconds: 4, Stop: 4},
		Light:    record.Light{Kind: "north", EV100: &ev},
		Format:   record.Formats[1],
	}
	if edit != nil {
		edit(p)
	}
	a.Plates = append(a.Plates, p)
	return p
}

func date(day int) record.Date {
	return record.DateOf(time.Date(2026, 1, 1, 0, 0, 0, 0, zone).AddDate(0, 0, day))
}

// atDose sets seconds so that the plate receives a dose at EV 10 and f/4.
func atDose(p *record.Plate, dose float64) {
	p.Exposure.Seconds = math.Exp2(dose) * 16 / 1024
}

func analyse(t testing.TB, a *record.Archive, day int) *Report {
	t.Helper()
	r, err := Analyse(context.Background(), a, date(day))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// truth is what simulated archives are drawn from.
type truth struct {
	batches, perBatch int
	slope, half       float64 // dose effect; half the distance of the thresholds
	batchSD           float64 // latent
	light             map[string]float64
	spread            float64 // of doses about the aim, stops
	keep              float64 // keeper rate
	agePerDay         float64 // latent
	aim               float64 // dose of a usual batch under a light of effect 0
}

func usualTruth() truth {
	return truth{batches: 8, perBatch: 15, slope: 2, half: 1, batchSD: 0.7,
		light: map[string]float64{"north": 0, "south": 0.8}, spread: 0.5, keep: 0.7, aim: 8}
}

// draw makes an archive and the true aim dose of every batch and light.
func (tr truth) draw(rng *rand.Rand) (*record.Archive, map[[2]string]float64) {
	a := newArchive()
	aims := map[[2]string]float64{}
	lights := sortedKeys(tr.light)
	batch(a, "bath", "b1", date(0))
	for b := range tr.batches {
		id := fmt.Sprintf("c%02d", b)
		mixed := b * 20
		batch(a, "collodion", id, date(mixed))
		effect := tr.batchSD * rng.NormFloat64()
		for _, l := range lights {
			aims[[2]string{id, l}] = tr.aim - (effect+tr.light[l])/tr.slope
		}
		for i := range tr.perBatch {
			l := lights[rng.IntN(len(lights))]
			age := i * 30 / tr.perBatch
			plate(a, mixed+age, func(p *record.Plate) {
				p.Batches.Collodion, p.Light.Kind = id, l
				dose := aims[[2]string{id, l}] - tr.agePerDay*float64(age)/tr.slope + tr.spread*rng.NormFloat64()
				atDose(p, dose)
				latent := tr.slope*(dose-tr.aim) + effect + tr.light[l] + tr.agePerDay*float64(age) + rng.NormFloat64()
				p.Judged = "right"
				if latent < -tr.half {
					p.Judged = "under"
				} else if latent > tr.half {
					p.Judged = "over"
				}
				p.Outcome = "keeper"
				if rng.Float64() > tr.keep {
					p.Outcome = "remake"
				}
			})
		}
	}
	return a, aims
}
