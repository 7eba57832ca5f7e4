package likeness

import (
	"math"
	"sync"
)

// small is the side of a sketch, in pixels.
const small = side / 4

// Bytes is how many bytes keep a sketch.
const Bytes = small * small

// Sketch is the first, quick look at a picture: small enough to keep thousands of
// them, good enough to tell that two pictures are not alike.
type Sketch struct {
	grey    [Bytes]uint8
	whole   vector
	seen    [2]classes // whole, as it is and with its axes changed over
	parts   func() [16]vector
	details func() detail
	flat    bool
}

// Sketch makes the sketch of a print.
func (p *Print) Sketch() *Sketch {
	s := &Sketch{flat: p.flat}
	if p.flat {
		return s
	}
	for y := range small {
		for x := range small {
			sum := 0
			for dy := range 4 {
				for dx := range 4 {
					sum += int(p.grey[(4*y+dy)*side+4*x+dx])
				}
			}
			s.grey[y*small+x] = uint8((sum + 8) / 16)
		}
	}
	return s.ready()
}

// FromBytes makes a sketch of what [Sketch.Keep] gave; nil if it is not that.
func FromBytes(kept []byte) *Sketch {
	if len(kept) != Bytes {
		return nil
	}
	s := &Sketch{flat: true}
	copy(s.grey[:], kept)
	for _, g := range s.grey {
		if g != s.grey[0] {
			s.flat = false
		}
	}
	if s.flat {
		return s
	}
	return s.ready()
}

// Keep gives the bytes of a sketch.
func (s *Sketch) Keep() []byte { return s.grey[:] }

func (s *Sketch) ready() *Sketch {
	s.whole = s.vector(window{0, 1, 0, 1})
	changed := s.whole.turned(4)
	s.seen = [2]classes{s.whole.classes(), changed.classes()}
	s.parts = sync.OnceValue(func() (out [16]vector) {
		for i := range out {
			out[i] = s.vector(part(i))
		}
		return out
	})
	s.details = sync.OnceValue(func() detail {
		grey := make([]float32, Bytes)
		for i, g := range s.grey {
			grey[i] = float32(g)
		}
		return normalise(grey, small, 4)
	})
	return s
}

// part is one of the sixteen cuts: each edge moved in or not.
func part(i int) window {
	const cut = 0.08
	w := window{0, 1, 0, 1}
	for edge := range w {
		if i>>edge&1 != 0 {
			if edge%2 == 0 {
				w[edge] += cut
			} else {
				w[edge] -= cut
			}
		}
	}
	return w
}

// frequencies is how many cosine terms are kept along each axis.
const frequencies = 6

// vector is the low end of a picture's two-dimensional cosine transform (DCT-II)
// without its mean, brought to length 1: what perceptual hashes take the signs of.
type vector [frequencies * frequencies]float32

// vector transforms the part w of the sketch.
func (s *Sketch) vector(w window) vector {
	var xs, ys [small]point
	sample(xs[:], small, w[0], w[1])
	sample(ys[:], small, w[2], w[3])
	var rows [small][frequencies]float32
	for y := range small {
		if ys[y].at < 0 {
			continue
		}
		upper := s.grey[ys[y].at*small:]
		lower := s.grey[min(ys[y].at+1, small-1)*small:]
		for x := range small {
			p := xs[x]
			if p.at < 0 {
				continue
			}
			next := min(p.at+1, small-1)
			u := float32(upper[p.at]) + (float32(upper[next])-float32(upper[p.at]))*p.part
			l := float32(lower[p.at]) + (float32(lower[next])-float32(lower[p.at]))*p.part
			v := u + (l-u)*ys[y].part
			for f := range frequencies {
				rows[y][f] += v * cosines[f][x]
			}
		}
	}
	var out vector
	var squares float64
	for fy := range frequencies {
		for fx := range frequencies {
			if fx+fy == 0 {
				continue
			}
			var sum float32
			for y := range small {
				sum += rows[y][fx] * cosines[fy][y]
			}
			out[fy*frequencies+fx] = sum
			squares += float64(sum) * float64(sum)
		}
	}
	scale := float32(1 / math.Sqrt(squares+1e-12))
	for i := range out {
		out[i] *= scale
	}
	return out
}

var cosines = func() (t [frequencies][small]float32) {
	for f := range t {
		for x := range t[f] {
			t[f][x] = float32(math.Cos(math.Pi * (float64(x) + 0.5) * float64(f) / small))
		}
	}
	return t
}()

// turned gives the vector of the picture seen turned or mirrored, as
// detail.turned does: a mirrored axis changes the sign of its odd terms.
func (v *vector) turned(way int) vector {
	if way == 0 {
		return *v
	}
	var out vector
	for fy := range frequencies {
		for fx := range frequencies {
			sx, sy := fx, fy
			if way&4 != 0 {
				sx, sy = fy, fx
			}
			t := v[sy*frequencies+sx]
			if way&1 != 0 && sx%2 == 1 {
				t = -t
			}
			if way&2 != 0 && sy%2 == 1 {
				t = -t
			}
			out[fy*frequencies+fx] = t
		}
	}
	return out
}

func (v *vector) dot(w *vector) float32 {
	var sum float32
	for i := range v {
		sum += v[i] * w[i]
	}
	return sum
}

// Twin says that two sketches are of one picture, the same way up and uncut, as
// its several sizes are: what the one was made from, the other was.
func Twin(a, b *Sketch) bool {
	if a.flat || b.flat || a.whole.dot(&b.whole) < 0.998 {
		return false
	}
	sum := 0
	for i, g := range a.grey {
		d := int(g) - int(b.grey[i])
		sum += max(d, -d)
	}
	return sum <= 2*Bytes // two grey levels of 256, on average
}

// classes are the terms of a vector by whether their order is odd along x (+1)
// and along y (+2). Turning and mirroring only change the signs of whole classes,
// and the axes over.
type classes [4][frequencies * frequencies / 4]float32

func (v *vector) classes() (c classes) {
	for fy := range frequencies {
		for fx := range frequencies {
			c[fx%2+2*(fy%2)][fy/2*(frequencies/2)+fx/2] = v[fy*frequencies+fx]
		}
	}
	return c
}

// products gives, for each way in which picture a may be seen, the product of its
// vector with that of b.
func products(a, b *Sketch) (out [8]float32) {
	for axes := range 2 {
		var sum [4]float32
		for class := range sum {
			x, y := &a.seen[axes][class], &b.seen[0][class]
			for i := range x {
				sum[class] += x[i] * y[i]
			}
		}
		// Behind changed axes, mirroring along x changes what is odd along y.
		alongX, alongY := 1, 2
		if axes == 1 {
			alongX, alongY = 2, 1
		}
		for way := range 4 {
			for class, s := range sum {
				if odd := (class&alongX != 0 && way&1 != 0) != (class&alongY != 0 && way&2 != 0); odd {
					s = -s
				}
				out[4*axes+way] += s
			}
		}
	}
	return out
}
