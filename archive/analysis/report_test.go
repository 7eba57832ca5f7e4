package analysis

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"unicode/utf8"

	"sandarac/archive/record"
)

// Every name that other programs read must be there, in any archive, and
// every null must have a reason.
func TestJSONContract(t *testing.T) {
	empty := newArchive()
	one := newArchive()
	plate(one, 3, func(p *record.Plate) { p.Outcome, p.Judged = "keeper", "right" })
	full, _ := usualTruth().draw(rand.New(rand.NewPCG(1, 1)))
	for name, a := range map[string]*record.Archive{"empty": empty, "one plate": one, "full": full} {
		b, err := json.Marshal(analyse(t, a, 400))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		var m map[string]any
		if err := json.Unmarshal(b, &m); err != nil {
			t.Fatal(err)
		}
		keys := func(where string, v any, want ...string) {
			obj, ok := v.(map[string]any)
			if !ok {
				t.Errorf("%s: %s is %T", name, where, v)
				return
			}
			for _, k := range want {
				if _, ok := obj[k]; !ok {
					t.Errorf("%s: %s lacks %q", name, where, k)
				}
			}
		}
		keys("report", m, "plates", "as_of", "groups", "pairs", "exposure_model", "exposure_model_age", "keeper_model", "ageing", "findings", "notes")
		keys("groups", m["groups"], "collodion", "bath", "light", "format", "lens", "month")
		keys("pairs", m["pairs"], "collodion", "light")
		if m["as_of"] != "2027-02-05" {
			t.Errorf("%s: as_of %v", name, m["as_of"])
		}
		notes := m["notes"].([]any)
		if m["exposure_model"] == nil && len(notes) < 2 {
			t.Errorf("%s: no exposure model and no reason: %v", name, notes)
		}
		for _, g := range m["groups"].(map[string]any)["collodion"].([]any) {
			keys("group", g, "key", "plates", "keepers", "keeper_rate", "wilson95", "too_few", "right")
			keys("right", g.(map[string]any)["right"], "n", "seconds", "ei")
		}
		if name != "full" {
			continue
		}
		keys("pair", m["pairs"].(map[string]any)["collodion"].([]any)[0], "a", "b", "difference", "newcombe95", "fisher_p", "holm_p")
		keys("exposure model", m["exposure_model"], "kind", "n", "log_likelihood", "tau", "dose", "light", "reference_light", "batch_sd", "batch", "latitude_stops", "cells", "notes")
		keys("cell", m["exposure_model"].(map[string]any)["cells"].([]any)[0], "batch", "light", "n", "aim_dose", "aim_ei", "aim_ei95", "aim_ei95_plugin")
		keys("exposure model with age", m["exposure_model_age"], "age_days", "dose", "cells")
		keys("keeper model", m["keeper_model"], "kind", "n", "log_likelihood", "intercept", "light", "age_days", "se", "batch_sd", "batch", "best", "notes")
		keys("best", m["keeper_model"].(map[string]any)["best"], "collodion", "light")
		keys("ageing", m["ageing"].([]any)[0], "batch", "n", "slope_stops_per_day", "interval95", "kendall_tau", "p")
		keys("finding", m["findings"].([]any)[0], "text", "strength", "about")
	}
}

