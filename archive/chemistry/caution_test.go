package chemistry

import (
	"slices"
	"strings"
	"testing"
	"time"

	"sandarac/archive/chemistry/substance"
)

func recipe(t *testing.T, m Mix) Recipe {
	t.Helper()
	r, _ := Read(m)
	return r
}

var (
	cyanideFixer = Mix{Fixer, 1000, []Part{grams("potassium cyanide", 20), {Substance: "water", Millilitres: g(1000)}}}
	acidDev      = Mix{Developer, 1000, []Part{grams("ferrous sulfate heptahydrate", 40), {Substance: "acetic acid", Millilitres: g(40)}}}
	silverBath   = Mix{Bath, 1000, []Part{grams("silver nitrate", 90), amount("nitric acid", "3 drops")}}
	cadmiumColl  = coll(500, Part{Substance: "ether", Millilitres: g(250)}, grams("ammonium bromide", 1), grams("cadmium bromide tetrahydrate", 2.5))
)

// TestPanels: no recipe, substance or kind is shown without deferral, waste and
// whom to call.
func TestPanels(t *testing.T) {
	var panels []Panel
	for _, s := range substance.All() {
		panels = append(panels, PanelForSubstance(s, "0123"))
	}
	for _, k := range Kinds() {
		panels = append(panels, PanelForKind(k, "0123"))
	}
	for _, p := range panels {
		text := strings.Join(p.FirstAid, " ")
		if p.Deferral != Deferral || p.AsOf == "" || len(p.Waste) == 0 || !strings.Contains(text, "0123") || !strings.Contains(text, "112") {
			t.Errorf("panel without its frame: %+v", p)
		}
	}
	for _, k := range Kinds() {
		if len(PanelForKind(k, "").Kind) < 2 {
			t.Errorf("%s has no cautions of its kind", k)
		}
	}
	if text := strings.Join(PanelForKind(Bath, "").FirstAid, " "); !strings.Contains(text, "poison_centre") {
		t.Error("an unset poison centre must say how to set it")
	}
}

func TestCyanidePanel(t *testing.T) {
	p := PanelFor(recipe(t, cyanideFixer), "0123")
	if p.Word != substance.Danger || !slices.Contains(p.Pictograms, substance.Skull) {
		t.Errorf("%s %v", p.Word, p.Pictograms)
	}
	all := strings.Join(slices.Concat(p.FirstAid, p.Kind, p.Protect, p.Store, p.Waste), " ")
	for _, part := range []string{"cyanide", "mouth-to-mouth", "work alone", "Locked", "licensed contractor", "Thiosulfate does the same"} {
		if !strings.Contains(all, part) {
			t.Errorf("panel lacks %q", part)
		}
	}
	if len(p.Pairs) == 0 || p.Pairs[0].Slug != "cyanide-acid" {
		t.Errorf("pairs %+v", p.Pairs)
	}
	if got := PanelFor(recipe(t, cadmiumColl), "").Pregnancy; got != Pregnancy {
		t.Error("cadmium and ammonium bromide want the pregnancy caution")
	}
	if got := PanelFor(recipe(t, silverBath), "").Pregnancy; got != "" {
		t.Error("a silver bath wants none")
	}
}

// TestUnreadPartsStillWarn: a substance whose amount cannot be read is in the
// bottle all the same.
func TestUnreadPartsStillWarn(t *testing.T) {
	r, problems := Read(Mix{Fixer, 1000, []Part{amount("potassium cyanide", "20 scoops"), {Substance: "vinegar", Millilitres: g(5)}}})
	if !strings.Contains(codes(problems), "error:incompatible") {
		t.Errorf("cyanide by the scoop with vinegar: %s", codes(problems))
	}
	p := PanelFor(r, "")
	if p.Word != substance.Danger || !slices.Contains(p.Pictograms, substance.Skull) || !r.Has(substance.Cyanide) {
		t.Errorf("%q %v", p.Word, p.Pictograms)
	}
	if r.Halides().SaltsG != 0 || len(r.Lines) != 1 {
		t.Errorf("an unread part is counted: %+v", r.Lines)
	}
}

func TestNoDataShown(t *testing.T) {
	p := PanelFor(recipe(t, coll(100, grams("unobtainium", 1))), "")
	if len(p.Rows) != 1 || p.Rows[0].NoData != substance.NoData {
		t.Errorf("rows %+v", p.Rows)
	}
}

