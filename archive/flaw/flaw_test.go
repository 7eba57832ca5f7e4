package flaw

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"sandarac/archive/chemistry"
	"sandarac/archive/chemistry/silverbath"
	"sandarac/archive/record"
)

// empty knows no batch.
type empty struct{}

func (empty) Recipe(string) (chemistry.Recipe, bool)    { return chemistry.Recipe{}, false }
func (empty) Account(string) (silverbath.Account, bool) { return silverbath.Account{}, false }

func archive(t testing.TB, plates ...string) *record.Archive {
	t.Helper()
	root := t.TempDir()
	files := map[string]string{"studio.md": "---\nstudio: Test Rooms\nurl: https://plates.example/\ntime_zone: Europe/Dublin\n---\n"}
	for i, p := range plates {
		files[fmt.Sprintf("p%04d.md", i)] = fmt.Sprintf("---\nplate: p%04d\nmade: 2026-03-01T10:00\nsitters: []\n%s---\n", i, p)
	}
	for name, content := range files {
		if err := os.WriteFile(filepath.Join(root, name), []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	a, _, err := record.Read(context.Background(), root)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func plates(n int, collodion, flaw string) []string {
	var out []string
	for range n {
		p := "outcome: keeper\nbatches: {collodion: " + collodion + "}\n"
		if flaw != "" {
			p += "flaws: [" + flaw + "]\n"
		}
		out = append(out, p)
	}
	return out
}

func join(lists ...[]string) []string {
	var out []string
	for _, l := range lists {
		out = append(out, l...)
	}
	return out
}

var today = record.Date{Year: 2026, Month: 4, Day: 1}

func TestComets(t *testing.T) {
	a := archive(t, join(plates(9, "c1", "comets"), plates(51, "c1", ""), plates(2, "c2", "comets"), plates(138, "c2", ""))...)
	r, err := Read(a, today, empty{})
	if err != nil {
		t.Fatal(err)
	}
	if r.Looked != 200 || len(r.Pages) != 1 || r.Pages[0].Slug != "comets" || r.Pages[0].Count != 11 {
		t.Fatalf("%+v", r)
	}
	c := r.Pages[0].Contrasts
	if len(c) != 1 { // two batches are one comparison
		t.Fatalf("%d contrasts: %+v", len(c), c)
	}
	// 0.000399024761772: the two-sided sum of hypergeometric probabilities in
	// exact fractions, by a separate program.
	if math.Abs(c[0].P-0.000399024761772) > 1e-12 || c[0].Holm != c[0].P || c[0].Strength != MoreOften {
		t.Errorf("%+v", c[0])
	}
	if want := "comets: 9 of 60 plates from collodion c1, 2 of 140 from the others (p < 0.001)"; c[0].Text != want {
		t.Errorf("%q, want %q", c[0].Text, want)
	}
	if c[0].Newcombe95.Lo <= 0 || !c[0].Newcombe95.Contains(c[0].Difference) {
		t.Errorf("interval %+v", c[0].Newcombe95)
	}
}

func TestThreeBatches(t *testing.T) {
	a := archive(t, join(plates(9, "c1", "comets"), plates(51, "c1", ""), plates(2, "c2", "comets"), plates(68, "c2", ""), plates(70, "c3", ""))...)
	r, err := Read(a, today, empty{})
	if err != nil {
		t.Fatal(err)
	}
	c := r.Pages[0].Contrasts
	if len(c) != 3 || c[0].Level != "c1" || c[0].Holm < 3*c[0].P-1e-15 {
		t.Fatalf("%+v", c)
	}
	if !strings.Contains(c[0].Text, "allowing for the 3 comparisons") || !strings.Contains(strings.Join(r.Pages[0].Notes, " "), "not a cause") {
		t.Errorf("%q, %q", c[0].Text, r.Pages[0].Notes)
	}
}

func TestTooFew(t *testing.T) {
	a := archive(t, join(plates(2, "c1", "fog"), plates(50, "c2", ""), plates(4, "c3", ""))...)
	r, err := Read(a, today, empty{})
	if err != nil {
		t.Fatal(err)
	}
	p := r.Pages[0]
	if len(p.Contrasts) != 0 || !strings.Contains(p.Notes[0], "too few") || p.Looked != 56 {
		t.Errorf("%+v", p)
	}
	// Five plates a side at the least.
	a = archive(t, join(plates(4, "c1", "fog"), plates(50, "c2", ""))...)
	r, err = Read(a, today, empty{})
	if err != nil || len(r.Pages[0].Contrasts) != 0 || !strings.Contains(r.Pages[0].Notes[0], "No two groups") {
		t.Errorf("%+v, %v", r.Pages, err)
	}
}

func TestUnlookedPlatesDoNotCount(t *testing.T) {
	a := archive(t, join(plates(5, "c1", "fog"), []string{"batches: {collodion: c1}\n"}, plates(5, "c2", ""))...)
	r, err := Read(a, today, empty{})
	if err != nil || r.Looked != 10 {
		t.Errorf("looked at %d, %v", r.Looked, err)
	}
	early, err := Read(a, record.Date{Year: 2026, Month: 2, Day: 1}, empty{})
	if err != nil || early.Looked != 0 || len(early.Pages) != 0 {
		t.Errorf("before the first plate: %+v, %v", early, err)
	}
}

func TestMedianSplit(t *testing.T) {
	var list []string
	for i := range 40 {
		p := fmt.Sprintf("outcome: keeper\nair: {temperature_c: %d}\n", 10+i)
		if i >= 28 {
			p += "flaws: [oysters]\n"
		}
		list = append(list, p)
	}
	r, err := Read(archive(t, list...), today, empty{})
	if err != nil {
		t.Fatal(err)
	}
	c := r.Pages[0].Contrasts
	if len(c) != 1 || c[0].Factor != Warmth || c[0].Level != "above 29.5 °C" || c[0].With != 12 || c[0].Of != 20 || c[0].OtherWith != 0 {
		t.Fatalf("%+v", c)
	}
	if want := "oysters: 12 of 20 plates with air temperature above 29.5 °C, 0 of 20 at or below that (p < 0.001)"; c[0].Text != want {
		t.Errorf("%q", c[0].Text)
	}
}

// TestCountsAddUp: in any archive every contrast counts plates of the page, and
// Holm never falls below Fisher.
func TestCountsAddUp(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var looked []*record.Plate
		for i := range rapid.IntRange(0, 80).Draw(rt, "n") {
			p := &record.Plate{ID: fmt.Sprint(i), Outcome: "keeper"}
			p.Batches.Collodion = rapid.SampledFrom([]string{"", "a", "b", "c"}).Draw(rt, "c")
			p.Light.Kind = rapid.SampledFrom([]string{"", "window", "lamp"}).Draw(rt, "l")
			p.Flaws = rapid.SampledFrom([][]string{nil, {"fog"}, {"fog", "comets"}}).Draw(rt, "f")
			if rapid.Bool().Draw(rt, "warm?") {
				x := rapid.Float64Range(5, 35).Draw(rt, "warm")
				p.Air.TemperatureC = &x
			}
			looked = append(looked, p)
		}
		a := &record.Archive{Plates: looked}
		r, err := Read(a, today, empty{})
		if err != nil {
			rt.Fatal(err)
		}
		for _, page := range r.Pages {
			if page.Count != len(page.Plates) || page.Count > page.Looked || !page.Wilson95.Contains(page.Rate) {
				rt.Fatalf("%+v", page)
			}
			for _, c := range page.Contrasts {
				if c.With > c.Of || c.OtherWith > c.OtherOf || c.Of+c.OtherOf > page.Looked || c.With+c.OtherWith > page.Count || c.Of < fewest || c.OtherOf < fewest {
					rt.Fatalf("counts: %+v", c)
				}
				if c.Holm < c.P || c.P < 0 || c.Holm > 1 || c.Text == "" || (c.Strength != Unclear) != (c.Holm <= 0.05) {
					rt.Fatalf("p: %+v", c)
				}
			}
		}
	})
}

func TestPlate(t *testing.T) {
	a := archive(t, "judged: under\ndevelopment: {seconds: 5, temperature_c: 12}\nflaws: [thin, fog]\nbatches: {fixer: f1}\n")
	p := a.Plates[0]
	got := Plate(a, p, empty{}, chemistry.Facts{chemistry.StopsOverAim: -1.5})
	if len(got) != 2 || got[0].Slug != "thin" || got[1].Slug != "fog" {
		t.Fatalf("%+v", got)
	}
	if first := got[0].Readings[0]; !first.Supported() || len(first.For) != 2 {
		t.Errorf("thin: %+v", first)
	}
	if f := Facts(a, p, empty{}); f[chemistry.PlatesInFixer] != 1 || f[chemistry.DevelopedSeconds] != 5 {
		t.Errorf("facts %v", f)
	}
}

func TestPValue(t *testing.T) {
	for p, want := range map[float64]string{0.0004: "p < 0.001", 0.001: "p = 0.001", 0.02: "p = 0.02", 0.6: "p = 0.6", 1: "p = 1", 0.1234: "p = 0.123"} {
		if got := pValue(p); got != want {
			t.Errorf("%v: %q, want %q", p, got, want)
		}
	}
}
