// Package noise gives repeatable randomness: the same seed and place give the same value on every machine,
// whatever the order of asking. Values come from integer hashing only.
package noise

import "math"

// Hash mixes a seed and three cells into 64 well-stirred bits (the finaliser of SplitMix64).
func Hash(seed uint64, x, y, z int64) uint64 {
	h := seed*0x9E3779B97F4A7C15 + uint64(x)*0xBF58476D1CE4E5B9 + uint64(y)*0x94D049BB133111EB + uint64(z)*0xD6E8FEB86659FD93
	h ^= h >> 30
	h *= 0xBF58476D1CE4E5B9
	h ^= h >> 27
	h *= 0x94D049BB133111EB
	return h ^ h>>31
}

// Unit is Hash as a number in [0, 1).
func Unit(seed uint64, x, y, z int64) float64 { return float64(Hash(seed, x, y, z)>>11) / (1 << 53) }

// Source is a stream of numbers in [0, 1) from a seed.
type Source struct{ seed, n uint64 }

// NewSource starts a stream.
func NewSource(seed uint64) *Source { return &Source{seed: seed} }

// Next is the next number in [0, 1).
func (s *Source) Next() float64 { s.n++; return Unit(s.seed, int64(s.n), 0, 0) }

// Between is the next number in [lo, hi).
func (s *Source) Between(lo, hi float64) float64 { return lo + (hi-lo)*s.Next() }

// Normal is the next standard normal number (Box and Muller 1958).
func (s *Source) Normal() float64 {
	u := max(s.Next(), 1e-12)
	return math.Sqrt(-2*math.Log(u)) * math.Cos(2*math.Pi*s.Next())
}

func ease(t float64) float64 { return t * t * t * (t*(t*6-15) + 10) }

// Value is smooth noise in [-1, 1], one bump per unit of length.
func Value(seed uint64, x, y, z float64) float64 {
	fx, fy, fz := math.Floor(x), math.Floor(y), math.Floor(z)
	ix, iy, iz := int64(fx), int64(fy), int64(fz)
	tx, ty, tz := ease(x-fx), ease(y-fy), ease(z-fz)
	at := func(dx, dy, dz int64) float64 { return Unit(seed, ix+dx, iy+dy, iz+dz) }
	mix := func(a, b, t float64) float64 { return a + (b-a)*t }
	lo := mix(mix(at(0, 0, 0), at(1, 0, 0), tx), mix(at(0, 1, 0), at(1, 1, 0), tx), ty)
	hi := mix(mix(at(0, 0, 1), at(1, 0, 1), tx), mix(at(0, 1, 1), at(1, 1, 1), tx), ty)
	return 2*mix(lo, hi, tz) - 1
}

// Plane is Value on a plane.
func Plane(seed uint64, x, y float64) float64 {
	fx, fy := math.Floor(x), math.Floor(y)
	ix, iy := int64(fx), int64(fy)
	tx, ty := ease(x-fx), ease(y-fy)
	a := Unit(seed, ix, iy, 0)
	b := Unit(seed, ix+1, iy, 0)
	c := Unit(seed, ix, iy+1, 0)
	d := Unit(seed, ix+1, iy+1, 0)
	top, low := a+(b-a)*tx, c+(d-c)*tx
	return 2*(top+(low-top)*ty) - 1
}

// Cloud sums octaves of Plane, each half as strong and twice as fine; about [-1, 1].
func Cloud(seed uint64, x, y float64, octaves int) float64 {
	sum, amp, norm := 0.0, 1.0, 0.0
	for i := 0; i < octaves; i++ {
		sum += amp * Plane(seed+uint64(i)*7919, x, y)
		norm += amp
		amp *= 0.5
		x, y = x*2+17.3, y*2-9.1
	}
	return sum / norm
}

// Cloud3 sums octaves of Value.
func Cloud3(seed uint64, x, y, z float64, octaves int) float64 {
	sum, amp, norm := 0.0, 1.0, 0.0
	for i := 0; i < octaves; i++ {
		sum += amp * Value(seed+uint64(i)*7919, x, y, z)
		norm += amp
		amp *= 0.5
		x, y, z = x*2+17.3, y*2-9.1, z*2+3.7
	}
	return sum / norm
}
