package chemistry

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestFlawVocabulary(t *testing.T) {
	want := strings.Fields(`fog comets oysters curtains crepe ridges pinholes black-spots streaks oily-lines vertical-lines scum fantasy lifting
		thin flat solarised cut-off developer-marks unfixed reticulation varnish light-leak movement stains rust dust scratch`)
	if got := len(Flaws()); got != len(want) {
		t.Errorf("%d flaws, want %d", got, len(want))
	}
	for _, slug := range want {
		f, ok := FlawOf(slug)
		if !ok || f.Slug != slug || f.Look == "" || len(f.Causes) == 0 || f.Records == "" {
			t.Errorf("%s: %+v", slug, f)
		}
		for _, c := range f.Causes {
			if c.Text == "" || c.Remedy == "" || c.Source == "" {
				t.Errorf("%s: a cause is not whole: %+v", slug, c)
			}
			for _, s := range c.Signs {
				if factWords[s.Fact].name == "" {
					t.Errorf("%s: fact %q has no words", slug, s.Fact)
				}
			}
		}
	}
	seen := map[string]string{}
	for _, f := range Flaws() {
		for _, w := range append([]string{f.Slug, f.Term}, f.Synonyms...) {
			if other, ok := seen[foldFlaw(w)]; ok && other != f.Slug {
				t.Errorf("%q names %s and %s", w, other, f.Slug)
			}
			seen[foldFlaw(w)] = f.Slug
		}
	}
	for word, slug := range map[string]string{"Veil": "fog", "pin holes": "pinholes", "greasy lines": "oily-lines", "Rush mark": "developer-marks", "marbled cloud": "fantasy"} {
		if f, ok := FlawOf(word); !ok || f.Slug != slug {
			t.Errorf("%q is %q", word, f.Slug)
		}
	}
	if _, ok := FlawOf("gremlins"); ok {
		t.Error("gremlins are no flaw")
	}
}

func TestFlawRead(t *testing.T) {
	fog, _ := FlawOf("fog")
	got := fog.Read(Facts{BathPH: 4.2, DevelopedSeconds: 40, DeveloperWarmth: 27, Overexposure: 0})
	if got[0].Text != "developer warm or left on too long" || len(got[0].For) != 2 {
		t.Errorf("first %+v", got[0])
	}
	if want := "developer at 27 °C, above 24"; got[0].For[0] != want {
		t.Errorf("evidence %q, want %q", got[0].For[0], want)
	}
	last := got[len(got)-1]
	if last.Text != "over-exposure" || last.Against[0] != "judged right" {
		t.Errorf("last %+v", last)
	}
	if second := got[1]; second.Supported() || len(second.Against) != 0 {
		t.Errorf("silence comes between: %+v", second)
	}
	thin, _ := FlawOf("thin")
	for x, want := range map[float64]string{0.4: "the bath 0.4 % w/v under its floor, by its account", -1: "the bath not under its floor, by its account"} {
		verdict, text := above(BathUnderFloor, 0).Read(Facts{BathUnderFloor: x})
		if text != want || (verdict == For) != (x > 0) {
			t.Errorf("%v under the floor: %v, %q", x, verdict, text)
		}
	}
	first := thin.Read(Facts{Overexposure: -1, StopsOverAim: -1.25})[0]
	if first.Text != "under-exposed" || len(first.For) != 2 || first.For[0] != "judged under" || first.For[1] != "dose against the aim -1.25 stops, below -0.7" {
		t.Errorf("%+v", first)
	}
}

// TestFlawReadKeepsAll: reading sorts the causes, it never drops or invents one.
func TestFlawReadKeepsAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		facts := Facts{}
		for f := range factWords {
			if rapid.Bool().Draw(t, string(f)) {
				facts[f] = rapid.Float64Range(-10, 200).Draw(t, "x")
			}
		}
		f := rapid.SampledFrom(Flaws()).Draw(t, "flaw")
		got := f.Read(facts)
		if len(got) != len(f.Causes) {
			t.Fatalf("%d readings of %d causes", len(got), len(f.Causes))
		}
		worst := 0
		for _, r := range got {
			if r.rank() < worst {
				t.Fatalf("out of order: %+v", got)
			}
			worst = r.rank()
			if len(r.For)+len(r.Against) > len(r.Signs) {
				t.Fatalf("more evidence than signs: %+v", r)
			}
		}
	})
}
