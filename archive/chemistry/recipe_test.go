package chemistry

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"sandarac/archive/chemistry/substance"
)

func g(x float64) *float64 { return &x }

func close(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.6g, want %.6g ± %g", what, got, want, tol)
	}
}

func grams(name string, x float64) Part  { return Part{Substance: name, Grams: g(x)} }
func amount(name, text string) Part      { return Part{Substance: name, Amount: text} }
func coll(ml float64, parts ...Part) Mix { return Mix{Kind: Collodion, VolumeMl: ml, Parts: parts} }

// TestPublishedCollodions: published formulae, grams per 100 ml, with the
// anhydrous cadmium bromide the books leave open; I:Br by mole and mg AgNO3 per
// ml computed from CIAAW 2021, each to half of the last figure printed, or 0.02.
func TestPublishedCollodions(t *testing.T) {
	for _, c := range []struct {
		source      string
		mix         Mix
		ratio, mgMl float64
		mmol        float64 // total, NaN if the source of check values has none
		tol         float64 // of mg per ml
	}{
		{"Estabrooke 1887 p. 17, positive", coll(100, grams("ammonium iodide", .876), grams("cadmium iodide", .438), grams("cadmium bromide anhydrous", .219), grams("copper bromide", .219)), 2.36, 20.4, 12.01, .05},
		{"Estabrooke 1887 p. 28, negative C", coll(100, grams("ammonium iodide", .657), grams("cadmium bromide anhydrous", .438), grams("potassium bromide", .329)), .76, 17.9, math.NaN(), .05},
		{"Chambers's Encyclopaedia", coll(100, grams("cadmium iodide", .498), grams("potassium iodide", .311), grams("cadmium bromide anhydrous", .259)), 2.41, 11.0, math.NaN(), .05},
		{"Fritz, Photo-Lithography", coll(100, grams("sodium iodide", .75), grams("cadmium iodide", .75), grams("cadmium bromide anhydrous", .40), grams("potassium iodide", .05)), 3.20, 20.96, math.NaN(), .02},
		{"Wilkinson, Photo-Engraving, ch. II", coll(100, grams("zinc iodide", .998), grams("zinc bromide", .428)), 1.65, 17.1, math.NaN(), .05},
		{"worked example, common practice", coll(100, grams("ammonium iodide", .80), grams("cadmium bromide tetrahydrate", .50)), 1.90, 14.31, math.NaN(), .02},
	} {
		r, problems := Read(c.mix)
		for _, p := range problems {
			if p.Severity == Error {
				t.Errorf("%s: %s", c.source, p.Message)
			}
		}
		h := r.Halides()
		close(t, c.source+": I:Br", h.IodideToBromide(), c.ratio, 0.02)
		close(t, c.source+": mg AgNO3 per ml", h.SilverMgPerMl, c.mgMl, c.tol)
		if !math.IsNaN(c.mmol) {
			close(t, c.source+": mmol per 100 ml", h.TotalMmol(), c.mmol, 0.02)
		}
	}
	r, _ := Read(coll(100, grams("cadmium iodide", .684)))
	close(t, "Cooley, simply iodised: mg AgNO3 per ml", r.Halides().SilverMgPerMl, 6.4, 0.06)
	if !math.IsInf(r.Halides().IodideToBromide(), 1) {
		t.Error("no bromide is an infinite ratio")
	}
}

// TestWorkedPlate: the worked collodion on a whole plate (3.5645 dm²) at
// 1.5 ml/dm²: 76.5 mg of silver nitrate, 48.6 mg of silver.
func TestWorkedPlate(t *testing.T) {
	r, _ := Read(coll(100, grams("ammonium iodide", .80), grams("cadmium bromide tetrahydrate", .50)))
	mg := 3.5645 * 1.5 * r.Halides().SilverMgPerMl
	close(t, "mg AgNO3", mg, 76.5, 0.2)
	close(t, "mg Ag", mg*substance.SilverShare(), 48.6, 0.2)
}

// TestWeightRatios: salts and elements by weight, checked by hand.
func TestWeightRatios(t *testing.T) {
	h := func() Halides {
		r, _ := Read(coll(100, grams("potassium iodide", 1.66003), grams("potassium bromide", 1.19002)))
		return r.Halides()
	}()
	close(t, "I:Br of 10 mmol each", h.IodideToBromide(), 1, 1e-5)
	close(t, "salts", h.SaltsByWeight(), 1.66003/1.19002, 1e-9)
	close(t, "elements", h.IodineToBromine(), 126.90447/79.904, 1e-5)
	close(t, "iodine", h.IodineG, 1.2690447, 1e-4)
}

