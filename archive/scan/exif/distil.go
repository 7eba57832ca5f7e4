package exif

import (
	"encoding/binary"
	"fmt"
	"io"

	"sandarac/archive/scan/fault"
	"sandarac/archive/scan/limit"
)

const mend = "export the scan again from the scanning program, or save a copy without EXIF"

// Tag numbers of the two pointers that are followed.
const (
	tagExif    = 0x8769
	tagInterop = 0xA005
)

// wanted are the entries kept for the library, by directory.
var wanted = map[int]map[uint16]bool{
	0:          {0x0112: true, 0x011A: true, 0x011B: true, 0x0128: true, 0x0132: true, tagExif: true},
	tagExif:    {0x9003: true, 0x9004: true, 0xA001: true, tagInterop: true},
	tagInterop: {0x0001: true},
}

// longest is the longest value kept, in bytes; a date has 20.
const longest = 64

// typeSize is the size of one value of each TIFF type; 0 is no type.
var typeSize = [...]int64{0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8}

type entry struct {
	tag, typ uint16
	count    uint32
	value    []byte // count × size bytes, or nil if not wanted
}

type directory struct {
	kept []entry
	sub  map[uint16]uint32 // offsets of the wanted sub-directories
	next uint32
}

// walker checks a TIFF structure without believing it.
type walker struct {
	r     io.ReaderAt
	size  int64
	order binary.ByteOrder
	seen  map[uint32]bool
}

// distil walks the IFD chain and the EXIF and interoperability directories,
// refuses loops, more than limit.Directories directories and entries that lie
// outside the block, and returns a little TIFF of the wanted entries alone.
func distil(r io.ReaderAt, size int64) ([]byte, error) {
	var head [8]byte
	if _, err := r.ReadAt(head[:], 0); err != nil {
		return nil, bad("the EXIF block is %d bytes long", size)
	}
	w := &walker{r: r, size: size, seen: map[uint32]bool{}}
	switch string(head[:4]) {
	case "II*\x00":
		w.order = binary.LittleEndian
	case "MM\x00*":
		w.order = binary.BigEndian
	default:
		return nil, bad("the EXIF block starts with %q", head[:4])
	}
	dirs := map[int]*directory{}
	for offset, first := w.order.Uint32(head[4:]), true; offset != 0; first = false {
		d, err := w.directory(offset, wanted[0])
		if err != nil {
			return nil, err
		}
		if first {
			dirs[0] = d
		}
		offset = d.next
	}
	for _, step := range [][2]int{{0, tagExif}, {tagExif, tagInterop}} {
		parent := dirs[step[0]]
		if parent == nil {
			break
		}
		if offset, ok := parent.sub[uint16(step[1])]; ok {
			d, err := w.directory(offset, wanted[step[1]])
			if err != nil {
				return nil, err
			}
			dirs[step[1]] = d
		}
	}
	return build(w.order, dirs), nil
}

func (w *walker) directory(offset uint32, want map[uint16]bool) (*directory, error) {
	if w.seen[offset] {
		return nil, bad("the EXIF directories point at each other in a loop")
	}
	if len(w.seen) >= limit.Directories {
		return nil, bad("there are more than %d EXIF directories or TIFF pages", limit.Directories)
	}
	w.seen[offset] = true
	var two [2]byte
	if _, err := w.r.ReadAt(two[:], int64(offset)); err != nil || int64(offset)+2 > w.size {
		return nil, bad("an EXIF directory should be at byte %d of %d", offset, w.size)
	}
	n := int64(w.order.Uint16(two[:]))
	if int64(offset)+2+12*n > w.size {
		return nil, bad("an EXIF directory of %d entries does not fit the block", n)
	}
	raw := make([]byte, 12*n+4)
	got, err := w.r.ReadAt(raw, int64(offset)+2)
	if int64(got) < 12*n {
		return nil, bad("an EXIF directory cannot be read: %v", err)
	}
	d := &directory{sub: map[uint16]uint32{}}
	if got == len(raw) { // some writers leave out the last pointer
		d.next = w.order.Uint32(raw[12*n:])
	}
	for i := range n {
		if err := w.entry(d, raw[12*i:12*i+12], want); err != nil {
			return nil, err
		}
	}
	return d, nil
}

func (w *walker) entry(d *directory, raw []byte, want map[uint16]bool) error {
	e := entry{tag: w.order.Uint16(raw), typ: w.order.Uint16(raw[2:]), count: w.order.Uint32(raw[4:])}
	if int(e.typ) >= len(typeSize) || e.typ == 0 || e.count == 0 {
		return nil // an unknown type is skipped, as TIFF 6.0 asks of readers
	}
	length := int64(e.count) * typeSize[e.typ]
	offset := int64(w.order.Uint32(raw[8:]))
	if length > 4 && offset+length > w.size {
		return bad("EXIF entry 0x%04X claims %d bytes at byte %d of %d", e.tag, length, offset, w.size)
	}
	if !want[e.tag] || length > longest {
		return nil
	}
	e.value = append([]byte(nil), raw[8:12]...)
	if length > 4 {
		e.value = make([]byte, length)
		if _, err := w.r.ReadAt(e.value, offset); err != nil {
			return bad("EXIF entry 0x%04X cannot be read: %v", e.tag, err)
		}
	}
	if e.tag == tagExif || e.tag == tagInterop {
		if e.typ != 4 && e.typ != 13 || e.count != 1 {
			return nil
		}
		e.typ = 4
		d.sub[e.tag] = w.order.Uint32(e.value)
	}
	if length < 4 {
		e.value = e.value[:length]
	}
	d.kept = append(d.kept, e)
	return nil
}

func bad(format string, args ...any) error {
	return &fault.Fault{Kind: fault.Metadata, Found: fmt.Sprintf(format, args...), Mend: mend}
}

// build writes the kept entries as header, directories, values.
func build(order binary.ByteOrder, dirs map[int]*directory) []byte {
	head := []byte("II*\x00")
	if order == binary.BigEndian {
		head = []byte("MM\x00*")
	}
	put := order.(binary.AppendByteOrder)
	out := put.AppendUint32(head, 8)
	keys := []int{0, tagExif, tagInterop}
	at, start := uint32(8), map[int]uint32{}
	for _, k := range keys {
		if d := dirs[k]; d != nil {
			start[k] = at
			at += uint32(2 + 12*len(d.kept) + 4)
		}
	}
	if dirs[0] == nil { // an empty directory, for the library's sake
		return append(out, make([]byte, 6)...)
	}
	var values []byte
	for _, k := range keys {
		d := dirs[k]
		if d == nil {
			continue
		}
		out = put.AppendUint16(out, uint16(len(d.kept)))
		for _, e := range d.kept {
			out = put.AppendUint16(out, e.tag)
			out = put.AppendUint16(out, e.typ)
			out = put.AppendUint32(out, e.count)
			switch {
			case e.tag == tagExif || e.tag == tagInterop:
				out = put.AppendUint32(out, start[int(e.tag)])
			case len(e.value) <= 4:
				out = append(append(out, e.value...), make([]byte, 4-len(e.value))...)
			default:
				out = put.AppendUint32(out, at+uint32(len(values)))
				values = append(values, e.value...)
			}
		}
		out = put.AppendUint32(out, 0)
	}
	return append(out, values...)
}
