package picture

import (
	"cmp"
	"math"
	"slices"
	"sync"
	"sync/atomic"
)

// axis says how one direction is resampled: for each output sample the first
// input sample it draws on and the weights of those that follow.
type axis struct {
	in, out int // in counts folded samples
	taps    int
	first   []int
	weight  []int32 // out × taps
	unit    int32   // sum of the weights of each output sample
	groups  int     // taps k, k+groups, k+2·groups … are summed together
	same    bool    // nothing to do
	folded  bool    // every other input sample, with its neighbours; see folds

	heaviest float64 // largest sum of absolute weights in a group, of 1
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

// folds reports whether a reduction is done in two steps: at 3 and more the
// kernel is so wide that it is nearly straight from one sample to the next but
// one. So every other sample is first replaced by the mean of itself, twice, and
// its two neighbours, and the kernel is put together from those: half the work
// is saved.
func folds(scale float64) bool { return scale >= 3 }

// newAxis computes the weights in parts of unit. If room is above 0, unit is
// lowered until in each group the weights' absolute values sum to no more than
// room. Taps are dealt to the groups in turn, so that each has its share of the
// heavy ones.
func newAxis(g geometry, folded bool, unit, room int32, perGroup int) axis {
	k := axisKey{g, folded, unit, room, perGroup}
	if a, ok := axes.Load(k); ok {
		return a.(axis)
	}
	a := computeAxis(k)
	if axesKept.Add(1) > axesMost {
		axes.Clear()
		axesKept.Store(1)
	}
	axes.Store(k, a)
	return a
}

// axes keeps the weights of the sizes last met: the planes of a picture share
// them, and scans of one size follow each other. They are never written to.
var (
	axes     sync.Map // axisKey to axis
	axesKept atomic.Int32
)

const axesMost = 32

type axisKey struct {
	geometry
	folded     bool
	unit, room int32
	perGroup   int
}

func computeAxis(k axisKey) axis {
	g, folded, unit, room, perGroup := k.geometry, k.folded, k.unit, k.room, k.perGroup
	a := axis{in: g.in, out: g.out, folded: folded, same: g.in == g.out && g.scale == 1 && g.offset == 0}
	if a.same {
		return a
	}
	step := 1
	if folded {
		step, a.in = 2, (g.in+1)/2
	}
	stretch := math.Max(g.scale, 1)
	a.taps = min(int(6*stretch)/step+step, a.in) // one more where kernels are folded
	a.groups = 1
	if room > 0 {
		a.groups = (a.taps + perGroup - 1) / perGroup
	}
	exact := make([]float64, g.out*a.taps)
	a.first = make([]int, g.out)
	absolute := make([]float64, a.groups)
	kernel := make([]float64, step*a.taps+1)
	for i := range g.out {
		centre := g.offset + (float64(i)+0.5)*g.scale - 0.5
		a.first[i] = max(0, min(int(math.Ceil(centre-3*stretch))/step, a.in-a.taps))
		w := exact[i*a.taps : (i+1)*a.taps]
		at := a.first[i] * step
		part := kernel[:min(step*a.taps+step-1, g.in-at)]
		for n := range part {
			part[n] = lanczos((float64(at+n) - centre) / stretch)
		}
		if folded {
			fold(w, part)
		} else {
			copy(w, part)
		}
		normalise(w, centre < float64(at))
		clear(absolute)
		for k, v := range w {
			absolute[k%a.groups] += math.Abs(v)
		}
		a.heaviest = math.Max(a.heaviest, slices.Max(absolute))
	}
	if room > 0 {
		// Rounding may add up to one part per tap.
		unit = min(unit, int32((float64(room)-float64(a.taps/a.groups)-1)/a.heaviest))
	}
	a.unit = unit
	a.weight = make([]int32, len(exact))
	for i := range g.out {
		quantise(a.weight[i*a.taps:(i+1)*a.taps], exact[i*a.taps:(i+1)*a.taps], unit)
	}
	return a
}

// normalise makes weights sum to 1. If all of the kernel lies outside, the
// nearest edge is all.
func normalise(w []float64, before bool) {
	sum := 0.0
	for _, v := range w {
		sum += v
	}
	if math.Abs(sum) < 1e-6 {
		clear(w)
		if sum = 1; before {
			w[0] = 1
		} else {
			w[len(w)-1] = 1
		}
	}
	for k := range w {
		w[k] /= sum
	}
}

// fold finds weights w of folded samples that put the kernel together best, in
// the sense of least squares. Folded sample k is (x[2k−1] + 2x[2k] + x[2k+1])/4,
// at the ends of the part with x[2k] for what is missing. The normal equations
// are tridiagonal.
func fold(w, kernel []float64) {
	n := len(w)
	diagonal, beside := make([]float64, n), make([]float64, n)
	share := func(k int) (before, own, after float64) { // of x[2k−1], x[2k], x[2k+1]
		before, own, after = 0.25, 0.5, 0.25
		if k == 0 {
			before, own = 0, own+before
		}
		if 2*k+1 >= len(kernel) {
			after, own = 0, own+after
		}
		return before, own, after
	}
	for k := range n {
		b, o, a := share(k)
		diagonal[k] = b*b + o*o + a*a
		w[k] = o * kernel[2*k]
		if b > 0 {
			w[k] += b * kernel[2*k-1]
		}
		if a > 0 {
			w[k] += a * kernel[2*k+1]
		}
		if k+1 < n {
			next, _, _ := share(k + 1)
			beside[k] = a * next
		}
	}
	for k := 1; k < n; k++ { // forward elimination, then back
		f := beside[k-1] / diagonal[k-1]
		diagonal[k] -= f * beside[k-1]
		w[k] -= f * w[k-1]
	}
	for k := n - 1; k >= 0; k-- {
		if k+1 < n {
			w[k] -= beside[k] * w[k+1]
		}
		w[k] /= diagonal[k]
	}
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