// TestPublishedBaths, developers and fixers, converted from the books' ounces.
func TestPublishedSolutions(t *testing.T) {
	for _, c := range []struct {
		source string
		mix    Mix
		slug   string
		want   float64 // g per 100 ml
		tol    float64
	}{
		{"Cooley, positive bath", Mix{Bath, 0, []Part{amount("silver nitrate", "5 dr in 10 fl oz imp"), amount("water", "10 fl oz imp")}}, "silver-nitrate", 6.84, 0.005},
		{"Wall, bath", Mix{Bath, 0, []Part{amount("silver nitrate", "240 gr"), amount("water", "8 fl oz imp"), amount("potassium iodide", "1 gr")}}, "silver-nitrate", 6.84, 0.005},
		{"Schriever, bath, 50 gr/oz US", Mix{Bath, 0, []Part{amount("silver nitrate", "50 gr/fl oz US")}}, "silver-nitrate", 11.0, 0.05},
		{"Towler ch. XVI, developer", Mix{Developer, 0, []Part{amount("ferrous sulfate heptahydrate", "3 dr"), amount("water", "4 fl oz US"), amount("acetic acid", "3 fl dr US"), amount("alcohol", "2 fl dr US")}}, "ferrous-sulfate-heptahydrate", 8.53, 0.05},
		{"Cooley, developer", Mix{Developer, 0, []Part{amount("ferrous sulfate heptahydrate", "2 dr"), amount("water", "8 fl oz imp"), amount("glacial acetic acid", "2½ fl dr imp"), amount("alcohol", "2½ fl dr imp"), amount("nitric acid", "5 minims imp")}}, "ferrous-sulfate-heptahydrate", 3.2, 0.05},
		{"Cooley, fixer", Mix{Fixer, 0, []Part{amount("potassium cyanide", "10 gr/fl oz imp")}}, "potassium-cyanide", 2.28, 0.05},
	} {
		r, problems := Read(c.mix)
		for _, p := range problems {
			if p.Severity == Error {
				t.Errorf("%s: %s", c.source, p.Message)
			}
		}
		close(t, c.source, r.GramsPer100ml(c.slug), c.want, c.tol)
	}
	r, _ := Read(Mix{Developer, 0, []Part{amount("ferrous sulfate heptahydrate", "3 dr"), amount("water", "4 fl oz US"), amount("acetic acid", "3 fl dr US"), amount("alcohol", "2 fl dr US")}})
	if !r.Summed || len(r.Assumptions) == 0 {
		t.Error("a summed volume says so")
	}
	close(t, "Towler: acetic acid", r.Lines[2].MlPer100ml, 8.1, 0.05)
	close(t, "Towler: alcohol", r.Lines[3].MlPer100ml, 5.4, 0.05)
}

func TestPercentAndGramsAgree(t *testing.T) {
	a, _ := Read(Mix{Bath, 900, []Part{{Substance: "silver nitrate", PercentWV: g(9)}}})
	b, _ := Read(Mix{Bath, 900, []Part{grams("silver nitrate", 81)}})
	close(t, "grams", a.SilverNitrateG(), 81, 1e-9)
	close(t, "strength", b.SilverNitratePercentWV(), 9, 1e-9)
}

func codes(problems []Problem) string {
	var out []string
	for _, p := range problems {
		out = append(out, string(p.Severity)+":"+p.Code)
	}
	return strings.Join(out, " ")
}

