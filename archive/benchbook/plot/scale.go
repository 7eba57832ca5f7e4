package plot

import (
	"math"
	"strconv"
)

// scale maps numbers from lo to hi onto places from a to b; log maps their
// logarithms, for which both must be above zero.
type scale struct {
	lo, hi, a, b float64
	log          bool
	whole        bool // of a count: no ticks between
}

func (s scale) at(v float64) float64 {
	lo, hi := s.lo, s.hi
	if s.log {
		v, lo, hi = math.Log(v), math.Log(lo), math.Log(hi)
	}
	if hi == lo {
		return (s.a + s.b) / 2
	}
	return s.a + (v-lo)/(hi-lo)*(s.b-s.a)
}

// clamped keeps a place within the scale.
func (s scale) clamped(v float64) float64 {
	at := s.at(v)
	return math.Min(math.Max(at, math.Min(s.a, s.b)), math.Max(s.a, s.b))
}

// ticks are round numbers from lo to hi, about n of them: steps of 1, 2 or 5
// times a power of ten, or, on a log scale, 1, 2 and 5 of every power.
func (s scale) ticks(n int) []float64 {
	if s.log {
		return logTicks(s.lo, s.hi)
	}
	step := niceStep((s.hi - s.lo) / float64(n))
	if s.whole {
		step = math.Max(1, step)
	}
	var out []float64
	for i := math.Ceil(s.lo/step - 1e-9); i*step <= s.hi+1e-9*step; i++ {
		out = append(out, i*step+0) // +0 keeps a negative zero from showing its sign
	}
	return out
}

func niceStep(rough float64) float64 {
	if rough <= 0 {
		return 1
	}
	power := math.Pow(10, math.Floor(math.Log10(rough)))
	for _, m := range []float64{1, 2, 5} {
		if rough <= m*power*(1+1e-9) {
			return m * power
		}
	}
	return 10 * power
}

func logTicks(lo, hi float64) []float64 {
	var out []float64
	for e := math.Floor(math.Log10(lo)); e <= math.Ceil(math.Log10(hi)); e++ {
		for _, m := range []float64{1, 2, 5} {
			v := m * math.Pow(10, e)
			if v >= lo*(1-1e-9) && v <= hi*(1+1e-9) {
				out = append(out, v)
			}
		}
	}
	return out
}

// two writes a positive number to two significant figures, without an exponent.
func two(v float64) string {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 2, 64), 64)
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// figure writes a tick without idle zeros.
func figure(v float64) string {
	s := strconv.FormatFloat(math.Round(math.Abs(v)*1e6)/1e6, 'f', -1, 64)
	if v < 0 && s != "0" {
		return "−" + s
	}
	return s
}
