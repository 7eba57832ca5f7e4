package stats

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872, Table I, method
// 3; digits beyond the printed four from R 4.2.2, prop.test(correct=FALSE).
// The edge cases follow from the definition.
func TestWilson(t *testing.T) {
	for _, c := range []struct {
		k, n   int
		lo, hi float64
	}{
		{81, 263, 0.255288519878274, 0.3662095769828},
		{15, 148, 0.0623863995307363, 0.160487241723308},
		{0, 20, 0, 0.161125158052819},
		{1, 29, 0.00611321429276265, 0.171755218793203},
		{1, 1, 0.206549314377, 1},
		{0, 1, 0, 0.793450685623},
		{12, 12, 0.757505993345, 1},
		{5, 5, 0.565517535217, 1},
		{9, 10, 0.595849973205, 0.982123786905},
	} {
		i, err := Wilson(c.k, c.n, Level95)
		if err != nil {
			t.Fatal(err)
		}
		name := fmt.Sprintf("%d/%d", c.k, c.n)
		near(t, name+" lower", i.Lo, c.lo, 1e-9)
		near(t, name+" upper", i.Hi, c.hi, 1e-9)
		if c.k == 0 && i.Lo != 0 || c.k == c.n && i.Hi != 1 {
			t.Errorf("%s: end not exact: %v", name, i)
		}
	}
	z, _ := NormalQuantile(Level95)
	near(t, "z", z, 1.959963984540054, 1e-15)
	if _, err := Wilson(0, 0, Level95); !errors.Is(err, ErrNoData) {
		t.Errorf("0 of 0: %v", err)
	}
	for _, bad := range [][2]int{{-1, 3}, {4, 3}, {0, -1}} {
		if _, err := Wilson(bad[0], bad[1], Level95); !errors.Is(err, ErrArgument) {
			t.Errorf("%v: %v", bad, err)
		}
	}
	if _, err := Wilson(1, 2, 1); !errors.Is(err, ErrArgument) {
		t.Errorf("level 1: %v", err)
	}
}

// Newcombe, Statistics in Medicine 17 (1998) 873-890, Table II, method 10,
// rows a to h; digits beyond the printed four from R 4.2.2.
func TestNewcombe(t *testing.T) {
	for _, c := range []struct {
		a, m, b, n int
		d, lo, hi  float64
	}{
		{56, 70, 48, 80, 0.2, 0.052431472402365, 0.333872654036906},
		{9, 10, 3, 10, 0.6, 0.170522723934503, 0.809017973535488},
		{6, 7, 2, 7, 4.0 / 7, 0.0582279274823, 0.806249637524},
		{5, 56, 0, 29, 5.0 / 56, -0.0381371479035369, 0.192560013855112},
		{0, 10, 0, 20, 0, -0.161125158052819, 0.277532799862889},
		{0, 10, 0, 10, 0, -0.277532799862889, 0.277532799862889},
		{10, 10, 0, 20, 1, 0.679086037142, 1},
		{10, 10, 0, 10, 1, 0.607509350431, 1},
	} {
		name := fmt.Sprintf("%d/%d - %d/%d", c.a, c.m, c.b, c.n)
		d, i, err := Newcombe(c.a, c.m, c.b, c.n, Level95)
		if err != nil {
			t.Fatal(err)
		}
		near(t, name, d, c.d, 1e-12)
		near(t, name+" lower", i.Lo, c.lo, 1e-9)
		near(t, name+" upper", i.Hi, c.hi, 1e-9)
		e, j, _ := Newcombe(c.b, c.n, c.a, c.m, Level95)
		near(t, name+" swapped", e, -d, 0)
		near(t, name+" swapped lower", j.Lo, -i.Hi, 1e-15)
		near(t, name+" swapped upper", j.Hi, -i.Lo, 1e-15)
	}
	if _, _, err := Newcombe(1, 2, 0, 0, Level95); !errors.Is(err, ErrNoData) {
		t.Errorf("empty group: %v", err)
	}
}

