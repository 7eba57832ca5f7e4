package icc

import "math"

type matrix [3][3]float64

// srgbToXYZ is sRGB's matrix adapted to D50 by Bradford, as in the profiles of
// the ICC; values of B. Lindbloom, "RGB/XYZ Matrices" (from memory, held
// against lcms by the tests).
var srgbToXYZ = matrix{
	{0.4360747, 0.3850649, 0.1430804},
	{0.2225045, 0.7168786, 0.0606169},
	{0.0139322, 0.0971045, 0.7141733},
}

// adobeToXYZ is Adobe RGB (1998), section 4.3.6.1, adapted to D50.
var adobeToXYZ = matrix{
	{0.6097559, 0.2052401, 0.1492240},
	{0.3111242, 0.6256560, 0.0632197},
	{0.0194811, 0.0608902, 0.7448387},
}

// SRGB is the profile of untagged scans.
func SRGB() *Profile {
	return &Profile{Description: "sRGB", Version: 4, toXYZ: srgbToXYZ, trc: [3]curve{SRGBDecode, SRGBDecode, SRGBDecode}}
}

// AdobeRGB is Adobe RGB (1998), for files that say so without a profile.
func AdobeRGB() *Profile {
	g := gamma(563.0 / 256)
	return &Profile{Description: "Adobe RGB (1998)", Version: 2, toXYZ: adobeToXYZ, trc: [3]curve{g, g, g}}
}

func (m matrix) times(n matrix) (out matrix) {
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				out[i][j] += m[i][k] * n[k][j]
			}
		}
	}
	return out
}

// inverse is by cofactors; false if the matrix has none.
func (m matrix) inverse() (out matrix, ok bool) {
	cofactor := func(i, j int) float64 {
		a, b, c, d := (i+1)%3, (i+2)%3, (j+1)%3, (j+2)%3
		return m[a][c]*m[b][d] - m[a][d]*m[b][c]
	}
	det := m[0][0]*cofactor(0, 0) + m[0][1]*cofactor(0, 1) + m[0][2]*cofactor(0, 2)
	if math.Abs(det) < 1e-9 {
		return out, false
	}
	for i := range 3 {
		for j := range 3 {
			out[j][i] = cofactor(i, j) / det
		}
	}
	return out, true
}

// SRGB converts one colour of the profile, each channel 0–1, to encoded sRGB.
// Grey profiles use r alone. Colours outside sRGB are clipped channel by
// channel (relative colorimetric, ICC.1:2022 annex F).
func (p *Profile) SRGB(r, g, b float64) (float64, float64, float64) {
	if p.Grey {
		y := p.trc[0](r)
		if p.lab {
			y = lightnessToY(y)
		}
		v := SRGBEncode(y)
		return v, v, v
	}
	m := p.toLinearSRGB()
	lr, lg, lb := p.trc[0](r), p.trc[1](g), p.trc[2](b)
	return SRGBEncode(m[0][0]*lr + m[0][1]*lg + m[0][2]*lb),
		SRGBEncode(m[1][0]*lr + m[1][1]*lg + m[1][2]*lb),
		SRGBEncode(m[2][0]*lr + m[2][1]*lg + m[2][2]*lb)
}

func (p *Profile) toLinearSRGB() matrix {
	inverse, _ := srgbToXYZ.inverse()
	return inverse.times(p.toXYZ)
}

// lightnessToY is CIE L* (0–1 for 0–100) to relative luminance.
func lightnessToY(l float64) float64 {
	f := (100*clamp(l) + 16) / 116
	if f > 6.0/29 {
		return f * f * f
	}
	return (f - 4.0/29) * 3 * (6.0 / 29) * (6.0 / 29)
}

// Identity reports whether converting changes no 8-bit value by as much as
// 0.6, on a grid over the whole space: then it may be left out.
func (p *Profile) Identity() bool {
	near := func(a, b float64) bool { return math.Abs(a-b) < 0.6/255 }
	for i := range 256 {
		v := float64(i) / 255
		if r, g, b := p.SRGB(v, v, v); !near(r, v) || !near(g, v) || !near(b, v) {
			return false
		}
	}
	for i := range 125 {
		r, g, b := float64(i%5)/4, float64(i/5%5)/4, float64(i/25)/4
		if p.Grey {
			break
		}
		if x, y, z := p.SRGB(r, g, b); !near(x, r) || !near(y, g) || !near(z, b) {
			return false
		}
	}
	return true
}
