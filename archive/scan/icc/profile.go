// Package icc reads ICC profiles by hand, as far as scans need it: versions 2
// and 4, grey and matrix/TRC colour, converted to sRGB. Go's libraries ignore
// profiles. Table-based (LUT) profiles, CMYK and Lab are refused with a remedy.
//
// Source: ICC.1:2022 (profile version 4.4), sections 7.2, 9.2, 10.6, 10.18 and
// annex F; ICC.1:2001-04 for version 2.
package icc

import (
	"encoding/binary"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf16"

	"sandarac/archive/scan/fault"
)

const (
	accepted = "grey profiles and matrix RGB profiles such as sRGB, Adobe RGB (1998) or a scanner's matrix profile"
	mend     = "in the scanning or editing program convert the scan to sRGB, Adobe RGB or a grey gamma, and embed that profile"
)

// Profile is a grey or matrix/TRC profile.
type Profile struct {
	Description string
	Version     int  // 2 or 4
	Grey        bool // one channel
	trc         [3]curve
	toXYZ       matrix // linear device RGB to D50 XYZ; unused when Grey
	lab         bool   // a grey profile whose curve gives L* rather than Y
}

type tags map[string][]byte

// Parse reads an embedded profile. The error is a *fault.Fault.
func Parse(data []byte) (*Profile, error) {
	t, err := tagTable(data)
	if err != nil {
		return nil, err
	}
	p := &Profile{Version: int(data[8]), Description: describe(t["desc"])}
	if p.Version != 2 && p.Version != 4 {
		return nil, p.refuse("has version %d", p.Version)
	}
	class, space, pcs := string(data[12:16]), string(data[16:20]), string(data[20:24])
	switch class {
	case "scnr", "mntr", "prtr", "spac":
	default:
		return nil, p.refuse("is of class %q", fault.Plain(class))
	}
	switch space {
	case "GRAY":
		return p.grey(t, pcs)
	case "RGB ":
		return p.matrixTRC(t, pcs)
	}
	return nil, p.refuse("is for %s", strings.TrimSpace(fault.Plain(space)))
}

func tagTable(data []byte) (tags, error) {
	if len(data) < 132 || string(data[36:40]) != "acsp" {
		return nil, damaged("no profile header")
	}
	if n := binary.BigEndian.Uint32(data); int64(n) > int64(len(data)) {
		return nil, damaged("%d of %d bytes are there", len(data), n)
	}
	n := int64(binary.BigEndian.Uint32(data[128:]))
	if n > 200 || 132+12*n > int64(len(data)) {
		return nil, damaged("%d tags", n)
	}
	t := tags{}
	for i := range n {
		e := data[132+12*i:]
		offset, size := int64(binary.BigEndian.Uint32(e[4:])), int64(binary.BigEndian.Uint32(e[8:]))
		if offset+size > int64(len(data)) {
			return nil, damaged("tag %q lies outside it", fault.Plain(string(e[:4])))
		}
		t[string(e[:4])] = data[offset : offset+size]
	}
	return t, nil
}

func (p *Profile) grey(t tags, pcs string) (*Profile, error) {
	p.Grey, p.lab = true, pcs == "Lab "
	if pcs != "XYZ " && pcs != "Lab " {
		return nil, p.refuse("connects to %q", fault.Plain(pcs))
	}
	c, err := parseCurve(t["kTRC"])
	if err != nil {
		return nil, p.refuse("has no usable grey curve: %v", err)
	}
	p.trc[0] = c
	return p, nil
}

func (p *Profile) matrixTRC(t tags, pcs string) (*Profile, error) {
	_, a := t["rXYZ"]
	_, b := t["rTRC"]
	if !a || !b || pcs != "XYZ " {
		return nil, p.refuse("works by tables (LUT), not by a matrix")
	}
	for i, c := range []string{"r", "g", "b"} {
		column, err := parseXYZ(t[c+"XYZ"])
		if err != nil {
			return nil, p.refuse("has no usable %sXYZ: %v", c, err)
		}
		for row := range 3 {
			p.toXYZ[row][i] = column[row]
		}
		if p.trc[i], err = parseCurve(t[c+"TRC"]); err != nil {
			return nil, p.refuse("has no usable %sTRC: %v", c, err)
		}
	}
	if _, ok := p.toXYZ.inverse(); !ok {
		return nil, p.refuse("has a matrix without an inverse")
	}
	return p, nil
}

func (p *Profile) refuse(format string, args ...any) error {
	name := "the embedded colour profile"
	if p.Description != "" {
		name += fmt.Sprintf(" %q", p.Description)
	}
	return &fault.Fault{Kind: fault.Profile, Found: name + " " + fmt.Sprintf(format, args...), Accepted: accepted, Mend: mend}
}

func damaged(format string, args ...any) error {
	return &fault.Fault{Kind: fault.Profile, Found: "the embedded colour profile is damaged: " + fmt.Sprintf(format, args...), Accepted: accepted, Mend: mend}
}

// parseXYZ reads an XYZType of one triple of s15Fixed16 numbers.
func parseXYZ(b []byte) (v [3]float64, err error) {
	if len(b) < 20 || string(b[:4]) != "XYZ " {
		return v, fmt.Errorf("not an XYZ value")
	}
	for i := range v {
		v[i] = fixed16(b[8+4*i:])
	}
	return v, nil
}

func fixed16(b []byte) float64 { return float64(int32(binary.BigEndian.Uint32(b))) / 65536 }

// describe gives the profile's name from a v2 textDescriptionType or a v4
// multiLocalizedUnicodeType, printable and at most 80 characters; "" if none.
func describe(b []byte) string {
	if len(b) < 16 {
		return ""
	}
	var s string
	switch string(b[:4]) {
	case "desc":
		n := int64(binary.BigEndian.Uint32(b[8:]))
		if 12+n > int64(len(b)) {
			return ""
		}
		s = string(b[12 : 12+n])
	case "mluc":
		if len(b) < 28 {
			return ""
		}
		n, at := int64(binary.BigEndian.Uint32(b[20:])), int64(binary.BigEndian.Uint32(b[24:]))
		if at+n > int64(len(b)) {
			return ""
		}
		units := make([]uint16, min(n/2, 200))
		for i := range units {
			units[i] = binary.BigEndian.Uint16(b[at+2*int64(i):])
		}
		s = string(utf16.Decode(units))
	}
	s, _, _ = strings.Cut(s, "\x00")
	s = strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return -1
		}
		return r
	}, s)
	if r := []rune(s); len(r) > 80 {
		s = string(r[:80])
	}
	return strings.TrimSpace(s)
}
