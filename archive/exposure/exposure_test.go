package exposure

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func near(t *testing.T, name string, got, want, tol float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tol {
		t.Errorf("%s = %.15g, want %.15g (tolerance %g)", name, got, want, tol)
	}
}

// The identities follow from ISO 2720:1974 and the bellows factor; the rows
// were computed in R 4.2.2.
func TestEIAndDose(t *testing.T) {
	rows := []struct{ t, n, m, ev, ei, dose float64 }{
		{0.01, 16, 0, 15, 78.125, 0.356143810225275},
		{8, 4, 0, 9, 0.390625, 8},
		{12, 5.6, 0.25, 8.5, 1.12787214447, 6.47025265661},
		{2.5, 4.5, 0.1, 11.3, 0.388715123862, 8.0070710445},
		{20, 8, 1, 13, 0.15625, 9.32192809489},
	}
	for _, r := range rows {
		s := Setting{Seconds: r.t, Stop: r.n, Magnification: r.m, EV100: r.ev}
		ei, err := s.EI()
		if err != nil {
			t.Fatal(err)
		}
		d, err := s.Dose()
		if err != nil {
			t.Fatal(err)
		}
		// The printed values carry twelve digits.
		near(t, fmt.Sprintf("EI of %+v", s), ei, r.ei, 1e-11*r.ei)
		near(t, fmt.Sprintf("dose of %+v", s), d, r.dose, 1e-11*math.Max(1, r.dose))
		near(t, "EI from dose", EIFromDose(d), ei, 1e-12*ei)
	}
}

// Check values worked by hand from the same formulas.
func TestTradeValues(t *testing.T) {
	ev, err := EV100FromLux(10000, MeterConstant)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "EV100 of 10000 lx", ev, math.Log2(4000), 1e-12)
	near(t, "EV100 of 10000 lx", ev, 11.966, 0.001)
	lux, _ := LuxFromEV100(15, MeterConstant)
	near(t, "lux of EV 15", lux, 81920, 0)
	cd, _ := LuminanceFromEV100(15, LuminanceConstant)
	near(t, "cd/m² of EV 15", cd, 4096, 0)
	m, _ := Magnification(360, 300)
	f, _ := BellowsFactor(m)
	st, _ := BellowsStops(m)
	near(t, "bellows factor 300 at 360", f, 1.44, 1e-12)
	near(t, "bellows stops 300 at 360", st, 0.526, 0.001)
	ei, _ := Setting{Seconds: 8, Stop: 5.6, Magnification: 0.2, EV100: 10}.EI()
	near(t, "EI f/5.6 8 s EV 10 m 0.2", ei, 0.55125, 1e-12)
	s, _ := SecondsFor(0.5, 4, 0.15, 10)
	near(t, "seconds EI 0.5 f/4 EV 10 m 0.15", s, 4.1328125, 1e-12)
	a, _ := EV100FromLux(1000, 250)
	b, _ := EV100FromLux(1000, 330)
	near(t, "dome against flat receptor, stops", a-b, math.Log2(330.0/250), 1e-12)
}

func TestSolvedForEach(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Setting{
			Seconds:       rapid.Float64Range(0.01, 600).Draw(t, "seconds"),
			Stop:          rapid.Float64Range(1, 64).Draw(t, "stop"),
			Magnification: rapid.Float64Range(0, 2).Draw(t, "m"),
			EV100:         rapid.Float64Range(-6, 18).Draw(t, "ev"),
		}
		ei, err := s.EI()
		if err != nil {
			t.Fatal(err)
		}
		sec, _ := SecondsFor(ei, s.Stop, s.Magnification, s.EV100)
		stop, _ := StopFor(ei, s.Seconds, s.Magnification, s.EV100)
		ev, _ := EV100For(ei, s.Seconds, s.Stop, s.Magnification)
		if math.Abs(sec/s.Seconds-1) > 1e-12 || math.Abs(stop/s.Stop-1) > 1e-12 || math.Abs(ev-s.EV100) > 1e-12 {
			t.Fatalf("%+v: back %v s, f/%v, EV %v", s, sec, stop, ev)
		}
		// Two stops down is twice the f-number and four times the time.
		s.Stop *= 2
		s.Seconds *= 4
		again, _ := s.EI()
		if math.Abs(again/ei-1) > 1e-12 {
			t.Fatalf("twice the f-number and four times the time: EI %v, was %v", again, ei)
		}
	})
}

func TestRefusals(t *testing.T) {
	ok := Setting{Seconds: 4, Stop: 4, EV100: 10}
	for _, c := range []struct {
		name string
		edit func(*Setting)
		want error
	}{
		{"no time", func(s *Setting) { s.Seconds = 0 }, ErrNotPositive},
		{"negative time", func(s *Setting) { s.Seconds = -2 }, ErrNotPositive},
		{"no stop", func(s *Setting) { s.Stop = 0 }, ErrNotPositive},
		{"NaN stop", func(s *Setting) { s.Stop = math.NaN() }, ErrNotFinite},
		{"infinite EV", func(s *Setting) { s.EV100 = math.Inf(1) }, ErrNotFinite},
		{"EV beyond numbers", func(s *Setting) { s.EV100 = 5000 }, ErrNotFinite},
		{"plate in the lens", func(s *Setting) { s.Magnification = -1 }, ErrMagnification},
	} {
		s := ok
		c.edit(&s)
		if _, err := s.EI(); !errors.Is(err, c.want) {
			t.Errorf("%s: got %v, want %v", c.name, err, c.want)
		}
	}
	if _, err := EV100FromLux(0, 250); !errors.Is(err, ErrNotPositive) {
		t.Errorf("dark: %v", err)
	}
	if _, err := Magnification(360, 0); !errors.Is(err, ErrNotPositive) {
		t.Errorf("no focal length: %v", err)
	}
}

func TestCountable(t *testing.T) {
	for _, c := range []struct {
		in   float64
		way  Rounding
		want float64
	}{
		{4.1328, Nearest, 4}, {4.26, Nearest, 4.5}, {4.1328, Down, 4}, {4.1328, Up, 4.5},
		{4.5, Up, 4.5}, {9.8, Nearest, 10}, {9.8, Down, 9.5}, {12.4, Nearest, 12}, {12.1, Up, 13},
		{33, Nearest, 35}, {33, Down, 30}, {131, Nearest, 130}, {131, Up, 140},
		{0.127, Nearest, 0.13}, {0.127, Down, 0.12}, {0.04, Up, 0.04}, {0.3, Down, 0.3}, {0.46, Up, 0.46},
		{0.499, Up, 0.5},
	} {
		if got := Countable(c.in, c.way); got != c.want {
			t.Errorf("Countable(%v, %v) = %v, want %v", c.in, c.way, got, c.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		s := math.Exp(rapid.Float64Range(-8, 8).Draw(t, "log seconds"))
		lo, mid, hi := Countable(s, Down), Countable(s, Nearest), Countable(s, Up)
		if lo <= 0 || lo > s*(1+1e-8) || hi < s*(1-1e-8) || mid < lo || mid > hi {
			t.Fatalf("%v: %v, %v, %v", s, lo, mid, hi)
		}
	})
}

func ExampleSecondsFor() {
	m, _ := Magnification(360, 300)
	ev, _ := EV100FromLux(2500, MeterConstant)
	s, _ := SecondsFor(0.5, 4.5, m, ev)
	fmt.Printf("%g s\n", Countable(s, Nearest))
	// Output: 6 s
}
