package tiff

import (
	"encoding/binary"
	"io"

	"sandarac/archive/scan/fault"
	"sandarac/archive/scan/limit"
)

// directory is the first IFD, its values still in the file.
type directory struct {
	r       io.ReaderAt
	size    int64
	order   binary.ByteOrder
	entries map[uint16]entry
}

type entry struct {
	typ   uint16
	count int64
	at    int64 // where the values start
}

// typeSize is the size of one value of each TIFF 6.0 type.
var typeSize = [...]int64{0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8}

func readDirectory(r io.ReaderAt, size int64) (*directory, error) {
	var head [8]byte
	if _, err := r.ReadAt(head[:], 0); err != nil {
		return nil, fault.Damagedf("the file ends in its header")
	}
	d := &directory{r: r, size: size, entries: map[uint16]entry{}}
	switch string(head[:4]) {
	case "II*\x00":
		d.order = binary.LittleEndian
	case "MM\x00*":
		d.order = binary.BigEndian
	case "II+\x00", "MM\x00+":
		return nil, unsupported("a BigTIFF")
	default:
		return nil, fault.Damagedf("the file does not start as a TIFF does")
	}
	at := int64(d.order.Uint32(head[4:]))
	var two [2]byte
	if _, err := r.ReadAt(two[:], at); err != nil || at < 8 {
		return nil, fault.Damagedf("the directory should be at byte %d of %d", at, size)
	}
	n := int64(d.order.Uint16(two[:]))
	raw := make([]byte, 12*n)
	if _, err := io.ReadFull(io.NewSectionReader(r, at+2, 12*n), raw); err != nil {
		return nil, fault.Damagedf("the directory of %d entries does not fit the file", n)
	}
	for i := range n {
		e := raw[12*i:]
		tag, typ, count := d.order.Uint16(e), d.order.Uint16(e[2:]), int64(d.order.Uint32(e[4:]))
		if int(typ) >= len(typeSize) || typ == 0 || count == 0 {
			continue
		}
		value := entry{typ: typ, count: count, at: at + 2 + 12*i + 8}
		if length := count * typeSize[typ]; length > 4 {
			if value.at = int64(d.order.Uint32(e[8:])); value.at+length > size {
				return nil, fault.Damagedf("entry %d claims %d bytes at byte %d of %d", tag, length, value.at, size)
			}
		}
		d.entries[tag] = value
	}
	return d, nil
}

// length is the size of a tag's value in bytes; 0 if it is missing.
func (d *directory) length(tag uint16) int64 {
	e := d.entries[tag]
	return e.count * typeSize[e.typ]
}

func (d *directory) bytes(tag uint16) ([]byte, error) {
	b := make([]byte, d.length(tag))
	if _, err := d.r.ReadAt(b, d.entries[tag].at); err != nil {
		return nil, fault.Damagedf("entry %d cannot be read", tag)
	}
	return b, nil
}

// number is the first value of a tag of a whole-number type, or fallback.
func (d *directory) number(tag uint16, fallback uint32) uint32 {
	e, ok := d.entries[tag]
	if !ok {
		return fallback
	}
	e.count = 1
	v, err := d.values(e)
	if err != nil {
		return fallback
	}
	return v[0]
}

// numbers are all values of a tag, or fallback if it is missing.
func (d *directory) numbers(tag uint16, fallback []uint32) ([]uint32, error) {
	e, ok := d.entries[tag]
	if !ok {
		return fallback, nil
	}
	v, err := d.values(e)
	if err != nil {
		return nil, fault.Damagedf("entry %d cannot be read", tag)
	}
	return v, nil
}

func (d *directory) values(e entry) ([]uint32, error) {
	size := typeSize[e.typ]
	if size*e.count > limit.Entry || e.typ != 1 && e.typ != 3 && e.typ != 4 && e.typ != 13 {
		return nil, fault.Damagedf("a value of type %d, %d times", e.typ, e.count)
	}
	raw := make([]byte, size*e.count)
	if _, err := d.r.ReadAt(raw, e.at); err != nil {
		return nil, err
	}
	out := make([]uint32, e.count)
	for i := range out {
		switch size {
		case 1:
			out[i] = uint32(raw[i])
		case 2:
			out[i] = uint32(d.order.Uint16(raw[2*i:]))
		case 4:
			out[i] = d.order.Uint32(raw[4*i:])
		}
	}
	return out, nil
}
