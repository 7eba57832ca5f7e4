package portfolio

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"sandarac/archive/chemistry/substance"
	"sandarac/archive/hugo"
	"sandarac/templates"
)

func TestSlug(t *testing.T) {
	for text, want := range map[string]string{
		"Lock keeper, in profile":   "lock-keeper-in-profile",
		"  Ærøskøbing — Straße 7 ":  "aeroskobing-strasse-7",
		"Kvinnan på bryggan":        "kvinnan-pa-bryggan",
		"銀板":                        "",
		"O’Hara's":                  "oharas",
		"../../etc/passwd":          "etc-passwd",
		strings.Repeat("long ", 40): strings.TrimSuffix(strings.Repeat("long-", 10), "-")[:slugLength],
	} {
		if got := slug(text); got != strings.Trim(want, "-") {
			t.Errorf("slug(%q) = %q, want %q", text, got, want)
		}
	}
}

var safeName = regexp.MustCompile(`^[a-z0-9]*(-[a-z0-9]+)*$`)

func TestNamesAreSafeAndDistinct(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOfNDistinct(rapid.OneOf(rapid.String(), rapid.StringMatching(`[aA]-?[bB]?|page|con|lpt1|`)), 1, 20, rapid.ID).Draw(t, "words")
		slugs := termSlugs(testSecret, "tag", words)
		seen := map[string]string{}
		for _, w := range words {
			s := slugs[w]
			if !safeName.MatchString(s) || hugo.Taken(s) {
				t.Fatalf("%q has the folder %q", w, s)
			}
			if other, taken := seen[s]; taken {
				t.Fatalf("%q and %q share the folder %q", w, other, s)
			}
			seen[s] = w
		}
	})
}

func TestToken(t *testing.T) {
	a := token(testSecret, "page", "26-001")
	if len(a) != tokenLength || !regexp.MustCompile(`^[a-z0-9]+$`).MatchString(a) {
		t.Errorf("token %q", a)
	}
	for name, b := range map[string]string{
		"another plate":  token(testSecret, "page", "26-002"),
		"another kind":   token(testSecret, "image", "26-001"),
		"another secret": token([]byte("a secret of someone else's"), "page", "26-001"),
		"parts shifted":  token(testSecret, "page", "26", "-001"),
	} {
		if a == b {
			t.Errorf("%s has the same token", name)
		}
	}
}

func TestRelated(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 40).Draw(t, "n")
		site := testSite(n)
		var plates []plate
		for _, p := range site.Plates {
			plates = append(plates, plate{Plate: p, format: p.Format.Slug})
		}
		for i, alike := range related(plates) {
			if len(alike) > relatedCount || slices.Contains(alike, i) {
				t.Fatalf("plate %d: %v", i, alike)
			}
			if len(slices.Compact(slices.Sorted(slices.Values(alike)))) != len(alike) {
				t.Fatalf("plate %d: %v has one twice", i, alike)
			}
		}
	})
}

// Batch and light together come before batch alone, and near plates first.
func TestRelatedPrefersTheSameBatchInTheSameLight(t *testing.T) {
	site := testSite(30)
	var plates []plate
	for _, p := range site.Plates {
		plates = append(plates, plate{Plate: p, format: p.Format.Slug})
	}
	got := related(plates)[13]
	if first := plates[got[0]]; collodionOf(first) != collodionOf(plates[13]) || first.LightKind != plates[13].LightKind {
		t.Errorf("plate 13 (%s, %s) has first %d (%s, %s)", collodionOf(plates[13]), plates[13].LightKind, got[0], collodionOf(first), first.LightKind)
	}
}

func TestListsFoldSpellings(t *testing.T) {
	w := words{}
	plates := []plate{}
	for _, l := range []string{"north skylight", "North  Skylight", "lamps"} { // newest first
		p := plate{}
		p.LightKind = l
		p.Tags = []string{"Bell", " bell ", "rope"}
		plates = append(plates, p)
	}
	l := newLists(plates, testSecret, w)
	if len(l.Lights) != 2 || l.Lights[0].Name != "North Skylight" || l.Lights[0].Count != 2 {
		t.Errorf("lights %+v", l.Lights)
	}
	if len(l.Tags) != 2 || l.Tags[0].Count != 3 || l.Tags[1].Count != 3 {
		t.Errorf("tags %+v", l.Tags)
	}
}

