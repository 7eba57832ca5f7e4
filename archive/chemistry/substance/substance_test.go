package substance

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestMolarMasses: computed masses against published ones, to 0.01 g/mol.
// CRC Handbook of Chemistry and Physics, Physical constants of inorganic and
// organic compounds (from memory), except cadmium bromide, whose 272.22 was read
// on a chemical supplier's page. Where the published figure rests on an older
// atomic weight than CIAAW 2021, that weight is named and put in its place:
// sulfur 32.065 (in use to 2009, for the two sulfur atoms of a thiosulfate).
func TestMolarMasses(t *testing.T) {
	checked := map[string]bool{}
	for _, c := range []struct {
		formula   string
		published float64
		older     map[string]float64
	}{
		{"AgNO3", 169.873, nil}, {"KI", 166.003, nil}, {"NH4I", 144.943, nil}, {"CdI2", 366.22, nil},
		{"LiI", 133.845, nil}, {"NaI", 149.894, nil}, {"NH4Br", 97.943, nil}, {"CdBr2", 272.22, nil},
		{"CdBr2·4H2O", 344.281, nil}, {"KBr", 119.002, nil}, {"LiBr", 86.845, nil}, {"ZnI2", 319.19, nil}, {"ZnBr2", 225.19, nil},
		{"KCN", 65.116, nil}, {"CH3COOH", 60.052, nil}, {"C2H5OH", 46.068, nil}, {"(C2H5)2O", 74.121, nil}, {"HNO3", 63.013, nil},
		{"AgI", 234.773, nil}, {"AgBr", 187.772, nil}, {"AgCl", 143.321, nil}, {"FeSO4·7H2O", 278.015, nil},
		{"Na2S2O3", 158.108, map[string]float64{"S": 32.065}},
		{"Na2S2O3·5H2O", 248.184, map[string]float64{"S": 32.065}},
		{"(NH4)2S2O3", 148.205, map[string]float64{"S": 32.065}},
		{"NaCN", 49.007, nil}, {"NaHCO3", 84.007, nil}, {"Na2CO3", 105.988, nil}, {"KNO3", 101.103, nil}, {"CuSO4·5H2O", 249.685, nil},
		{"NaBr", 102.894, nil}, {"CuBr2", 223.354, nil}, {"LiI·3H2O", 187.891, nil}, {"NaCl", 58.443, nil}, {"HCl", 36.461, nil},
		{"H2SO4", 98.079, nil}, {"CH2O2", 46.025, nil}, {"C3H8O", 60.095, nil}, {"H2O", 18.015, nil},
	} {
		checked[c.formula] = true
		atoms, err := ParseFormula(c.formula)
		if err != nil {
			t.Fatal(err)
		}
		got := atoms.Mass()
		for element, w := range c.older {
			got += float64(atoms[element]) * (w - atomicWeights[element])
		}
		if math.Abs(got-c.published) > 0.01 {
			t.Errorf("M(%s) = %.4f, published %.3f", c.formula, got, c.published)
		}
	}
	for _, s := range All() {
		if s.Formula != "" && !checked[s.Formula] {
			t.Errorf("no published molar mass is held against %s", s.Formula)
		}
	}
}

// TestMolarMassTable: the same substances as the trade reference tabulates them
// from CIAAW 2021, to the last figure given.
func TestMolarMassTable(t *testing.T) {
	for formula, want := range map[string]float64{
		"AgNO3": 169.872, "NH4Br": 97.943, "KCN": 65.116, "KI": 166.003, "CdBr2": 272.222, "Na2S2O3·5H2O": 248.172,
		"NH4I": 144.944, "CdBr2·4H2O": 344.282, "Na2S2O3": 158.097, "CdI2": 366.223, "KBr": 119.002, "CH3COOH": 60.052,
		"LiI": 133.845, "LiBr": 86.844, "C2H5OH": 46.069, "NaI": 149.894, "ZnBr2": 225.188, "(C2H5)2O": 74.123,
		"ZnI2": 319.189, "FeSO4·7H2O": 278.006, "HNO3": 63.012, "AgI": 234.773, "AgBr": 187.772, "AgCl": 143.318,
	} {
		atoms, err := ParseFormula(formula)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(atoms.Mass()-want) > 0.001 {
			t.Errorf("M(%s) = %.4f, want %.3f", formula, atoms.Mass(), want)
		}
	}
	if got := SilverNitrateMolarMass(); math.Abs(got-169.872) > 0.002 {
		t.Errorf("M(AgNO3) = %v", got)
	}
}

