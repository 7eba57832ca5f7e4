package likeness

import "math"

// detail is a square of grey values with everything taken out that light, tone
// and exposure change: each is given as its distance from the mean around it, in
// units of the spread around it.
type detail struct {
	n int // width and height
	v []float32
}

// full is the detail of a print at its own size.
func (p *Print) full() detail { return normalise(p.levels(), side, 6) }

// half is the detail at half the size.
func (p *Print) half() detail { return normalise(halve(p.levels(), side), side/2, 5) }

func (p *Print) levels() []float32 {
	out := make([]float32, len(p.grey))
	for i, g := range p.grey {
		out[i] = float32(g)
	}
	return out
}

// turned gives the detail as seen turned or mirrored; 0 ≤ way < 8, 0 as it is.
// (A tintype shows its sitter mirrored: whoever scans it may put that right.)
func (d detail) turned(way int) detail {
	if way == 0 {
		return d
	}
	out := make([]float32, len(d.v))
	for y := range d.n {
		for x := range d.n {
			sx, sy := x, y
			if way&4 != 0 {
				sx, sy = sy, sx
			}
			if way&1 != 0 {
				sx = d.n - 1 - sx
			}
			if way&2 != 0 {
				sy = d.n - 1 - sy
			}
			out[y*d.n+x] = d.v[sy*d.n+sx]
		}
	}
	return detail{d.n, out}
}

// halve averages two by two.
func halve(v []float32, n int) []float32 {
	m := n / 2
	out := make([]float32, m*m)
	for y := range m {
		for x := range m {
			at := 2*y*n + 2*x
			out[y*m+x] = (v[at] + v[at+1] + v[at+n] + v[at+n+1]) / 4
		}
	}
	return out
}

// floor is added to the spread, in grey levels: below it lies the noise of
// compression, which must not be blown up.
const floor = 1.5

func normalise(v []float32, n, radius int) detail {
	mean := blur(v, n, radius)
	out := make([]float32, len(v))
	squares := make([]float32, len(v))
	for i := range v {
		out[i] = v[i] - mean[i]
		squares[i] = out[i] * out[i]
	}
	variance := blur(squares, n, radius)
	for i := range out {
		out[i] /= float32(math.Sqrt(float64(max(variance[i], 0)))) + floor
	}
	return detail{n, out}
}

// blur is a running mean over a square of 2·radius+1, cut at the edges.
func blur(v []float32, n, radius int) []float32 {
	across := make([]float32, len(v))
	for y := range n {
		runningMean(v[y*n:], across[y*n:], n, 1, radius)
	}
	out := make([]float32, len(v))
	for x := range n {
		runningMean(across[x:], out[x:], n, n, radius)
	}
	return out
}

func runningMean(in, out []float32, n, step, radius int) {
	var sum float32
	count := 0
	for i := -radius; i < n; i++ {
		if add := i + radius; add < n {
			sum += in[add*step]
			count++
		}
		if drop := i - radius - 1; drop >= 0 {
			sum -= in[drop*step]
			count--
		}
		if i >= 0 {
			out[i*step] = sum / float32(count)
		}
	}
}
