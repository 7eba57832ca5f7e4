package unit

import (
	"errors"
	"math"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestExact holds each factor to the exact definition it rests on, as the
// nearest float64 to the rational. NIST Handbook 44, appendix C; Weights and
// Measures Act 1985, schedule 1 (from memory).
func TestExact(t *testing.T) {
	for _, c := range []struct {
		name string
		got  float64
		want string
	}{
		{"grain, mg", MilligramsPerGrain, "64.79891"},
		{"avoirdupois ounce, g", GramsPerAvoirdupoisOunce, "28.349523125"},
		{"avoirdupois pound, g", GramsPerAvoirdupoisPound, "453.59237"},
		{"apothecaries' ounce, g", GramsPerApothecariesOunce, "31.1034768"},
		{"drachm, g", GramsPerDrachm, "3.8879346"},
		{"US gallon, ml", MillilitresPerUSGallon, "3785.411784"},
		{"US fluid ounce, ml", MillilitresPerUSFluidOunce, "29.5735295625"},
		{"US fluid drachm, ml", MillilitresPerUSFluidDrachm, "3.6966911953125"},
		{"imperial fluid ounce, ml", MillilitresPerImperialFluidOunce, "28.4130625"},
		{"imperial pint, ml", MillilitresPerImperialPint, "568.26125"},
		{"US minim, ml", MillilitresPerUSMinim, "0.06161151992187500"},
		{"imperial minim, ml", MillilitresPerImperialMinim, "28.4130625/480"},
	} {
		r, ok := new(big.Rat).SetString(c.want)
		if !ok {
			num, den, _ := strings.Cut(c.want, "/")
			n, _ := new(big.Rat).SetString(num)
			d, _ := new(big.Rat).SetString(den)
			r = n.Quo(n, d)
		}
		if want, _ := r.Float64(); c.got != want {
			t.Errorf("%s = %v, want %v exactly", c.name, c.got, want)
		}
	}
}

func TestPublishedFactors(t *testing.T) {
	for _, c := range []struct {
		name            string
		got, want, tol  float64
		sourceAndMethod string
	}{
		{"gr per US fl oz", GramsPer100mlFromGrainsPerUSOunce, 0.219111, 1e-6, "from the exact grain and US fluid ounce"},
		{"gr per imperial fl oz", GramsPer100mlFromGrainsPerImperialOunce, 0.228060, 1e-6, "from the exact grain and imperial fluid ounce"},
		{"US minim", MillilitresPerUSMinim, 0.0616115, 1e-7, "NIST Handbook 44, appendix C"},
		{"US fl oz / 480", MillilitresPerUSFluidOunce / 480, 0.0616115, 1e-7, "NIST Handbook 44, appendix C"},
	} {
		if math.Abs(c.got-c.want) > c.tol {
			t.Errorf("%s = %v, want %v ± %v (%s)", c.name, c.got, c.want, c.tol, c.sourceAndMethod)
		}
	}
}

func TestParse(t *testing.T) {
	for _, c := range []struct {
		text           string
		grams, ml, per float64
	}{
		{"8 gr/fl oz US", 8 * .06479891, 0, 29.5735295625},
		{"8 gr per US fluid ounce", 8 * .06479891, 0, 29.5735295625},
		{"8 grains to the oz. U.S.", 8 * .06479891, 0, 29.5735295625},
		{"30 gr/oz imp", 30 * .06479891, 0, 28.4130625},
		{"240 gr in 8 fl oz imp", 240 * .06479891, 0, 8 * 28.4130625},
		{"2½ dr", 2.5 * 3.8879346, 0, 0},
		{"2 1/2 drachms", 2.5 * 3.8879346, 0, 0},
		{"2-1/2 drams apoth.", 2.5 * 3.8879346, 0, 0},
		{"1 oz av", 28.349523125, 0, 0},
		{"1 ounce troy", 31.1034768, 0, 0},
		{"2 ℥ ap", 62.2069536, 0, 0},
		{"3 ʒ", 3 * 3.8879346, 0, 0},
		{"1/2 oz US", 0, 29.5735295625 / 2, 0},
		{"2 fl dr imp", 0, 2 * 28.4130625 / 8, 0},
		{"2 dr imp", 0, 2 * 28.4130625 / 8, 0},
		{"5 minims imperial", 0, 5 * 28.4130625 / 480, 0},
		{"1 pint US", 0, 473.176473, 0},
		{"10 drops", 0, .5, 0},
		{".5 g", .5, 0, 0},
		{"12.5 ML", 0, 12.5, 0},
		{"1 l", 0, 1000, 0},
		{"9 % w/v", 9, 0, 100},
		{"9% W/V", 9, 0, 100},
		{"5 per cent v/v", 0, 5, 100},
		{"16 g/100 ml", 16, 0, 100},
	} {
		a, err := Parse(c.text)
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		if !near(a.Grams, c.grams) || !near(a.Millilitres, c.ml) || !near(a.PerMillilitres, c.per) {
			t.Errorf("%q = %+v, want %v g, %v ml per %v ml", c.text, a, c.grams, c.ml, c.per)
		}
	}
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-12*math.Max(math.Abs(a), math.Abs(b)) }

// TestPublishedRecipes: strengths of Estabrooke (1887) and Cooley as converted
// in the books' own ounces.
func TestPublishedRecipes(t *testing.T) {
	for _, c := range []struct {
		text string
		want float64 // g per 100 ml
	}{
		{"40 gr/fl oz US", 8.764},
		{"30 gr/fl oz imp", 6.842},
		{"5 dr in 10 fl oz imp", 6.842}, // Cooley, positive bath
	} {
		a, err := Parse(c.text)
		if err != nil {
			t.Fatal(err)
		}
		if g, _ := a.In(100); math.Abs(g-c.want) > 0.001 {
			t.Errorf("%q = %v g/100 ml, want %v ± 0.001", c.text, g, c.want)
		}
	}
}

// TestAsked: what could mean several things is asked for, with every reading
// offered.
func TestAsked(t *testing.T) {
	for text, want := range map[string][]string{
		"1 oz":       {"fl oz US", "fl oz imp", "oz av", "oz ap"},
		"8 gr/oz":    {"fl oz US", "fl oz imp"},
		"8 gr/fl oz": {"fl oz US", "fl oz imp"},
		"2 fl dr":    {"fl dr US", "fl dr imp"},
		"5 minims":   {"minim US", "minim imp"},
		"1 pint":     {"pint US", "pint imp"},
		"1 lb":       {"lb av", "lb ap"},
		"9 %":        {"% w/v", "% v/v"},
	} {
		_, err := Parse(text)
		ask, ok := errors.AsType[*Ask](err)
		if !ok {
			t.Errorf("%q: %v, want a question", text, err)
			continue
		}
		if len(ask.Choices) != len(want) {
			t.Errorf("%q offers %q, want %q", text, ask.Choices, want)
		}
		for _, w := range want {
			if !strings.Contains(ask.Error(), w) {
				t.Errorf("%q does not offer %q: %v", text, w, ask)
			}
		}
	}
}

// TestChoicesAreReadable: an answer offered must itself be accepted.
func TestChoicesAreReadable(t *testing.T) {
	for _, w := range words {
		for _, choice := range w.choices {
			unit, _, _ := strings.Cut(strings.TrimPrefix(choice, `"`), `"`)
			if _, err := Parse("1 " + unit); err != nil {
				t.Errorf("offered %s: %v", choice, err)
			}
		}
	}
}

func TestRefused(t *testing.T) {
	for text, part := range map[string]string{
		"":                      "empty",
		"   ":                   "empty",
		"-3 gr":                 "less than nothing",
		"0 g":                   "more than 0",
		"8":                     "no unit",
		"gr":                    "no number",
		"8 stone":               "unknown unit",
		"0,8 g":                 "full stop",
		"1,000 ml":              "full stop",
		"8 gr/3 g":              "must be a volume",
		"120 % w/v":             "more than 100",
		"9 % w/w":               "density",
		"4 parts":               "proportion",
		"1 oz US imp":           "two systems",
		"1 g US":                "no US gram",
		"1/0 oz av":             "number",
		"1.5 1/2 dr":            "decimal and a fraction",
		"1e300 g":               "unknown unit",
		"99999999 g":            "1 000 000",
		strings.Repeat("9", 99): "too long",
	} {
		_, err := Parse(text)
		if bad, ok := errors.AsType[*Malformed](err); !ok || !strings.Contains(bad.Error(), part) {
			t.Errorf("%q: %v, want a refusal with %q", text, err, part)
		}
	}
}

func TestFigure(t *testing.T) {
	for x, want := range map[float64]string{
		0: "0", .8: "0.800", 1.7528: "1.75", 12.34: "12.3", 123.4: "123", 1234.5: "1234", 0.01234: "0.0123", 0.00001: "under 0.0001", 0.0001: "0.0001", -8: "-8.00",
	} {
		if got := Figure(x); got != want {
			t.Errorf("Figure(%v) = %q, want %q", x, got, want)
		}
	}
}

// TestScaling: an amount for a volume grows with the volume; an absolute one
// does not.
func TestScaling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := Amount{Grams: rapid.Float64Range(1e-3, 1e3).Draw(t, "g"), PerMillilitres: rapid.Float64Range(1, 1e3).Draw(t, "per")}
		v := rapid.Float64Range(1, 1e5).Draw(t, "ml")
		one, _ := a.In(v)
		two, _ := a.In(2 * v)
		if math.Abs(two-2*one) > 1e-9*two {
			t.Fatalf("%v in twice %v ml is %v, once %v", a, v, two, one)
		}
		whole, _ := a.In(a.PerMillilitres)
		if math.Abs(whole-a.Grams) > 1e-9*whole {
			t.Fatalf("in its own volume %v holds %v", a, whole)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, seed := range []string{"8 gr/fl oz US", "2½ dr", "240 gr in 8 fl oz imp", "9 % w/v", "1 1/2 ℥ ap", "1/2/3", "½", "% w/v", "5 per per", "f℥", "1-½ oz", "\xff oz"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		a, err := Parse(text)
		if err != nil {
			if _, ask := errors.AsType[*Ask](err); ask {
				return
			}
			if _, bad := errors.AsType[*Malformed](err); !bad {
				t.Fatalf("%q: error of another kind: %v", text, err)
			}
			return
		}
		if (a.Grams > 0) == (a.Millilitres > 0) || a.PerMillilitres < 0 || math.IsInf(a.Grams+a.Millilitres+a.PerMillilitres, 0) || a.Unit == "" {
			t.Fatalf("%q gives %+v", text, a)
		}
		g, ml := a.In(100)
		if math.IsNaN(g) || math.IsNaN(ml) || g < 0 || ml < 0 {
			t.Fatalf("%q in 100 ml gives %v g, %v ml", text, g, ml)
		}
	})
}

func BenchmarkParse(b *testing.B) {
	for b.Loop() {
		if _, err := Parse("2 1/2 gr per fl oz US"); err != nil {
			b.Fatal(err)
		}
	}
}
