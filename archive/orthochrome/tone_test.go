package orthochrome

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func byKey(t *testing.T, key string, share float64) Tone {
	t.Helper()
	for _, s := range append(Cloth(), Features()...) {
		if s.Key == key {
			return tone(s, share)
		}
	}
	t.Fatalf("no sample %q", key)
	return Tone{}
}

// CIE 15:2004: illuminant D65 and the 1931 observer give x = 0.3127, y = 0.3290.
// The observer here is a fit, whose authors state an error below one percent.
func TestWhitePoint(t *testing.T) {
	X, Y, Z := tristimulus(Reflectance{From: 1})
	x, y := X/(X+Y+Z), Y/(X+Y+Z)
	if math.Abs(x-0.3127) > 0.002 || math.Abs(y-0.3290) > 0.002 {
		t.Errorf("white point %.4f, %.4f; CIE 15 gives 0.3127, 0.3290", x, y)
	}
	if math.Abs(Y-1) > 1e-12 {
		t.Errorf("Y of white is %g", Y)
	}
}

// CIE 1931 table, from memory: ȳ(555) = 1.0000, x̄(600) = 1.0622, z̄(445) = 1.7826, x̄(445) = 0.3481.
func TestObserver(t *testing.T) {
	_, y555, _ := observer(555)
	x600, _, _ := observer(600)
	x445, _, z445 := observer(445)
	for _, c := range []struct {
		name      string
		got, want float64
	}{{"y(555)", y555, 1.0000}, {"x(600)", x600, 1.0622}, {"z(445)", z445, 1.7826}, {"x(445)", x445, 0.3481}} {
		if math.Abs(c.got-c.want) > 0.03 {
			t.Errorf("%s = %.4f, table %.4f", c.name, c.got, c.want)
		}
	}
}

// CIE 1976: L* of 18.4 % is 50, of 1.13 % about 10; both are in the trade's tables.
func TestLightness(t *testing.T) {
	for _, c := range []struct{ y, l float64 }{{0.18418, 50}, {0.011260, 10}, {1, 100}, {0, 0}} {
		if got := cieLightness(c.y); math.Abs(got-c.l) > 0.01 {
			t.Errorf("L*(%g) = %g, want %g", c.y, got, c.l)
		}
		if back := relativeLuminance(cieLightness(c.y)); math.Abs(back-c.y) > 1e-9 {
			t.Errorf("luminance of L*(%g) = %g", c.y, back)
		}
	}
}

// The limits the curves are drawn through.
func TestSensitivityLimits(t *testing.T) {
	if r := sensitivity(460, 0) / sensitivity(420, 0); r > 0.01 {
		t.Errorf("iodide alone answers to 460 nm with %.3f of its violet", r)
	}
	if r := sensitivity(486, bromideShare) / sensitivity(420, bromideShare); r < 0.005 || r > 0.1 {
		t.Errorf("mixed collodion at line F answers with %.4f of its violet", r)
	}
	if r := sensitivity(589, 1) / sensitivity(420, 1); r > 1e-3 {
		t.Errorf("bromide answers to sodium yellow with %.5f", r)
	}
	for nm := 430.0; nm < 700; nm++ {
		if sensitivity(nm+1, 1) > sensitivity(nm, 1) || sensitivity(nm+1, 0) > sensitivity(nm, 0) {
			t.Fatalf("sensitivity rises towards the red at %g nm", nm)
		}
	}
}

// What every account of blue-sensitive plates says, named in the trade's manuals
// since Hardwich: blues and violets pale, reds, oranges and yellows dark.
func TestColoursGoWhereTheTradeSaysTheyGo(t *testing.T) {
	for key, want := range map[string]Shift{
		"sky_blue": Lighter, "royal_blue": Lighter, "lilac": Lighter, "purple": Lighter, "blue_eyes": Lighter,
		"scarlet": Darker, "orange": Darker, "lemon": Darker, "mustard": Darker, "leaf_green": Darker,
		"freckles": Darker, "red_hair": Darker, "lips": Darker, "tan": Darker, "gold": Darker,
		"white": Same, "black": Same,
	} {
		if got := byKey(t, key, bromideShare); got.Shift != want {
			t.Errorf("%s: %v (eye %.0f, plate %.0f), want %v", key, got.Shift, got.EyeLightness, got.PlateLightness, want)
		}
	}
	lemon, navy := byKey(t, "lemon", bromideShare), byKey(t, "royal_blue", bromideShare)
	if lemon.EyeLightness < navy.EyeLightness || lemon.PlateLightness > navy.PlateLightness {
		t.Error("a lemon shirt is paler than a royal blue one to the eye and must be darker on the plate")
	}
}