// Counted by hand.
func TestGroupsByHand(t *testing.T) {
	a := newArchive()
	for i, outcome := range []string{"keeper", "keeper", "keeper", "keeper", "scrapped", ""} {
		plate(a, i, func(p *record.Plate) { p.Outcome = outcome })
	}
	plate(a, 9, func(p *record.Plate) {
		p.Purpose, p.Outcome, p.Judged, p.Exposure.Seconds = "test", "keeper", "right", 2
	})
	plate(a, 9, func(p *record.Plate) {
		p.Outcome, p.Judged, p.Exposure.Seconds = "keeper", "right", 8
		p.Batches.Collodion = "c2"
	})
	plate(a, 40, func(p *record.Plate) { p.Outcome, p.Broken = "keeper", true })
	r := analyse(t, a, 50)
	if r.Plates != 8 {
		t.Errorf("%d plates, want 8 without the broken one", r.Plates)
	}
	c1, _ := find(r.Groups.Collodion, "c1")
	if c1.Plates != 5 || c1.Keepers != 4 || c1.TooFew || len(c1.Members) != 5 || c1.Members[0] != "p000001" || c1.Unjudged != 1 || c1.Right.N != 1 {
		t.Errorf("c1: %+v", c1)
	}
	// 4 of 5: 38 to 96 %.
	if math.Abs(c1.Wilson95[0]-0.3755) > 1e-4 || math.Abs(c1.Wilson95[1]-0.9638) > 1e-4 {
		t.Errorf("c1: %v", *c1.Wilson95)
	}
	if c1.Right.EI.GSD != nil || *c1.Right.EI.Median != 100*16.0/(2*1024) {
		t.Errorf("c1 right: %+v", c1.Right.EI)
	}
	c2, _ := find(r.Groups.Collodion, "c2")
	if c2.Plates != 1 || !c2.TooFew {
		t.Errorf("c2: %+v", c2)
	}
	if len(r.Pairs.Collodion) != 1 || r.Pairs.Collodion[0].Verdict != TooFewToTell {
		t.Errorf("pairs: %+v", r.Pairs.Collodion)
	}
	if p := r.Pairs.Collodion[0]; math.Abs(p.Difference+0.2) > 1e-12 || p.FisherP != p.HolmP {
		t.Errorf("pair: %+v", p)
	}
	if len(r.Groups.Month) != 1 || r.Groups.Month[0].Key != "2026-01" {
		t.Errorf("months: %+v", r.Groups.Month)
	}
	for _, want := range []string{"1 plate left out: the record has an error.", "1 plate without an outcome"} {
		if !strings.Contains(strings.Join(r.Notes, "\n"), want) {
			t.Errorf("notes lack %q: %q", want, r.Notes)
		}
	}
}