// TestSilverNitratePerGram: n·M(AgNO3)/M(salt), CIAAW 2021.
func TestSilverNitratePerGram(t *testing.T) {
	for name, want := range map[string]float64{
		"potassium iodide": 1.0233, "ammonium iodide": 1.1720, "cadmium iodide": 0.9277, "lithium iodide": 1.2692,
		"sodium iodide": 1.1333, "zinc iodide": 1.0644, "ammonium bromide": 1.7344, "cadmium bromide anhydrous": 1.2480,
		"cadmium bromide tetrahydrate": 0.9868, "potassium bromide": 1.4275, "lithium bromide": 1.9561, "zinc bromide": 1.5087,
		"silver nitrate": 0, "ethanol": 0, "hydrochloric acid": 0,
	} {
		m := Find(name)
		if !m.Known {
			t.Errorf("%s is not in the cupboard", name)
		}
		if got := m.SilverNitratePerGram(); math.Abs(got-want) > 0.0005 {
			t.Errorf("%s: %.5f g AgNO3 per g, want %.4f", name, got, want)
		}
	}
	// "Photo" handbook gives 1.18; computed 1.1853.
	if got := SilverNitratePerSilverChloride(); math.Abs(got-1.1853) > 0.0005 {
		t.Errorf("AgNO3 from AgCl × %v, want 1.1853", got)
	}
}

func TestFind(t *testing.T) {
	for name, want := range map[string]string{
		"Silver Nitrate": "silver-nitrate", "nitrate of silver": "silver-nitrate", "AgNO3": "silver-nitrate", "AgNO₃": "silver-nitrate",
		"Sulphuric Ether": "diethyl-ether", "ether": "diethyl-ether", "green vitriol": "ferrous-sulfate-heptahydrate",
		"FeSO4·7H2O": "ferrous-sulfate-heptahydrate", "FeSO4*7H2O": "ferrous-sulfate-heptahydrate", "cyanide-of-potassium": "potassium-cyanide",
		"hypo": "sodium-thiosulfate-pentahydrate", "Sodium thiosulphate, anhydrous": "sodium-thiosulfate-anhydrous", "copperas": "ferrous-sulfate-heptahydrate",
		"cadmium bromide": "cadmium-bromide-tetrahydrate", "collodion USP": "plain-collodion", "Collodion plain USP": "plain-collodion",
	} {
		m := Find(name)
		if !m.Known || m.Slug != want {
			t.Errorf("%q = %q (known %v), want %q", name, m.Slug, m.Known, want)
		}
	}
}

func TestHydratesAsked(t *testing.T) {
	for name, asked := range map[string]bool{
		"cadmium bromide": true, "CdBr2": true, "bromide of cadmium": true, "cadmium bromide tetrahydrate": false, "cadmium bromide anhydrous": false,
		"hypo": true, "sodium thiosulfate crystals": false, "ferrous sulphate": true, "ferrous sulfate heptahydrate": false, "potassium iodide": false,
	} {
		if m := Find(name); !m.Known || (m.Question != "") != asked {
			t.Errorf("%q: known %v, question %q, want asked %v", name, m.Known, m.Question, asked)
		}
	}
	tetra, anhydrous := Find("cadmium bromide tetrahydrate").SilverNitratePerGram(), Find("cadmium bromide anhydrous").SilverNitratePerGram()
	if share := anhydrous/tetra - 1; math.Abs(share-0.26) > 0.01 {
		t.Errorf("the question says 26 %%, the salts differ by %.1f %%", 100*share)
	}
}

func TestUnknown(t *testing.T) {
	m := Find("silver nitrat")
	if m.Known || m.Near != "silver nitrate" || !m.Is(Silver) {
		t.Errorf("a slip of the pen: %+v", m)
	}
	for name, class := range map[string]Class{
		"Oxalic acid": Acid, "zinc cyanide": Cyanide, "ammonia 10%": Ammonia, "essential oil of cloves": Organic,
		"lead nitrate": Oxidiser, "mercuric chloride": Mercury, "petroleum ether": Ether,
	} {
		if m := Find(name); m.Known || !m.Is(class) {
			t.Errorf("%q: known %v, classes %q, want %q", name, m.Known, m.Classes, class)
		}
	}
	if m := Find("boiled linen"); len(m.Classes) != 0 {
		t.Errorf("boiled linen has classes %q", m.Classes)
	}
	if m := Find("unobtainium"); m.Hazard != nil || m.Near != "" || !strings.Contains(m.Measures().Protect[0], "safety data sheet") {
		t.Errorf("unobtainium: %+v", m)
	}
}