func TestRefusedAndWarned(t *testing.T) {
	for _, c := range []struct {
		name string
		mix  Mix
		want string // one severity:code that must be there
		part int
		says string
	}{
		{"negative mass", Mix{Bath, 1000, []Part{grams("silver nitrate", -90)}}, "error:amount-not-positive", 0, "-90"},
		{"not a number", Mix{Bath, 1000, []Part{grams("silver nitrate", math.NaN())}}, "error:amount-not-positive", 0, "NaN"},
		{"over 100 %", Mix{Bath, 1000, []Part{{Substance: "silver nitrate", PercentWV: g(120)}}}, "error:percent-over-100", 0, "over 100"},
		{"two amounts", Mix{Bath, 1000, []Part{{Substance: "silver nitrate", Grams: g(1), Millilitres: g(1)}}}, "error:amount-count", 0, "2 amounts"},
		{"no amount", Mix{Bath, 1000, []Part{{Substance: "silver nitrate"}}}, "error:amount-count", 0, "0 amounts"},
		{"unnamed ounce", coll(100, amount("ammonium iodide", "8 gr/oz")), "error:unit-open", 0, "ounce"},
		{"unknown unit", coll(100, amount("ammonium iodide", "8 stone")), "error:amount-unreadable", 0, "stone"},
		{"drachm of a liquid", Mix{Developer, 100, []Part{amount("alcohol", "2 dr")}}, "error:unit-open", 0, "fluid drachm"},
		{"drachm of an unknown substance", Mix{Developer, 100, []Part{amount("dragon blood", "2 dr")}}, "error:unit-open", 0, "fluid drachm"},
		{"drops are no volume", Mix{Bath, 0, []Part{grams("silver nitrate", 90), amount("nitric acid", "3 drops")}}, "warning:volume-missing", Whole, "cannot hold"},
		{"more solid than volume", Mix{Bath, 10, []Part{grams("silver nitrate", 90)}}, "warning:more-solid-than-volume", Whole, "90.0 g"},
		{"negative volume", Mix{Bath, -5, []Part{grams("silver nitrate", 90)}}, "error:volume-not-positive", Whole, "-5"},
		{"no volume", Mix{Bath, 0, []Part{grams("silver nitrate", 90)}}, "warning:volume-missing", Whole, "volume"},
		{"volume less than the parts", Mix{Developer, 100, []Part{{Substance: "water", Millilitres: g(500)}}}, "remark:volume-less-than-parts", Whole, "500"},
		{"hydrate of a halide open", coll(100, grams("cadmium bromide", .5)), "warning:hydrate-open", 0, "26 %"},
		{"hydrate of a developer open", Mix{Developer, 100, []Part{grams("ferrous sulphate", 5)}}, "remark:hydrate-open", 0, "heptahydrate"},
		{"acid in a cyanide fixer", Mix{Fixer, 1000, []Part{grams("potassium cyanide", 20), {Substance: "acetic acid", Millilitres: g(10)}}}, "error:incompatible", 1, "hydrogen cyanide"},
		{"unlisted acid in a cyanide fixer", Mix{Fixer, 1000, []Part{grams("oxalic acid", 2), grams("KCN", 20)}}, "error:incompatible", 1, "hydrogen cyanide"},
		{"acid in a thiosulfate fixer", Mix{Fixer, 1000, []Part{grams("hypo", 200), {Substance: "vinegar", Millilitres: g(10)}}}, "warning:incompatible", 1, "Sulfur dioxide"},
		{"ammonia in a bath", Mix{Bath, 1000, []Part{grams("silver nitrate", 90), amount("ammonia", "10 drops")}}, "error:incompatible", 1, "fulminating silver"},
		{"alcohol in a bath", Mix{Bath, 1000, []Part{grams("silver nitrate", 90), {Substance: "alcohol", Millilitres: g(20)}}}, "warning:incompatible", 1, "oxidiser"},
		{"a solid by volume", Mix{Bath, 1000, []Part{{Substance: "silver nitrate", Millilitres: g(90)}}}, "warning:solid-by-volume", 0, "solid"},
		{"unknown substance", coll(100, grams("unobtainium", 1)), "remark:substance-unknown", 0, "safety data sheet"},
		{"slip of the pen", Mix{Bath, 1000, []Part{grams("silver nitrat", 90)}}, "remark:substance-unknown", 0, "is it silver nitrate"},
		{"weak bath", Mix{Bath, 1000, []Part{grams("silver nitrate", 40)}}, "remark:recipe-range", Whole, "under the usual"},
		{"strong fixer", Mix{Fixer, 100, []Part{grams("potassium cyanide", 10)}}, "remark:recipe-range", Whole, "over the usual"},
		{"bath without silver", Mix{Bath, 1000, []Part{grams("potassium iodide", 1)}}, "remark:recipe-incomplete", Whole, "no silver nitrate"},
		{"plain collodion", coll(100, Part{Substance: "plain collodion", Millilitres: g(50)}), "remark:recipe-incomplete", Whole, "no iodide"},
	} {
		_, problems := Read(c.mix)
		found := false
		for _, p := range problems {
			if string(p.Severity)+":"+p.Code == c.want && p.Part == c.part && strings.Contains(p.Message, c.says) && p.Remedy != "" {
				found = true
			}
		}
		if !found {
			t.Errorf("%s: want %s at part %d with %q, got %s: %+v", c.name, c.want, c.part, c.says, codes(problems), problems)
		}
	}
}

