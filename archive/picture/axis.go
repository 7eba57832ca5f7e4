package picture

import (
	"cmp"
	"math"
	"slices"
)

// axis says how one direction is resampled: for each output sample the first
// input sample it draws on and the weights of those that follow.
type axis struct {
	in, out int
	taps    int
	first   []int
	weight  []int32 // out × taps
	unit    int32   // sum of the weights of each output sample
	groups  int     // taps k, k+groups, k+2·groups … are summed together
	same    bool    // nothing to do
}

// geometry places an output axis on an input axis. The centre of output sample
// i lies at offset + (i+½)·scale − ½ input samples.
type geometry struct {
	in, out       int
	scale, offset float64
}

// lanczos is the Lanczos kernel with three lobes, sinc(x)·sinc(x/3).
func lanczos(x float64) float64 {
	x = math.Abs(x)
	if x < 1e-9 {
		return 1
	}
	if x >= 3 {
		return 0
	}
	return 3 * math.Sin(math.Pi*x) * math.Sin(math.Pi*x/3) / (math.Pi * math.Pi * x * x)
}

// newAxis computes the weights in parts of unit. If room is above 0, unit is
// lowered until in each group the weights' absolute values sum to no more than
// room. Taps are dealt to the groups in turn, so
// that each has its share of the heavy ones.
func newAxis(g geometry, unit, room int32, perGroup int) axis {
	a := axis{in: g.in, out: g.out, same: g.in == g.out && g.scale == 1 && g.offset == 0}
	if a.same {
		return a
	}
	stretch := math.Max(g.scale, 1)
	a.taps = min(int(6*stretch)+1, g.in)
	a.groups = 1
	if room > 0 {
		a.groups = (a.taps + perGroup - 1) / perGroup
	}
	exact := make([]float64, g.out*a.taps)
	a.first = make([]int, g.out)
	heaviest := 0.0
	for i := range g.out {
		centre := g.offset + (float64(i)+0.5)*g.scale - 0.5
		first := int(math.Ceil(centre - 3*stretch))
		first = max(0, min(first, g.in-a.taps))
		a.first[i] = first
		w := exact[i*a.taps : (i+1)*a.taps]
		sum, absolute := 0.0, make([]float64, a.groups)
		for k := range w {
			w[k] = lanczos((float64(first+k) - centre) / stretch)
			sum += w[k]
		}
		if math.Abs(sum) < 1e-6 { // wholly outside: the nearest edge
			clear(w)
			w[nearest(centre, first, a.taps)], sum = 1, 1
		}
		for k := range w {
			w[k] /= sum
			absolute[k%a.groups] += math.Abs(w[k])
		}
		heaviest = math.Max(heaviest, slices.Max(absolute))
	}
	if room > 0 {
		// Rounding may add up to one part per tap.
		unit = min(unit, int32((float64(room)-float64(a.taps/a.groups)-1)/heaviest))
	}
	a.unit = unit
	a.weight = make([]int32, len(exact))
	for i := range g.out {
		quantise(a.weight[i*a.taps:(i+1)*a.taps], exact[i*a.taps:(i+1)*a.taps], unit)
	}
	return a
}

func nearest(centre float64, first, taps int) int {
	if centre < float64(first) {
		return 0
	}
	return taps - 1
}

// quantise rounds weights so that they sum to unit exactly, by largest
// remainders: a flat area stays exactly as it is.
func quantise(dst []int32, exact []float64, unit int32) {
	order := make([]int, len(exact))
	left := unit
	remainder := func(k int) float64 { return exact[k]*float64(unit) - float64(dst[k]) }
	for k, w := range exact {
		order[k] = k
		dst[k] = int32(math.Floor(w * float64(unit)))
		left -= dst[k]
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(remainder(b), remainder(a)) })
	for i := range left { // fewer than there are weights
		dst[order[int(i)%len(order)]]++
	}
}