// Hardwich and Towler: bromide helps foliage and half-tones.
func TestBromideHelpsFoliage(t *testing.T) {
	leaf := Sample{"leaf", curve(0.04, Rise{470, 10, 0.24})}
	if iod, mix := tone(leaf, 0).PlateLightness, tone(leaf, 1).PlateLightness; mix <= iod {
		t.Errorf("blue-green: iodide %.1f, bromide %.1f", iod, mix)
	}
}

// The eye's colour must be the colour its name says; hue by the largest channel.
func TestNamesMatchTheEye(t *testing.T) {
	for key, ok := range map[string]func(c RGB) bool{
		"scarlet":    func(c RGB) bool { return c.R > 180 && c.G < 80 && c.B < 80 },
		"orange":     func(c RGB) bool { return c.R > 210 && c.G > 90 && c.G < 180 && c.B < 90 },
		"lemon":      func(c RGB) bool { return c.R > 210 && c.G > 210 && c.B < 120 },
		"leaf_green": func(c RGB) bool { return c.G > c.R+20 && c.G > c.B+20 },
		"royal_blue": func(c RGB) bool { return c.B > c.R+60 && c.B > c.G+60 },
		"sky_blue":   func(c RGB) bool { return c.B > 190 && c.G > c.R },
		"lilac":      func(c RGB) bool { return c.B > c.G && c.R > c.G },
		"white":      func(c RGB) bool { return c.R > 225 && c.G > 225 && c.B > 225 },
		"black":      func(c RGB) bool { return c.R < 60 && c.G < 60 && c.B < 60 },
		"brown":      func(c RGB) bool { return c.R > c.G && c.G > c.B && c.R < 140 },
	} {
		if c := byKey(t, key, bromideShare).Eye; !ok(c) {
			t.Errorf("%s looks like %v", key, c)
		}
	}
}

func TestKeysAreUnique(t *testing.T) {
	seen := map[string]bool{}
	for _, s := range append(Cloth(), Features()...) {
		if seen[s.Key] {
			t.Errorf("%s twice", s.Key)
		}
		seen[s.Key] = true
		for nm := firstNanometre; nm <= lastNanometre; nm++ {
			if v := s.Reflectance.At(float64(nm)); v < 0 || v > 1 {
				t.Fatalf("%s reflects %g at %d nm", s.Key, v, nm)
			}
		}
	}
}

// More reflectance anywhere never gives a darker tone, to eye or plate.
func TestToneIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := rapid.Float64Range(340, 700).Draw(t, "at")
		low := rapid.Float64Range(0.02, 0.5).Draw(t, "low")
		to := rapid.Float64Range(0.02, 0.9).Draw(t, "to")
		more := rapid.Float64Range(0, 0.1).Draw(t, "more")
		a := tone(Sample{"a", curve(low, Rise{at, 12, to})}, bromideShare)
		b := tone(Sample{"b", curve(low+more, Rise{at, 12, to + more})}, bromideShare)
		if b.EyeLightness < a.EyeLightness-1e-9 || b.PlateLightness < a.PlateLightness-1e-9 {
			t.Fatalf("eye %g → %g, plate %g → %g", a.EyeLightness, b.EyeLightness, a.PlateLightness, b.PlateLightness)
		}
	})
}

func ExampleTones() {
	for _, t := range Tones(Cloth()) {
		if t.Key == "sky_blue" || t.Key == "scarlet" {
			fmt.Println(t.Key, t.Shift)
		}
	}
	// Output:
	// sky_blue lighter
	// scarlet darker
}
