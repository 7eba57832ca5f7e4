package icc

import (
	"encoding/binary"
	"errors"
	"math"
)

// curve is a tone reproduction curve: device value 0–1 to linear 0–1.
type curve func(float64) float64

// parseCurve reads a curveType ("curv") or parametricCurveType ("para").
func parseCurve(b []byte) (curve, error) {
	if len(b) < 12 {
		return nil, errors.New("no curve")
	}
	switch string(b[:4]) {
	case "curv":
		return parseTable(b)
	case "para":
		return parseParametric(b)
	}
	return nil, errors.New("unknown type of curve")
}

func parseTable(b []byte) (curve, error) {
	n := int64(binary.BigEndian.Uint32(b[8:]))
	if 12+2*n > int64(len(b)) {
		return nil, errors.New("curve cut short")
	}
	switch n {
	case 0:
		return func(x float64) float64 { return x }, nil
	case 1:
		return gamma(float64(binary.BigEndian.Uint16(b[12:])) / 256), nil // u8Fixed8
	}
	table := make([]float64, n)
	for i := range table {
		table[i] = float64(binary.BigEndian.Uint16(b[12+2*i:])) / 65535
	}
	return func(x float64) float64 {
		at := clamp(x) * float64(n-1)
		i := min(int(at), int(n)-2)
		return table[i] + (at-float64(i))*(table[i+1]-table[i])
	}, nil
}

func gamma(g float64) curve {
	return func(x float64) float64 { return math.Pow(math.Max(x, 0), g) }
}

// parseParametric reads function types 0 to 4 of ICC.1:2022 table 68:
//
//	0  Y = X^g
//	1  Y = (aX+b)^g          X ≥ −b/a, else 0
//	2  Y = (aX+b)^g + c      X ≥ −b/a, else c
//	3  Y = (aX+b)^g          X ≥ d,    else cX
//	4  Y = (aX+b)^g + e      X ≥ d,    else cX + f
func parseParametric(b []byte) (curve, error) {
	kind := int(binary.BigEndian.Uint16(b[8:]))
	counts := []int{1, 3, 4, 5, 7}
	if kind >= len(counts) {
		return nil, errors.New("unknown parametric curve")
	}
	if len(b) < 12+4*counts[kind] {
		return nil, errors.New("curve cut short")
	}
	var p [7]float64
	for i := range counts[kind] {
		p[i] = fixed16(b[12+4*i:])
	}
	g, a, bb, c, d, e, f := p[0], p[1], p[2], p[3], p[4], p[5], p[6]
	if kind > 0 && kind < 3 && a == 0 {
		return nil, errors.New("parametric curve divides by zero")
	}
	power := func(x float64) float64 { return math.Pow(math.Max(a*x+bb, 0), g) }
	pick := func(from float64, low, high curve) curve {
		return func(x float64) float64 {
			if x >= from {
				return high(x)
			}
			return low(x)
		}
	}
	switch kind {
	case 0:
		return gamma(g), nil
	case 1:
		return pick(-bb/a, func(float64) float64 { return 0 }, power), nil
	case 2:
		return pick(-bb/a, func(float64) float64 { return c }, func(x float64) float64 { return power(x) + c }), nil
	case 3:
		return pick(d, func(x float64) float64 { return c * x }, power), nil
	}
	return pick(d, func(x float64) float64 { return c*x + f }, func(x float64) float64 { return power(x) + e }), nil
}

// clamp brings x into 0–1; NaN becomes 0.
func clamp(x float64) float64 {
	if !(x > 0) {
		return 0
	}
	return math.Min(x, 1)
}

// SRGBEncode is the sRGB transfer function of IEC 61966-2-1, linear to encoded.
func SRGBEncode(x float64) float64 {
	x = clamp(x)
	if x <= 0.0031308 {
		return 12.92 * x
	}
	return 1.055*math.Pow(x, 1/2.4) - 0.055
}

// SRGBDecode is its inverse, encoded to linear.
func SRGBDecode(x float64) float64 {
	x = clamp(x)
	if x <= 0.04045 {
		return x / 12.92
	}
	return math.Pow((x+0.055)/1.055, 2.4)
}
