package likeness

import "math"

// window says which part of one picture another shows: the four edges, as
// fractions of its width and height; 0, 1, 0, 1 is the whole.
type window [4]float64 // left, right, top, bottom

// reach is how far an edge may lie from the other picture's, in or out.
const reach = 0.12

// Same is the score from which one picture counts as made from the other, and
// Margin what one candidate must be ahead of another to count as the origin.
//
// Measured on the 58 JPEG plates of the demo archive (scenes and faces repeat in
// them, some from the same stand, which makes it harder), references of 400 px. A
// picture reduced to 200 to 900 px, brightened, at another gamma, mirrored, cropped
// by 5 % on each side or 10 % on two, compressed at quality 75 to 88, scores at
// least 0.87 with its origin. The next plate of the same scene scores up to 0.98,
// always at least 0.009 less than the origin does, and a plate of another scene at
// most 0.5. So the likelier of two has to be ahead by no more than what
// compression changes. Not known again: a plan of fine lines with a corner cut off.
const (
	Same   = 0.70
	Margin = 0.004
)

// Limits of the first look, from the same measurement: an origin has at least
// 0.66, 0.87 and 0.76.
const (
	leastWhole  = 0.5  // product of the vectors of the whole pictures
	leastPart   = 0.8  // the same with the best of the cuts
	leastCoarse = 0.65 // correlation of the sketches' detail, aligned
)

// Approach is how two sketches come to lie over each other.
type Approach struct {
	way    int
	part   window
	Coarse float64 // correlation of the sketches, at most 1
}

// Near says whether picture a may have been made from picture b, and how.
func Near(a, b *Sketch) (Approach, bool) {
	if a.flat || b.flat {
		return Approach{}, false
	}
	var best Approach
	found := false
	for way, product := range products(a, b) {
		if product < leastWhole {
			continue
		}
		v := a.whole.turned(way)
		at, top := 0, float32(leastPart)
		parts := b.parts()
		for i := range parts {
			if d := v.dot(&parts[i]); d > top {
				at, top = i, d
			}
		}
		if top <= leastPart {
			continue
		}
		w, c := climb(a.details().turned(way), b.details(), part(at), 0.04, 0.01)
		if c >= leastCoarse && c > best.Coarse {
			best, found = Approach{way, w, c}, true
		}
	}
	return best, found
}

// Score says how like b the picture a is: the correlation of their normalised
// detail in the best alignment near the approach. 1 is the same picture.
func Score(a, b *Print, from Approach) float64 {
	w, _ := climb(a.half().turned(from.way), b.half(), from.part, 0.012, 0.005)
	_, top := climb(a.full().turned(from.way), b.full(), w, 0.006, 0.0015)
	return top
}

// climb moves and scales the window in ever smaller steps while that helps.
func climb(a, b detail, w window, step, least float64) (window, float64) {
	top := correlate(a, b, w)
	for step >= least {
		better := false
		for _, move := range moves {
			next := w
			for i := range next {
				next[i] += move[i] * step
			}
			if !next.within() {
				continue
			}
			if c := correlate(a, b, next); c > top {
				w, top, better = next, c, true
			}
		}
		if !better {
			step /= 2
		}
	}
	return w, top
}

// moves are the directions a window is tried in: each edge alone, both edges of an
// axis together (a shift), and against each other (a scale).
var moves = func() (out [][4]float64) {
	for _, sign := range []float64{1, -1} {
		for axis := range 2 {
			for _, m := range [][2]float64{{1, 0}, {0, 1}, {1, 1}, {1, -1}} {
				var move [4]float64
				move[2*axis], move[2*axis+1] = sign*m[0], sign*m[1]
				out = append(out, move)
			}
		}
		out = append(out, [4]float64{sign, -sign, sign, -sign})
	}
	return out
}()

func (w window) within() bool {
	return math.Abs(w[0]) <= reach && math.Abs(w[1]-1) <= reach && math.Abs(w[2]) <= reach && math.Abs(w[3]-1) <= reach
}

// correlate gives the correlation of a with the part w of b, over where both are.
// The rim of the plate counts little: all plates have one, and it is much alike.
func correlate(a, b detail, w window) float64 {
	n := a.n
	var across, down [side]point
	sample(across[:n], b.n, w[0], w[1])
	sample(down[:n], b.n, w[2], w[3])
	xs, ys := across[:n], down[:n]
	weight := rims[n]
	var sa, sb, saa, sbb, sab, sw float64
	for y := range n {
		if ys[y].at < 0 {
			continue
		}
		row := a.v[y*n : y*n+n]
		upper := b.v[ys[y].at*b.n:]
		lower := upper
		if ys[y].at+1 < b.n {
			lower = b.v[(ys[y].at+1)*b.n:]
		}
		fy := ys[y].part
		for x := range n {
			s := xs[x]
			if s.at < 0 {
				continue
			}
			next := min(s.at+1, b.n-1)
			u := upper[s.at] + (upper[next]-upper[s.at])*s.part
			l := lower[s.at] + (lower[next]-lower[s.at])*s.part
			vb := float64(u + (l-u)*fy)
			va := float64(row[x])
			k := float64(weight[x] * weight[y])
			sw += k
			sa += k * va
			sb += k * vb
			saa += k * va * va
			sbb += k * vb * vb
			sab += k * va * vb
		}
	}
	if sw == 0 {
		return 0
	}
	va, vb := saa-sa*sa/sw, sbb-sb*sb/sw
	if va <= 0 || vb <= 0 {
		return 0
	}
	return (sab - sa*sb/sw) / math.Sqrt(va*vb)
}

// point is a place between two pixels; at is −1 outside.
type point struct {
	at   int
	part float32
}

// sample gives, for each pixel centre of a row, the place in a row of m of which
// the row shows the part from to to.
func sample(out []point, m int, from, to float64) {
	for i := range out {
		at := (from+(float64(i)+0.5)/float64(len(out))*(to-from))*float64(m) - 0.5
		if at < 0 || at > float64(m-1) {
			out[i].at = -1
			continue
		}
		whole := math.Floor(at)
		out[i] = point{int(whole), float32(at - whole)}
	}
}

// rims are windows that fall to zero at the rim over an eighth of the side (Hann).
var rims = map[int][]float32{side: hann(side), side / 2: hann(side / 2), small: hann(small)}

func hann(n int) []float32 {
	out := make([]float32, n)
	edge := float64(n) / 8
	for i := range out {
		d := math.Min(float64(i)+0.5, float64(n)-float64(i)-0.5)
		out[i] = float32(0.5 - 0.5*math.Cos(math.Pi*min(d/edge, 1)))
	}
	return out
}