// TestCupboard: every entry is whole, and no two answer to the same name.
func TestCupboard(t *testing.T) {
	seen := map[string]string{}
	for _, s := range All() {
		if s.Slug == "" || s.Name == "" || s.Use == "" || len(s.Classes) == 0 {
			t.Errorf("%q is not whole: %+v", s.Slug, s)
		}
		for _, n := range append([]string{s.Slug, s.Name, s.Formula}, s.Synonyms...) {
			key := fold(n)
			if other, ok := seen[key]; ok && other != s.Slug && n != "" {
				t.Errorf("%q is both %s and %s", n, other, s.Slug)
			}
			seen[key] = s.Slug
		}
		if _, ok := s.MolarMass(); s.Formula != "" && !ok {
			t.Errorf("%s: formula %q cannot be read", s.Slug, s.Formula)
		}
		if (s.Is(Iodide) || s.Is(Bromide)) && s.Halides().Total() == 0 {
			t.Errorf("%s gives no halide", s.Slug)
		}
		if h := s.Hazard; h != nil {
			if h.Status == "" || h.Source == "" {
				t.Errorf("%s: hazard without status or source", s.Slug)
			}
			l := s.Label()
			for _, c := range l.Statements {
				if c.Text() == "" {
					t.Errorf("%s: statement %s has no text", s.Slug, c)
				}
			}
			for _, p := range l.Pictograms {
				if p.Name() == "" {
					t.Errorf("%s: pictogram %s has no name", s.Slug, p)
				}
			}
			if (len(l.Statements) > 0) != (l.Word != "") {
				t.Errorf("%s: word %q with %d statements", s.Slug, l.Word, len(l.Statements))
			}
		}
		if d := s.Density; d != nil && (d.Source == "" || d.Of == "" || d.GramsPerMillilitre < 0.6 || d.GramsPerMillilitre > 2) {
			t.Errorf("%s: density %+v", s.Slug, d)
		}
	}
}

// TestHazardRows holds the rows of the hazard table that decide a warning.
func TestHazardRows(t *testing.T) {
	for name, row := range map[string]struct {
		word       Word
		statements []Statement
		pictograms []Pictogram
	}{
		"potassium cyanide": {Danger, []Statement{"H300", "H310", "H330", "H410", "EUH032"}, []Pictogram{Skull, Environment}},
		"silver nitrate":    {Danger, []Statement{"H272", "H314", "H410"}, []Pictogram{FlameOverCircle, Corrosion, Environment}},
		"ether":             {Danger, []Statement{"H224", "H302", "H336", "EUH019", "EUH066"}, []Pictogram{Flame, ExclamationMark}},
		"cadmium bromide":   {Danger, []Statement{"H340", "H350", "H360FD", "H372", "H410"}, []Pictogram{Skull, HealthHazard, Environment}},
		"ammonium bromide":  {Danger, []Statement{"H360FD", "H362", "H372", "H336", "H319"}, []Pictogram{HealthHazard, ExclamationMark}},
		"ferrous sulfate":   {Warning, []Statement{"H302", "H315", "H319"}, []Pictogram{ExclamationMark}},
	} {
		l := Find(name).Label()
		if l.Word != row.word {
			t.Errorf("%s: %q, want %q", name, l.Word, row.word)
		}
		for _, c := range row.statements {
			if !slices.Contains(l.Statements, c) {
				t.Errorf("%s lacks %s", name, c)
			}
		}
		for _, p := range row.pictograms {
			if !slices.Contains(l.Pictograms, p) {
				t.Errorf("%s lacks %s", name, p.Name())
			}
		}
	}
}

// dangerous are the statements whose signal word is Danger; every other one here
// has Warning, or (EUH, H362, H412) none. Regulation (EC) No 1272/2008, Annex III
// and the label tables of Annex I (from memory). H228 and H272 exist with both,
// by category.
var dangerous = []Statement{"H224", "H225", "H300", "H301", "H304", "H310", "H311", "H314", "H318", "H330", "H331", "H340", "H350",
	"H360", "H360FD", "H370", "H372"}