// TestNoTreatmentAnywhere: nothing in the package tells how to treat a person.
func TestNoTreatmentAnywhere(t *testing.T) {
	var b strings.Builder
	for _, p := range Pairs() {
		b.WriteString(p.Danger + p.Rule)
	}
	for _, s := range Steps() {
		b.WriteString(strings.Join(s.Cautions, " "))
	}
	for _, s := range substitutes {
		b.WriteString(s.Use + s.Changes)
	}
	for _, f := range Flaws() {
		for _, c := range f.Causes {
			b.WriteString(c.Text + c.Remedy)
		}
	}
	b.WriteString(strings.Join(FirstAid("1", true), " ") + Deferral + NoDrain)
	text := strings.ToLower(b.String())
	for _, word := range []string{"antidote", "amyl nitrite", "hydroxocobalamin", "vomit", "milk", "charcoal", "rinse mouth", "swallowed give", "oxygen"} {
		if strings.Contains(strings.ReplaceAll(text, "a milk of sulfur", ""), word) {
			t.Errorf("the text speaks of %q", word)
		}
	}
}

func at(day string) time.Time {
	t, err := time.Parse(time.DateOnly, day)
	if err != nil {
		panic(err)
	}
	return t
}

func TestWarn(t *testing.T) {
	bottle := func(id string, m Mix, mixed string, log ...Event) Bottle {
		return Bottle{ID: id, Recipe: recipe(t, m), Mixed: at(mixed), Log: log}
	}
	today := at("2026-11-25")
	sodaThenHeat := []Event{{On: at("2026-10-01"), Word: "neutralised"}, {On: at("2026-10-02"), Word: "boiled"}}
	for _, c := range []struct {
		name  string
		shelf []Bottle
		want  string // "bottle entry severity:code", empty for silence
		says  string
	}{
		{"cyanide and acid developer", []Bottle{bottle("F1", cyanideFixer, "2026-10-01"), bottle("D1", acidDev, "2026-10-01")}, "F1 -1 warning:cyanide-carry-over", "D1"},
		{"cyanide, developer gone", []Bottle{bottle("F1", cyanideFixer, "2026-10-01"), bottle("D1", acidDev, "2026-10-01", Event{Word: "discarded"})}, "", ""},
		{"cyanide, developer partly poured off", []Bottle{bottle("F1", cyanideFixer, "2026-10-01"), bottle("D1", acidDev, "2026-10-01", Event{Word: "discarded", Volume: g(300)})}, "F1 -1 warning:cyanide-carry-over", "D1"},
		{"ether over a year", []Bottle{bottle("C1", cadmiumColl, "2025-11-01")}, "C1 -1 warning:ether-old", "12 months"},
		{"cyanide and a developer without a recipe", []Bottle{bottle("F1", cyanideFixer, "2026-10-01"), {ID: "D1", Recipe: Recipe{Kind: Developer}}}, "F1 -1 warning:cyanide-carry-over", "D1"},
		{"old ether to be replaced later", []Bottle{bottle("C1", cadmiumColl, "2024-11-01", Event{On: at("2099-01-01"), Word: "replaced"})}, "C1 -1 warning:ether-old", "2024"},
		{"ether under a year", []Bottle{bottle("C1", cadmiumColl, "2025-12-01")}, "C1 -1 warning:harmful-in-pregnancy", "ammonium bromide"},
		{"cyanide, developer to be discarded later", []Bottle{bottle("F1", cyanideFixer, "2026-10-01"), bottle("D1", acidDev, "2026-10-01", Event{On: at("2099-01-01"), Word: "discarded"})}, "F1 -1 warning:cyanide-carry-over", "D1"},
		{"old ether discarded", []Bottle{bottle("C1", cadmiumColl, "2024-11-01", Event{Word: "discarded"})}, "", ""},
		{"ammonia poured into the bath", []Bottle{bottle("B1", silverBath, "2026-10-01", Event{Word: "neutralised", Added: []Part{amount("ammonia", "5 drops")}})}, "B1 0 error:incompatible", "fulminating silver"},
		{"ammonia in a note", []Bottle{bottle("B1", silverBath, "2026-10-01", Event{Word: "noted"}, Event{Word: "neutralised", Note: "two drops of ammonia"})}, "B1 1 warning:ammonia-near-silver", "fulminating"},
		{"ammonia refused in a note", []Bottle{bottle("B1", silverBath, "2026-10-01", Event{Word: "neutralised", Note: "soda, never ammonia"})}, "", ""},
		{"alcohol into the bath", []Bottle{bottle("B1", silverBath, "2026-10-01", Event{Word: "noted", Added: []Part{{Substance: "alcohol", Millilitres: g(20)}}})}, "B1 0 warning:incompatible", "silver"},
		{"acid bath warmed", []Bottle{bottle("B1", silverBath, "2026-10-01", Event{Word: "boiled"})}, "B1 0 warning:warming-acid-bath", "fulminate"},
		{"neutralised, then warmed", []Bottle{bottle("B1", silverBath, "2026-10-01", sodaThenHeat...)}, "", ""},
		{"pH says acid after soda", []Bottle{bottle("B1", silverBath, "2026-10-01", Event{Word: "neutralised", PH: g(4.2)}, Event{Word: "evaporated"})}, "B1 1 warning:warming-acid-bath", "never ammonia"},
		{"unknown word", []Bottle{bottle("B1", silverBath, "2026-10-01", Event{Word: "danced"})}, "B1 0 remark:log-action-unknown", "danced"},
		{"added by strength", []Bottle{bottle("B1", silverBath, "2026-10-01", Event{Word: "topped-up", Added: []Part{{Substance: "silver nitrate", PercentWV: g(9)}}})}, "B1 0 error:addition-per-volume", "how strong"},
		{"replaced after ammonia", []Bottle{bottle("B1", silverBath, "2026-10-01", Event{Word: "replaced"})}, "", ""},
	} {
		got := Warn(c.shelf, today)
		if c.want == "" {
			if len(got) != 0 {
				t.Errorf("%s: %+v", c.name, got)
			}
			continue
		}
		if !slices.ContainsFunc(got, func(p Problem) bool {
			key := p.Bottle + " " + map[bool]string{true: "-1", false: string(rune('0' + max(p.Entry, 0)))}[p.Entry == Whole] + " " + string(p.Severity) + ":" + p.Code
			return key == c.want && strings.Contains(p.Message+p.Remedy, c.says) && p.Remedy != ""
		}) {
			t.Errorf("%s: want %s with %q, got %+v", c.name, c.want, c.says, got)
		}
	}
}