// The tool's own path from records to numbers, on cases whose fits were
// computed by ordinal's clm and the Laplace likelihood of
// testdata/published/reference.R.
func TestModelEqualsReference(t *testing.T) {
	var ref struct {
		Ordered []struct {
			Name, Link string
			Y, Batch   []int
			Dose       []float64
			Light      []string
			Refined    *struct {
				Coef       []float64
				SD, LogLik float64
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
	checked := 0
	for _, c := range ref.Ordered {
		if c.Refined == nil || c.Link != "probit" {
			continue
		}
		checked++
		a := newArchive()
		for i, y := range c.Y {
			plate(a, i, func(p *record.Plate) {
				p.Batches.Collodion = fmt.Sprintf("c%03d", c.Batch[i])
				p.Light.Kind, p.Judged = c.Light[i], record.Grades[y-1]
				atDose(p, c.Dose[i])
			})
		}
		m := analyse(t, a, 999).ExposureModel
		close := func(what string, got, want float64) {
			if math.Abs(got-want) > 1e-5*math.Abs(want) {
				t.Errorf("%s: %s = %v, want %v", c.Name, what, got, want)
			}
		}
		if m.Kind != Mixed {
			t.Fatalf("%s: %s %q", c.Name, m.Kind, m.Notes)
		}
		// R's reference light is the first by name, ours the commonest.
		first := "north"
		if c.Light[0] == "a" || c.Light[0] == "b" || c.Light[0] == "c" {
			first = "a"
		}
		shift := *m.Light[first]
		close("tau 1", m.Tau[0]-shift, c.Refined.Coef[0])
		close("tau 2", m.Tau[1]-shift, c.Refined.Coef[1])
		close("dose", *m.Dose, c.Refined.Coef[2])
		close("sd", *m.BatchSD, c.Refined.SD)
		close("logLik", *m.LogLikelihood, c.Refined.LogLik)
		close("latitude", *m.LatitudeStops, (c.Refined.Coef[1]-c.Refined.Coef[0])/c.Refined.Coef[2])
		for _, cell := range m.Cells {
			eta := *m.Light[cell.Light] + *m.Batch[cell.Batch]
			aim := ((m.Tau[0]+m.Tau[1])/2 - eta) / *m.Dose
			close("aim", *cell.AimDose, aim)
			close("EI", *cell.AimEI, 100*math.Exp2(-aim))
			if l := cell.AimEI95Plugin; l == nil || l[0] > *cell.AimEI || l[1] < *cell.AimEI {
				t.Errorf("%s: plug-in %v about %v", c.Name, l, *cell.AimEI)
			}
			if l := cell.AimEI95; l == nil || l[0] > *cell.AimEI || l[1] < *cell.AimEI {
				t.Errorf("%s: averaged %v about %v", c.Name, l, *cell.AimEI)
			}
		}
	}
	if checked < 4 {
		t.Errorf("%d cases checked", checked)
	}
}

// Nothing may depend on the order of the files.
func TestOrderDoesNotMatter(t *testing.T) {
	for seed := range uint64(5) {
		rng := rand.New(rand.NewPCG(seed, 11))
		a, _ := usualTruth().draw(rng)
		want, err := json.Marshal(analyse(t, a, 300))
		if err != nil {
			t.Fatal(err)
		}
		rng.Shuffle(len(a.Plates), func(i, j int) { a.Plates[i], a.Plates[j] = a.Plates[j], a.Plates[i] })
		got, _ := json.Marshal(analyse(t, a, 300))
		if !bytes.Equal(got, want) {
			t.Fatalf("seed %d: another order gave another report", seed)
		}
	}
}

// Closing every lens by two stops (twice the f-number) and giving four times
// the time, or by one stop and twice the time, leaves every EI as it was.
func TestStopsAndTimesTogether(t *testing.T) {
	for _, c := range []struct{ stop, seconds float64 }{{2, 4}, {math.Sqrt2, 2}} {
		a, _ := usualTruth().draw(rand.New(rand.NewPCG(3, 5)))
		before := analyse(t, a, 300)
		for _, p := range a.Plates {
			p.Exposure.Stop *= c.stop
			p.Exposure.Seconds *= c.seconds
		}
		after := analyse(t, a, 300)
		for i, cell := range before.ExposureModel.Cells {
			if v := *after.ExposureModel.Cells[i].AimEI; math.Abs(v/(*cell.AimEI)-1) > 1e-9 {
				t.Errorf("%+v: EI %v, was %v", c, v, *cell.AimEI)
			}
		}
		for i, g := range before.Groups.Light {
			if v := *after.Groups.Light[i].Right.EI.Geomean; math.Abs(v/(*g.Right.EI.Geomean)-1) > 1e-12 {
				t.Errorf("%+v: geometric mean %v, was %v", c, v, *g.Right.EI.Geomean)
			}
		}
	}
}

// Lines keep to the width, whatever the names; at most eight findings; no
// number is printed raw.
func TestText(t *testing.T) {
	a, _ := usualTruth().draw(rand.New(rand.NewPCG(2, 2)))
	for _, p := range a.Plates[:40] {
		p.Light.Kind = "a very long name for the light of the window on the second landing of the north stairs"
		p.Lens = "Dallmeyer-like petzval, the one with the brass flange and the chipped rear element"
	}
	for _, width := range []int{60, 80, 0} {
		var b bytes.Buffer
		r := analyse(t, a, 300)
		if err := r.Text(&b, width); err != nil {
			t.Fatal(err)
		}
		limit := width
		if limit == 0 {
			limit = 80
		}
		for i, line := range strings.Split(b.String(), "\n") {
			if n := utf8.RuneCountInString(line); n > limit {
				t.Errorf("width %d: line %d has %d characters: %s", width, i+1, n, line)
			}
		}
		if strings.Contains(b.String(), "NaN") || strings.Contains(b.String(), "Inf") || strings.Contains(b.String(), "%!") {
			t.Error("a number that is none")
		}
		if len(r.Findings) > MaxFindings || len(r.Findings) == 0 {
			t.Errorf("%d findings", len(r.Findings))
		}
	}
	if err := analyse(t, a, 300).Text(failing{}, 80); !errors.Is(err, errFull) {
		t.Errorf("writer's error lost: %v", err)
	}
}

var errFull = errors.New("full")

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errFull }

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Analyse(ctx, newArchive(), date(1)); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}
