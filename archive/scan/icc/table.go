package icc

import "math"

// GreyTable maps every 16-bit grey value of the profile to 16-bit encoded
// sRGB. For a colour profile it gives the luma of R = G = B, since some
// programs embed one in a grey file.
func (p *Profile) GreyTable() []uint16 {
	out := make([]uint16, 65536)
	for i := range out {
		v := float64(i) / 65535
		r, g, b := p.SRGB(v, v, v)
		out[i] = uint16(math.Round(65535 * (0.299*r + 0.587*g + 0.114*b)))
	}
	return out
}

// steps of the linear-to-sRGB table; with interpolation it is within one part
// in 65,535 of the formula.
const steps = 1 << 14

// Converter converts 16-bit pixels of a colour profile to 16-bit sRGB, by
// tables. It is safe for concurrent use.
type Converter struct {
	linear [3][]float32 // per channel, 65,536 entries
	m      [3][3]float32
	encode []float32 // steps+2 entries, 0–65535
}

// Converter builds the tables; 1 MB, a few milliseconds.
func (p *Profile) Converter() *Converter {
	c := &Converter{encode: make([]float32, steps+2)}
	for ch := range 3 {
		c.linear[ch] = make([]float32, 65536)
		for i := range c.linear[ch] {
			c.linear[ch][i] = float32(p.trc[ch](float64(i) / 65535))
		}
	}
	m := p.toLinearSRGB()
	for i := range 3 {
		for j := range 3 {
			c.m[i][j] = float32(m[i][j])
		}
	}
	for i := range c.encode {
		c.encode[i] = float32(65535 * SRGBEncode(float64(i)/steps))
	}
	return c
}

// Row converts a row in place.
func (c *Converter) Row(r, g, b []uint16) {
	g, b = g[:len(r)], b[:len(r)]
	lr, lg, lb := c.linear[0], c.linear[1], c.linear[2]
	m := &c.m
	for i := range r {
		x, y, z := lr[r[i]], lg[g[i]], lb[b[i]]
		r[i] = c.encoded(m[0][0]*x + m[0][1]*y + m[0][2]*z)
		g[i] = c.encoded(m[1][0]*x + m[1][1]*y + m[1][2]*z)
		b[i] = c.encoded(m[2][0]*x + m[2][1]*y + m[2][2]*z)
	}
}

func (c *Converter) encoded(v float32) uint16 {
	if !(v > 0) {
		return 0
	}
	if v >= 1 {
		return 65535
	}
	at := v * steps
	i := int(at)
	low := c.encode[i]
	return uint16(low + (at-float32(i))*(c.encode[i+1]-low) + 0.5)
}