// R. A. Fisher, The Design of Experiments (1935), ch. 2 (tea); Statistical
// Methods for Research Workers (twins); the others from R 4.2.2 fisher.test.
func TestFisher(t *testing.T) {
	for _, c := range []struct {
		table [4]int
		p     float64
	}{
		{[4]int{3, 1, 1, 3}, 0.485714285714286},
		{[4]int{2, 15, 10, 3}, 0.000536724119143436},
		{[4]int{9, 51, 2, 138}, 0.000399024761771992},
		{[4]int{12, 0, 5, 4}, 0.0210526315789474},
		{[4]int{0, 5, 0, 8}, 1},
		{[4]int{480, 420, 4300, 4800}, 0.000530064727336326},
	} {
		f, err := Fisher(c.table[0], c.table[1], c.table[2], c.table[3])
		if err != nil {
			t.Fatal(err)
		}
		rel(t, fmt.Sprint(c.table), f.TwoSided, c.p, 1e-7)
	}
	tea, _ := Fisher(3, 1, 1, 3)
	rel(t, "tea, one-sided", tea.Greater, 17.0/70, 1e-12)
	twins, _ := Fisher(2, 15, 10, 3)
	rel(t, "twins, one-sided (R help: 0.0004652)", twins.Less, 0.0004652, 1e-4)
	if _, err := Fisher(0, 0, 0, 0); !errors.Is(err, ErrNoData) {
		t.Errorf("empty: %v", err)
	}
	if _, err := Fisher(-1, 0, 0, 3); !errors.Is(err, ErrArgument) {
		t.Errorf("negative: %v", err)
	}
}

// The ratio of neighbours must agree with factorials written out.
func TestFisherAgainstFactorials(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := rapid.IntRange(0, 12)
		a, b, c, d := draw.Draw(t, "a"), draw.Draw(t, "b"), draw.Draw(t, "c"), draw.Draw(t, "d")
		if a+b+c+d == 0 {
			return
		}
		choose := func(n, k int) float64 {
			v := 1.0
			for i := range k {
				v = v * float64(n-i) / float64(i+1)
			}
			return math.Round(v)
		}
		row, col, n := a+b, a+c, a+b+c+d
		weight := func(x int) float64 { return choose(row, x) * choose(n-row, col-x) }
		sum, total := 0.0, 0.0
		for x := max(0, row+col-n); x <= min(row, col); x++ {
			total += weight(x)
			if weight(x) <= weight(a)*(1+1e-7) {
				sum += weight(x)
			}
		}
		f, err := Fisher(a, b, c, d)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(f.TwoSided-sum/total) > 1e-12 {
			t.Fatalf("%d %d %d %d: %v, want %v", a, b, c, d, f.TwoSided, sum/total)
		}
	})
}

// The 15 p-values of Y. Benjamini and Y. Hochberg, JRSS B 57 (1995) 289-300,
// section 4.1; adjusted by R 4.2.2 p.adjust(p, "holm").
func TestHolm(t *testing.T) {
	p := []float64{0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324, 0.4262, 0.5719, 0.6528, 0.759, 1}
	want := []float64{0.0015, 0.0056, 0.0247, 0.114, 0.2211, 0.278, 0.278, 0.278, 0.3213, 1, 1, 1, 1, 1, 1}
	got, err := Holm(p)
	if err != nil {
		t.Fatal(err)
	}
	eachNear(t, "Holm", got, want, 1e-12)
	got, _ = Holm([]float64{0.04, 0.01, 0.03})
	eachNear(t, "unordered", got, []float64{0.06, 0.03, 0.06}, 1e-12)
	if got, err := Holm(nil); err != nil || len(got) != 0 {
		t.Errorf("empty: %v, %v", got, err)
	}
	if _, err := Holm([]float64{math.NaN()}); !errors.Is(err, ErrArgument) {
		t.Errorf("NaN: %v", err)
	}
}

func TestWilsonHoldsTheRate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 500).Draw(t, "n")
		k := rapid.IntRange(0, n).Draw(t, "k")
		i, err := Wilson(k, n, Level95)
		if err != nil {
			t.Fatal(err)
		}
		if p := float64(k) / float64(n); !i.Contains(p) || i.Lo < 0 || i.Hi > 1 {
			t.Fatalf("%d/%d: %v", k, n, i)
		}
		wide, _ := Wilson(k, n, 0.99)
		if wide.Lo > i.Lo || wide.Hi < i.Hi {
			t.Fatalf("%d/%d: 99%% %v inside 95%% %v", k, n, wide, i)
		}
	})
}

func ExampleWilson() {
	i, _ := Wilson(4, 5, Level95)
	fmt.Printf("4 of 5: %.0f to %.0f %%\n", 100*i.Lo, 100*i.Hi)
	// Output: 4 of 5: 38 to 96 %
}
