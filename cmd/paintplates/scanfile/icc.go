package scanfile

import (
	"encoding/binary"
	"math"
)

// Profiles of ICC.1:2001-04 (version 2.4), the smallest that readers accept: description, copyright, white point,
// curves, and for colour the three primaries adapted to D50.

// WideRGB is a matrix profile with the primaries and the gamma 563/256 of Adobe RGB (1998).
func WideRGB() []byte {
	gamma := curve(563.0 / 256)
	return profile("RGB ", "Wide RGB, gamma 2.2", []tag{
		{"rXYZ", xyz(0.60974, 0.31111, 0.01947)},
		{"gXYZ", xyz(0.20528, 0.62567, 0.06087)},
		{"bXYZ", xyz(0.14919, 0.06322, 0.74457)},
		{"rTRC", gamma}, {"gTRC", gamma}, {"bTRC", gamma},
	})
}

// GreyGamma is a grey profile with the given gamma.
func GreyGamma(g float64) []byte {
	return profile("GRAY", "Grey, gamma 2.2", []tag{{"kTRC", curve(g)}})
}

type tag struct {
	name string
	body []byte
}

func profile(space, name string, tags []tag) []byte {
	be := binary.BigEndian
	tags = append([]tag{
		{"desc", description(name)},
		{"cprt", append([]byte("text\x00\x00\x00\x00"), "No copyright claimed\x00"...)},
		{"wtpt", xyz(0.9642, 1, 0.8249)},
	}, tags...)
	head := make([]byte, 128)
	be.PutUint32(head[8:], 0x02400000)
	copy(head[12:], "mntr")
	copy(head[16:], space)
	copy(head[20:], "XYZ ")
	for i, v := range []uint16{2026, 4, 1, 0, 0, 0} {
		be.PutUint16(head[24+2*i:], v)
	}
	copy(head[36:], "acsp")
	copy(head[68:], xyz(0.9642, 1, 0.8249)[8:])
	table := be.AppendUint32(nil, uint32(len(tags)))
	var bodies []byte
	for _, t := range tags {
		table = append(table, t.name...)
		table = be.AppendUint32(table, uint32(128+4+12*len(tags)+len(bodies)))
		table = be.AppendUint32(table, uint32(len(t.body)))
		bodies = append(bodies, t.body...)
		bodies = append(bodies, make([]byte, (4-len(bodies)%4)%4)...)
	}
	out := append(append(head, table...), bodies...)
	be.PutUint32(out, uint32(len(out)))
	return out
}

func description(s string) []byte {
	b := binary.BigEndian.AppendUint32([]byte("desc\x00\x00\x00\x00"), uint32(len(s)+1))
	b = append(append(b, s...), 0)
	return append(b, make([]byte, 4+4+2+1+67)...)
}

func xyz(x, y, z float64) []byte {
	b := []byte("XYZ \x00\x00\x00\x00")
	for _, v := range []float64{x, y, z} {
		b = binary.BigEndian.AppendUint32(b, uint32(int32(math.Round(v*65536))))
	}
	return b
}

func curve(gamma float64) []byte {
	b := []byte("curv\x00\x00\x00\x00\x00\x00\x00\x01")
	return binary.BigEndian.AppendUint16(b, uint16(math.Round(gamma*256)))
}