// pictured are the pictograms a statement brings, by the same tables; the
// exclamation mark and the health hazard may give way to a graver one.
var pictured = map[Statement]Pictogram{
	"H224": Flame, "H225": Flame, "H226": Flame, "H228": Flame, "H272": FlameOverCircle, "H300": Skull, "H301": Skull, "H310": Skull, "H311": Skull,
	"H330": Skull, "H331": Skull, "H314": Corrosion, "H318": Corrosion, "H290": Corrosion, "H304": HealthHazard, "H340": HealthHazard, "H350": HealthHazard,
	"H360": HealthHazard, "H360FD": HealthHazard, "H370": HealthHazard, "H372": HealthHazard, "H373": HealthHazard, "H400": Environment, "H410": Environment,
}

// TestLabelsAgree: signal word, pictograms and statements of every label belong
// together.
func TestLabelsAgree(t *testing.T) {
	for _, s := range All() {
		l := s.Label()
		either := slices.Contains(l.Statements, "H228") || slices.Contains(l.Statements, "H272")
		danger := slices.ContainsFunc(l.Statements, func(c Statement) bool { return slices.Contains(dangerous, c) })
		if danger && l.Word != Danger || !danger && !either && l.Word == Danger {
			t.Errorf("%s: %q with %v", s.Slug, l.Word, l.Statements)
		}
		for _, c := range l.Statements {
			if p, ok := pictured[c]; ok && !slices.Contains(l.Pictograms, p) {
				t.Errorf("%s: %s without the %s", s.Slug, c, p.Name())
			}
		}
		for _, p := range l.Pictograms {
			if p != ExclamationMark && !slices.ContainsFunc(l.Statements, func(c Statement) bool { return pictured[c] == p || p == Environment && c == "H411" }) &&
				!(p == Environment && s.Slug == "lavender-oil") { // some suppliers give H411, with the pictogram, in place of H412
				t.Errorf("%s: the %s without a statement that brings it", s.Slug, p.Name())
			}
		}
		if s.HarmsChild() && !strings.Contains(strings.Join(s.Measures().Protect, " "), "pregnant") {
			t.Errorf("%s lacks the caution for pregnancy", s.Slug)
		}
	}
}

// TestNoTreatment: the cupboard says how to keep away from harm, never what to
// do to a person.
func TestNoTreatment(t *testing.T) {
	for _, s := range All() {
		m := s.Measures()
		text := strings.ToLower(strings.Join(slices.Concat(m.Protect, m.Store, m.Waste, []string{s.Note, s.Use}), " "))
		if s.Hazard != nil {
			text += strings.ToLower(s.Hazard.Note)
		}
		for _, word := range []string{"antidote", "amyl", "hydroxocobalamin", "vomit", "drink milk", "charcoal", "rinse mouth"} {
			if strings.Contains(text, word) {
				t.Errorf("%s speaks of %q", s.Slug, word)
			}
		}
	}
}

func TestParseFormulaRefuses(t *testing.T) {
	for _, bad := range []string{"", "Xx", "(C2H5", "C2H5)", "·", "7", "agno3"} {
		if atoms, err := ParseFormula(bad); err == nil {
			t.Errorf("%q = %v", bad, atoms)
		}
	}
}

// TestHydrateAdds: n waters add n times the mass of water.
func TestHydrateAdds(t *testing.T) {
	water, _ := ParseFormula("H2O")
	rapid.Check(t, func(t *rapid.T) {
		salt := rapid.SampledFrom([]string{"CdBr2", "FeSO4", "Na2S2O3", "LiI", "(NH4)2S2O3"}).Draw(t, "salt")
		n := rapid.IntRange(1, 12).Draw(t, "n")
		dry, err := ParseFormula(salt)
		if err != nil {
			t.Fatal(err)
		}
		wet, err := ParseFormula(salt + "·" + string([]rune("0123456789")[n/10]) + string([]rune("0123456789")[n%10]) + "H2O")
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(wet.Mass()-dry.Mass()-float64(n)*water.Mass()) > 1e-9 {
			t.Fatalf("%s with %d waters: %v", salt, n, wet.Mass())
		}
	})
}