func TestFront(t *testing.T) {
	plates := func(n int, change func(i int, p *plate)) []plate {
		out := make([]plate, n)
		for i := range out {
			out[i].widthMM, out[i].heightMM = 80, 100
			change(i, &out[i])
		}
		return out
	}
	f := newFront(plates(20, func(i int, p *plate) {
		p.Featured, p.Promotion = i%4 == 0, i == 4 || i == 8
		if i == 8 {
			p.widthMM = 160
		}
	}))
	if !f.chosen || f.lead != 8 || !slices.Equal(f.rail, []int{0, 4, 12, 16}) {
		t.Errorf("front %+v", f)
	}
	f = newFront(plates(20, func(i int, p *plate) {
		p.Featured, p.Promotion, p.People = i%4 == 0, i > 0, i%8/4
		if i == 8 {
			p.widthMM = 160
		}
	}))
	if f.lead != 4 {
		t.Errorf("the lead is %d, want 4, the newest portrait: %+v", f.lead, f)
	}
	f = newFront(plates(20, func(int, *plate) {}))
	if f.chosen || f.lead != -1 || len(f.rail) != 8 {
		t.Errorf("nothing chosen, no promotion: %+v", f)
	}
	if f = newFront(nil); f.lead != -1 || len(f.rail) != 0 {
		t.Errorf("no plates: %+v", f)
	}
}

func TestNumbers(t *testing.T) {
	english, german := words{}, words{"decimal_mark": ","}
	for _, c := range []struct {
		w      words
		v      float64
		digits int
		want   string
	}{{english, 5.6, 1, "5.6"}, {german, 5.6, 1, "5,6"}, {english, 8, 1, "8"}, {english, 210, 0, "210"}, {english, 0.5, 1, "0.5"}, {english, 100, 1, "100"}} {
		if got := c.w.number(c.v, c.digits); got != c.want {
			t.Errorf("number(%g) = %q, want %q", c.v, got, c.want)
		}
	}
}

func TestCautions(t *testing.T) {
	got := words{}.cautions(map[string][]string{"fixer": {"KCN"}, "bath": {"silver nitrate", "water"}, "varnish": {"Grandmother's resin"}, "collodion": {"potassium cyanide"}})
	want := []string{"Grandmother's resin", "potassium cyanide", "silver nitrate"}
	if !slices.Equal(got, want) {
		t.Errorf("cautions %q, want %q", got, want)
	}
}

// Every substance has a name in every language, in English the chemistry's.
func TestSubstancesHaveNames(t *testing.T) {
	english, err := readWords(templates.Files, "en")
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range substance.All() {
		if got := english["substance_"+key(s.Slug)]; got != s.Name {
			t.Errorf("%s is called %q, want %q", s.Slug, got, s.Name)
		}
	}
	german, err := readWords(templates.Files, "de")
	if err != nil {
		t.Fatal(err)
	}
	got := german.cautions(map[string][]string{"bath": {"silver nitrate", "Mondstein"}})
	if !slices.Equal(got, []string{"Mondstein", "Silbernitrat"}) {
		t.Errorf("cautions %q", got)
	}
}

// The plate stands on the ruler, beside the hand, and nothing lies outside.
func TestScaleFigure(t *testing.T) {
	for _, mm := range [][2]float64{{19, 25.4}, {82.5, 107.9}, {254, 203.2}, {400, 500}} {
		f := newScaleFigure(mm[0], mm[1], words{})
		if f.PlateY+f.PlateH != f.Floor || f.HandY+handLengthMM != f.Floor {
			t.Errorf("%v: plate or hand does not stand on the ruler: %+v", mm, f)
		}
		if f.PlateX < f.HandX+handBreadthMM || f.PlateY < 0 || f.HandY < 0 || f.PlateX+f.PlateW > f.Width || f.RulerEnd < f.PlateX+f.PlateW {
			t.Errorf("%v: %+v", mm, f)
		}
		for i, tick := range f.Ticks {
			if tick.At != f.PlateX+float64(10*i) {
				t.Errorf("tick %d at %g", i, tick.At)
			}
		}
	}
}