// TestSoundRecipes: what the books print raises no error and no warning.
func TestSoundRecipes(t *testing.T) {
	for name, m := range map[string]Mix{
		"collodion": coll(500, Part{Substance: "plain collodion", Millilitres: g(250)}, Part{Substance: "ether", Millilitres: g(100)}, Part{Substance: "alcohol", Millilitres: g(150)}, grams("ammonium iodide", 4), grams("cadmium bromide tetrahydrate", 2.5)),
		"bath":      {Bath, 1000, []Part{grams("silver nitrate", 90), {Substance: "water", Millilitres: g(980)}, amount("nitric acid", "3 drops")}},
		"developer": {Developer, 1000, []Part{grams("ferrous sulfate heptahydrate", 40), {Substance: "acetic acid", Millilitres: g(40)}, {Substance: "ethanol", Millilitres: g(40)}, {Substance: "water", Millilitres: g(900)}}},
		"cyanide":   {Fixer, 1000, []Part{grams("potassium cyanide", 20), {Substance: "water", Millilitres: g(1000)}}},
		"hypo":      {Fixer, 1000, []Part{grams("sodium thiosulfate pentahydrate", 200), {Substance: "water", Millilitres: g(1000)}}},
		"varnish":   {Varnish, 500, []Part{grams("sandarac", 60), {Substance: "alcohol", Millilitres: g(430)}, {Substance: "lavender oil", Millilitres: g(50)}}},
	} {
		r, problems := Read(m)
		if len(problems) != 0 {
			t.Errorf("%s: %+v", name, problems)
		}
		if len(r.Lines) != len(m.Parts) {
			t.Errorf("%s: %d lines of %d parts", name, len(r.Lines), len(m.Parts))
		}
	}
}

// TestLiquidsByWeight: a liquid given in grams counts in the volume by its
// density (diethyl ether 0.7134, ethanol 0.7893 g/ml at 20 °C, CRC Handbook).
func TestLiquidsByWeight(t *testing.T) {
	r, problems := Read(coll(0, grams("ether", 71.34), grams("alcohol", 78.93), grams("ammonium iodide", 1)))
	if math.Abs(r.VolumeMl-200) > 1e-9 || !r.Summed || !strings.Contains(strings.Join(r.Assumptions, " "), "density") {
		t.Errorf("%v ml, %q, %+v", r.VolumeMl, r.Assumptions, problems)
	}
}

// TestScaling: a recipe scaled to any volume keeps its strengths, and scaling
// back gives the batch again.
func TestScaling(t *testing.T) {
	names := []string{"ammonium iodide", "cadmium iodide", "potassium bromide", "zinc bromide"}
	rapid.Check(t, func(t *rapid.T) {
		m := Mix{Kind: Collodion, VolumeMl: rapid.Float64Range(50, 2000).Draw(t, "ml")}
		for i := range rapid.IntRange(1, 4).Draw(t, "n") {
			x := rapid.Float64Range(0.01, 5).Draw(t, "x")
			switch rapid.IntRange(0, 2).Draw(t, "how") {
			case 0:
				m.Parts = append(m.Parts, grams(names[i], x))
			case 1:
				m.Parts = append(m.Parts, Part{Substance: names[i], PercentWV: g(x)})
			default:
				m.Parts = append(m.Parts, amount(names[i], "8 gr/fl oz US"))
			}
		}
		r, _ := Read(m)
		to := rapid.Float64Range(1, 5000).Draw(t, "to")
		s, err := r.To(to)
		if err != nil {
			t.Fatal(err)
		}
		back, err := s.To(r.VolumeMl)
		if err != nil {
			t.Fatal(err)
		}
		for i, l := range r.Lines {
			if math.Abs(s.Lines[i].GramsPer100ml-l.GramsPer100ml) > 1e-9*l.GramsPer100ml {
				t.Fatalf("strength moved: %v to %v", l.GramsPer100ml, s.Lines[i].GramsPer100ml)
			}
			if math.Abs(s.Lines[i].Grams-l.Grams*to/r.VolumeMl) > 1e-9*s.Lines[i].Grams || math.Abs(back.Lines[i].Grams-l.Grams) > 1e-9*l.Grams {
				t.Fatalf("grams %v, scaled %v, back %v", l.Grams, s.Lines[i].Grams, back.Lines[i].Grams)
			}
		}
		if a, b := r.Halides().SilverMgPerMl, s.Halides().SilverMgPerMl; math.Abs(a-b) > 1e-9*a {
			t.Fatalf("silver per ml %v and %v", a, b)
		}
	})
}

