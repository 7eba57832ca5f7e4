package plot

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Ends of an axis are round numbers that a reader expects.
func TestTicks(t *testing.T) {
	for _, c := range []struct {
		s    scale
		n    int
		want []float64
	}{
		{scale{lo: 0, hi: 1}, 4, []float64{0, 0.5, 1}},
		{scale{lo: 0, hi: 1}, 5, []float64{0, 0.2, 0.4, 0.6, 0.8, 1}},
		{scale{lo: -2, hi: 2}, 6, []float64{-2, -1, 0, 1, 2}},
		{scale{lo: 3, hi: 47}, 6, []float64{10, 20, 30, 40}},
		{scale{lo: 0.17, hi: 2.3, log: true}, 4, []float64{0.2, 0.5, 1, 2}},
		{scale{lo: 5, hi: 5}, 4, []float64{5}},
	} {
		got := c.s.ticks(c.n)
		if len(got) != len(c.want) {
			t.Errorf("%+v: ticks %v, want %v", c.s, got, c.want)
			continue
		}
		for i := range got {
			if math.Abs(got[i]-c.want[i]) > 1e-9 {
				t.Errorf("%+v: ticks %v, want %v", c.s, got, c.want)
			}
		}
	}
}

// A logarithmic scale gives every doubling the same way.
func TestLogScale(t *testing.T) {
	s := scale{lo: 0.25, hi: 4, a: 0, b: 400, log: true}
	for i, v := range []float64{0.25, 0.5, 1, 2, 4} {
		if got := s.at(v); math.Abs(got-float64(100*i)) > 1e-9 {
			t.Errorf("%v lies at %v, want %v", v, got, 100*i)
		}
	}
}

// A dot lies on its whisker, left to right as its numbers say.
func TestRates(t *testing.T) {
	half := 0.5
	p := Rates("Kept", []Rate{{Label: "a", Rate: 0.75, Lo: 0.25, Hi: 1, Adjusted: &half}, {Label: "b", Rate: 1, Lo: 0.2, Hi: 1, Few: true}})
	find := func(kind, class string) Shape {
		i := slices.IndexFunc(p.Shapes, func(s Shape) bool { return s.Kind == kind && s.Class == class })
		if i < 0 {
			t.Fatalf("no %s of class %q", kind, class)
		}
		return p.Shapes[i]
	}
	dot, whisker := find("circle", "dot"), find("line", "whisker")
	if want := 8 + 0.75*384; math.Abs(dot.X-want) > 0.1 {
		t.Errorf("the rate 0.75 lies at %v, want %v", dot.X, want)
	}
	if whisker.X != 104 || whisker.X2 != 392 || whisker.Y != dot.Y {
		t.Errorf("the interval runs from %v to %v at %v, want 104 to 392 at %v", whisker.X, whisker.X2, whisker.Y, dot.Y)
	}
	find("circle", "dot few")
	find("line", "whisker few")
	find("path", "adjusted")
}

// Whatever the numbers, no mark leaves its drawing.
func TestEverythingStaysInside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "n")
		var aged []Aged
		var fit []Fitted
		var charted []Charted
		var chances []Chance
		var shares []Share
		var strong []Strong
		for i := range n {
			v := rapid.Float64Range(-3, 3).Draw(t, "v")
			aged = append(aged, Aged{float64(rapid.IntRange(0, 400).Draw(t, "days")), math.Exp2(v)})
			fit = append(fit, Fitted{float64(10 * i), math.Exp2(-v), math.Exp2(-v - 2), math.Exp2(-v + 9)})
			charted = append(charted, Charted{Value: v, Limit: math.Abs(v) / 2, Signal: v < -2, Fresh: i%7 == 0})
			chances = append(chances, Chance{float64(i) - 2, 0.2, 0.5, 0.3})
			strong = append(strong, Strong{8 + v, i%5 == 0})
			shares = append(shares, Share{Label: "m", Rate: math.Abs(v) / 3, Mean: 0.5, Lo: -0.4, Hi: 1.3, Outside: v > 2})
		}
		for _, p := range []Plot{SpeedOverAge("s", Speed{aged, fit}), Control("c", charted), Grades("g", chances), Shares("m", shares), Strength("b", strong, 7.5)} {
			for _, s := range p.Shapes {
				if s.Kind == "path" {
					continue
				}
				xs, ys := []float64{s.X}, []float64{s.Y}
				if s.Kind == "line" {
					xs, ys = append(xs, s.X2), append(ys, s.Y2)
				}
				for _, x := range xs {
					if x < 0 || x > p.Width {
						t.Fatalf("%s: %+v is outside", p.Title, s)
					}
				}
				for _, y := range ys {
					if y < 0 || y > p.Height {
						t.Fatalf("%s: %+v is outside", p.Title, s)
					}
				}
			}
		}
	})
}
