// Package sample makes scans, colour profiles and damaged files for the tests
// of scan and picture, and runs the independent programs they are held
// against. Nothing outside tests imports it.
package sample

import (
	"encoding/binary"
	"math"
	"unicode/utf16"
)

// Curve is a TRC tag of an ICC profile.
type Curve []byte

// Gamma is a curveType of one u8Fixed8 number.
func Gamma(g float64) Curve {
	return append(be32([]byte("curv\x00\x00\x00\x00"), 1), byte(int(g*256+0.5)>>8), byte(int(g*256+0.5)), 0, 0)
}

// Linear is a curveType without entries.
func Linear() Curve { return be32([]byte("curv\x00\x00\x00\x00"), 0) }

// Table is a curveType of n samples of f on 0–1.
func Table(n int, f func(float64) float64) Curve {
	b := be32([]byte("curv\x00\x00\x00\x00"), uint32(n))
	for i := range n {
		b = binary.BigEndian.AppendUint16(b, uint16(math.Round(65535*f(float64(i)/float64(n-1)))))
	}
	return pad(b)
}

// Para is a parametricCurveType of function type kind.
func Para(kind int, params ...float64) Curve {
	b := append([]byte("para\x00\x00\x00\x00"), 0, byte(kind), 0, 0)
	for _, p := range params {
		b = be32(b, fixed(p))
	}
	return b
}

// SRGBCurve is sRGB's curve as version 4 profiles give it: function type 3.
func SRGBCurve() Curve { return Para(3, 2.4, 1/1.055, 0.055/1.055, 1/12.92, 0.04045) }

// Columns of matrix profiles, D50, as the tags rXYZ, gXYZ, bXYZ.
var (
	AdobeColumns = [3][3]float64{{0.60974, 0.31111, 0.01947}, {0.20528, 0.62567, 0.06087}, {0.14919, 0.06322, 0.74457}}
	SRGBColumns  = [3][3]float64{{0.4360747, 0.2225045, 0.0139322}, {0.3850649, 0.7168786, 0.0971045}, {0.1430804, 0.0606169, 0.7141733}}
	// ProPhotoColumns is ROMM RGB, far wider than sRGB.
	ProPhotoColumns = [3][3]float64{{0.79767, 0.28804, 0}, {0.13519, 0.71188, 0}, {0.03134, 0.00009, 0.82491}}
)

// AdobeRGB is a version 2 profile like Adobe RGB (1998).
func AdobeRGB() []byte {
	return RGB(2, "Adobe RGB (1998)", AdobeColumns, Gamma(563.0/256))
}

// SRGB is a version 4 profile like sRGB.
func SRGB() []byte { return RGB(4, "sRGB", SRGBColumns, SRGBCurve()) }

// RGB is a matrix/TRC display profile; columns are rXYZ, gXYZ, bXYZ.
func RGB(version byte, name string, columns [3][3]float64, trc Curve) []byte {
	tags := [][2]any{{"desc", description(version, name)}, {"wtpt", xyz(0.9642, 1, 0.8249)}}
	for i, c := range []string{"r", "g", "b"} {
		tags = append(tags, [2]any{c + "XYZ", xyz(columns[i][0], columns[i][1], columns[i][2])}, [2]any{c + "TRC", []byte(trc)})
	}
	return Profile(version, "mntr", "RGB ", "XYZ ", tags)
}

// Grey is a grey display profile; pcs is "XYZ " or "Lab ".
func Grey(version byte, name string, trc Curve, pcs string) []byte {
	return Profile(version, "mntr", "GRAY", pcs, [][2]any{{"desc", description(version, name)}, {"wtpt", xyz(0.9642, 1, 0.8249)}, {"kTRC", []byte(trc)}})
}

// Profile joins a header and tags of string and []byte.
func Profile(version byte, class, space, pcs string, tags [][2]any) []byte {
	tags = append(tags, [2]any{"cprt", text(version, "none")})
	b := make([]byte, 128, 4096)
	b[8] = version
	copy(b[12:], class+space+pcs)
	for i, v := range []uint16{2026, 1, 1, 0, 0, 0} {
		binary.BigEndian.PutUint16(b[24+2*i:], v)
	}
	copy(b[36:], "acsp")
	copy(b[68:], be32(be32(be32(nil, 0xF6D6), 0x10000), 0xD32D))
	b = be32(b, uint32(len(tags)))
	at := uint32(len(b) + 12*len(tags))
	var body []byte
	for _, t := range tags {
		data := pad(append([]byte(nil), t[1].([]byte)...))
		b = append(b, t[0].(string)...)
		b = be32(be32(b, at), uint32(len(t[1].([]byte))))
		body = append(body, data...)
		at += uint32(len(data))
	}
	b = append(b, body...)
	binary.BigEndian.PutUint32(b, uint32(len(b)))
	return b
}

func description(version byte, name string) []byte {
	if version == 4 {
		return text(4, name)
	}
	b := be32([]byte("desc\x00\x00\x00\x00"), uint32(len(name)+1))
	return append(append(append(b, name...), 0), make([]byte, 78)...)
}

func text(version byte, s string) []byte {
	if version == 2 {
		return append(append([]byte("text\x00\x00\x00\x00"), s...), 0)
	}
	units := utf16.Encode([]rune(s))
	b := append(be32(be32([]byte("mluc\x00\x00\x00\x00"), 1), 12), "enUS"...)
	b = be32(be32(b, uint32(2*len(units))), 28)
	for _, u := range units {
		b = binary.BigEndian.AppendUint16(b, u)
	}
	return b
}

func xyz(x, y, z float64) []byte {
	return be32(be32(be32([]byte("XYZ \x00\x00\x00\x00"), fixed(x)), fixed(y)), fixed(z))
}

func fixed(v float64) uint32 { return uint32(int32(math.Round(v * 65536))) }

func be32(b []byte, v uint32) []byte { return binary.BigEndian.AppendUint32(b, v) }

func pad(b []byte) []byte {
	for len(b)%4 != 0 {
		b = append(b, 0)
	}
	return b
}