func TestScalingRefuses(t *testing.T) {
	r, _ := Read(Mix{Kind: Bath, Parts: []Part{grams("silver nitrate", 90)}})
	if _, err := r.To(250); err != ErrNoVolume {
		t.Errorf("no volume: %v", err)
	}
	for _, ml := range []float64{0, -1, math.NaN(), 1e9} {
		if _, err := r.To(ml); err == nil {
			t.Errorf("scaled to %v ml", ml)
		}
	}
	// Strengths alone scale without a volume.
	r, _ = Read(Mix{Kind: Bath, Parts: []Part{{Substance: "silver nitrate", PercentWV: g(9)}}})
	s, err := r.To(250)
	if err != nil {
		t.Fatal(err)
	}
	close(t, "grams for 250 ml at 9 %", s.SilverNitrateG(), 22.5, 1e-9)
}

// TestSilverIsMoles: the silver a collodion takes is its halide moles times
// M(AgNO3), whatever the salts.
func TestSilverIsMoles(t *testing.T) {
	var salts []string
	for _, s := range substance.All() {
		if s.Halides().Total() > 0 {
			salts = append(salts, s.Name)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		m := Mix{Kind: Collodion, VolumeMl: 100}
		perGram := 0.0
		for range rapid.IntRange(1, 6).Draw(t, "n") {
			name, x := rapid.SampledFrom(salts).Draw(t, "salt"), rapid.Float64Range(0.01, 2).Draw(t, "g")
			m.Parts = append(m.Parts, grams(name, x))
			perGram += 10 * x * substance.Find(name).SilverNitratePerGram()
		}
		r, _ := Read(m)
		if got := r.Halides().SilverMgPerMl; math.Abs(got-perGram) > 1e-9*perGram {
			t.Fatalf("%v by moles, %v by factors", got, perGram)
		}
	})
}

// TestBathFor: Estabrooke's rule, US ounces.
func TestBathFor(t *testing.T) {
	for salts, want := range map[float64]float64{1.753: 10.96, 1.9: 10.96, 1.3: 9.86, 1.21: 9.86, 1.0: 0} {
		got, ok := BathFor(salts)
		if ok != (want > 0) || math.Abs(got-want) > 0.01 {
			t.Errorf("%v g of salts: %v, %v; want %v", salts, got, ok, want)
		}
	}
}

// TestOrder: every line is mixed in once and only once, and a cyanide fixer
// never has acid in its order.
func TestOrder(t *testing.T) {
	all := substance.All()
	rapid.Check(t, func(t *rapid.T) {
		m := Mix{Kind: rapid.SampledFrom(Kinds()).Draw(t, "kind"), VolumeMl: 1000}
		for range rapid.IntRange(0, 12).Draw(t, "n") {
			m.Parts = append(m.Parts, grams(rapid.SampledFrom(all).Draw(t, "s").Name, 1))
		}
		r, _ := Read(m)
		seen := map[int]int{}
		for _, step := range r.Order() {
			for _, i := range step.Lines {
				seen[i]++
				if r.Kind == Fixer && r.Lines[i].Substance.Is(substance.Acid) && !strings.HasPrefix(step.Text, "Not in the usual order") {
					t.Fatalf("%q calls for %s", step.Text, r.Lines[i].Substance.Name)
				}
			}
		}
		for i := range r.Lines {
			if seen[i] != 1 {
				t.Fatalf("%s is mixed in %d times", r.Lines[i].Substance.Name, seen[i])
			}
		}
	})
}

func TestReadAdded(t *testing.T) {
	a, problems := ReadAdded([]Part{grams("silver nitrate", 8), {Substance: "water", Millilitres: g(50)}, amount("potassium iodide", "1 gr"), {Substance: "silver nitrate", PercentWV: g(9)}, grams("silver nitrate", -1)})
	close(t, "silver", a.SilverNitrateG, 8, 0)
	close(t, "liquid", a.LiquidMl, 50, 0)
	close(t, "halide as silver nitrate", a.HalideG, 0.06479891*1.0233, 1e-5)
	if got := codes(problems); got != "error:addition-per-volume error:amount-not-positive" {
		t.Errorf("problems %s", got)
	}
}

func BenchmarkRead(b *testing.B) {
	m := coll(500, Part{Substance: "plain collodion", Millilitres: g(250)}, amount("ammonium iodide", "4 gr/fl oz US"), grams("cadmium bromide tetrahydrate", 2.5))
	for b.Loop() {
		Read(m)
	}
}
