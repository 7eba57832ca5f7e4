package noise

import (
	"math"
	"testing"
)

// Unit numbers are spread evenly: mean and variance of the uniform distribution within five standard errors.
func TestUnitIsUniform(t *testing.T) {
	const n = 40000
	sum, square := 0.0, 0.0
	for i := range int64(n) {
		v := Unit(1, i%200, i/200, 3)
		sum += v
		square += v * v
	}
	mean := sum / n
	variance := square/n - mean*mean
	if math.Abs(mean-0.5) > 5*math.Sqrt(1.0/12/n) {
		t.Errorf("mean %v", mean)
	}
	if math.Abs(variance-1.0/12) > 5*math.Sqrt(1.0/180/n) {
		t.Errorf("variance %v", variance)
	}
}

// Clouds are continuous and bounded.
func TestCloudIsSmooth(t *testing.T) {
	last := Cloud(5, 0, 0.3, 3)
	for i := 1; i < 4000; i++ {
		v := Cloud(5, float64(i)*0.002, 0.3, 3)
		if math.Abs(v) > 1 || math.Abs(v-last) > 0.05 {
			t.Fatalf("step %d: %v after %v", i, v, last)
		}
		last = v
	}
}

func TestSourceRepeats(t *testing.T) {
	a, b := NewSource(9), NewSource(9)
	for range 10 {
		if a.Normal() != b.Normal() {
			t.Fatal("two streams of one seed differ")
		}
	}
}
