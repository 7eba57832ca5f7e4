package analysis

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"sandarac/archive/record"
)

// Archives with anything missing: the report is always valid JSON without a
// number that is none, the text keeps its width, the advice is an answer or a
// named refusal.
func TestAnyArchive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := newArchive()
		if rapid.Bool().Draw(t, "no studio") {
			a.Studio = nil
		}
		for _, id := range []string{"c1", "c2"} {
			if rapid.Bool().Draw(t, "batch "+id) {
				batch(a, "collodion", id, date(rapid.IntRange(-10, 30).Draw(t, "mixed")))
			}
		}
		word := func(name string, words ...string) string {
			return rapid.SampledFrom(words).Draw(t, name)
		}
		for range rapid.IntRange(0, 40).Draw(t, "plates") {
			plate(a, rapid.IntRange(0, 60).Draw(t, "day"), func(p *record.Plate) {
				p.Purpose = word("purpose", "portrait", "portrait", "test")
				p.Batches.Collodion, p.Batches.Bath = word("collodion", "c1", "c2", "c3", ""), word("bath", "b1", "b2", "")
				p.Light.Kind = word("light", "north", "south", "")
				p.Judged, p.Outcome = word("judged", "under", "right", "over", ""), word("outcome", "keeper", "remake", "scrapped", "")
				p.Exposure.Seconds = rapid.SampledFrom([]float64{0, 0.5, 2, 4, 8, 1e6}).Draw(t, "seconds")
				p.Exposure.Stop = rapid.SampledFrom([]float64{0, 2.8, 4, 4, 1e3}).Draw(t, "stop")
				switch rapid.IntRange(0, 4).Draw(t, "reading") {
				case 0:
					p.Light.EV100 = nil
				case 1:
					lux := rapid.SampledFrom([]float64{-1, 0, 100, 1e5}).Draw(t, "lux")
					p.Light.EV100, p.Light.Lux = nil, &lux
				case 2:
					x := rapid.SampledFrom([]float64{-1, 250, 300, 600}).Draw(t, "extension")
					p.Exposure.ExtensionMM = &x
				}
				p.Broken = rapid.IntRange(0, 9).Draw(t, "broken") == 0
			})
		}
		r, err := Analyse(context.Background(), a, date(rapid.IntRange(0, 90).Draw(t, "today")))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := json.Marshal(r); err != nil {
			t.Fatal(err)
		}
		var text bytes.Buffer
		if err := r.Text(&text, 80); err != nil {
			t.Fatal(err)
		}
		for _, bad := range []string{"NaN", "Inf", "%!"} {
			if strings.Contains(text.String(), bad) {
				t.Fatalf("%s in\n%s", bad, text.String())
			}
		}
		ev := 10.0
		for _, light := range []string{"north", "lamps"} {
			v, err := Expose(context.Background(), a, Ask{Collodion: "c1", Light: light, EV100: &ev, Stop: 4, Today: date(20)})
			switch {
			case errors.Is(err, ErrNoData):
			case err != nil:
				t.Fatal(err)
			case !(v.Seconds > 0) || math.IsInf(v.Seconds, 0):
				t.Fatalf("%+v", v)
			case v.Seconds95 != nil && !(v.Seconds95[0] <= v.Seconds95[1]):
				t.Fatalf("%+v", v)
			default:
				if _, err := json.Marshal(v); err != nil {
					t.Fatal(err)
				}
			}
		}
		if _, err := r.ExposureTable("c1", "north"); err != nil && !errors.Is(err, ErrNoData) {
			t.Fatal(err)
		}
	})
}

// The keeper model on cases computed by lme4's glmer through
// testdata/published/reference.R.
func TestKeeperModelEqualsReference(t *testing.T) {
	var ref struct {
		Binary []struct {
			Name                 string
			Y, South, Age, Batch []int
			GLMER                struct {
				Coef, Modes []float64
				SD, LogLik  float64
			}
		}
	}
	b, err := os.ReadFile("../../testdata/published/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, &ref); err != nil {
		t.Fatal(err)
	}
	for _, c := range ref.Binary {
		a := newArchive()
		for i, y := range c.Y {
			id := fmt.Sprintf("c%03d", c.Batch[i])
			if _, ok := a.Batches[id]; !ok {
				batch(a, "collodion", id, date(0))
			}
			plate(a, c.Age[i], func(p *record.Plate) {
				p.Batches.Collodion, p.Outcome = id, []string{"scrapped", "keeper"}[y]
				p.Light.Kind = []string{"north", "south"}[c.South[i]]
			})
		}
		k := analyse(t, a, 99).KeeperModel
		if k.Kind != Mixed || k.N != len(c.Y) {
			t.Fatalf("%s: %s of %d, %q", c.Name, k.Kind, k.N, k.Notes)
		}
		close := func(what string, got, want float64) {
			if math.Abs(got-want) > 2e-4 {
				t.Errorf("%s: %s = %v, want %v", c.Name, what, got, want)
			}
		}
		close("intercept", *k.Intercept+*k.Light["north"], c.GLMER.Coef[0])
		close("south", *k.Light["south"]-*k.Light["north"], c.GLMER.Coef[1])
		close("age", *k.AgeDays, c.GLMER.Coef[2])
		close("sd", *k.BatchSD, c.GLMER.SD)
		close("logLik", *k.LogLikelihood, c.GLMER.LogLik)
	}
}