func TestMeetingSaidOnce(t *testing.T) {
	r := recipe(t, Mix{Bath, 1000, []Part{grams("silver nitrate", 90), {Substance: "alcohol", Millilitres: g(20)}}})
	b := Bottle{ID: "B", Recipe: r, Log: []Event{{Word: "filtered"}, {Word: "filtered"}}}
	if got := Warn([]Bottle{b}, at("2026-11-25")); len(got) != 0 {
		t.Errorf("the recipe's own pair is said again: %+v", got)
	}
}

func TestSubstitutes(t *testing.T) {
	for _, c := range []struct {
		mix  Mix
		want string
	}{{cyanideFixer, "sodium thiosulfate"}, {cadmiumColl, "lithium, zinc or potassium bromide"}, {silverBath, "refining"}, {acidDev, "diluted"}} {
		got := Substitutes(recipe(t, c.mix))
		if len(got) == 0 || !strings.Contains(got[0].Use, c.want) || got[0].Changes == "" {
			t.Errorf("%s: %+v, want %q", c.mix.Kind, got, c.want)
		}
	}
	if got := Substitutes(recipe(t, Mix{Fixer, 1000, []Part{grams("hypo", 200)}})); len(got) != 0 {
		t.Errorf("thiosulfate needs no substitute: %+v", got)
	}
}

func TestCard(t *testing.T) {
	r, problems := Read(Mix{Bath, 1000, []Part{grams("silver nitrate", 90), {Substance: "water", Millilitres: g(980)}}})
	c, err := Card(r, problems, 250, "0123")
	if err != nil {
		t.Fatal(err)
	}
	if c.Amounts[0].Amount != "22.5 g" || c.Amounts[0].Per100 != "9.00 g" || c.Amounts[1].Amount != "245 ml" || c.Panel.Deferral == "" || len(c.Order) == 0 {
		t.Errorf("%+v", c.Amounts)
	}
	if whole, err := Card(r, nil, 0, ""); err != nil || whole.Recipe.VolumeMl != 1000 {
		t.Errorf("kept volume: %v, %v", whole.Recipe.VolumeMl, err)
	}
	if _, err := Card(r, nil, -1, ""); err == nil {
		t.Error("a card for -1 ml")
	}
}
