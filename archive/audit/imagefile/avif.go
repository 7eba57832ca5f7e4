package imagefile

import (
	"encoding/binary"
	"fmt"
	"slices"
)

// avif walks the boxes of an AVIF file (AOMedia, AV1 Image File Format 1.1, on
// ISO/IEC 23008-12 and 14496-12). It allows what one still picture needs and no
// more: one item, its size and its colours, and its coded data, all of it.
func (r *Report) avif(data []byte) {
	b := boxes{report: r, file: data}
	b.walk(data, 0, "", map[string]func([]byte, int){
		"ftyp": b.brands, "meta": b.meta, "mdat": b.media,
	})
	if len(r.Faults) == 0 {
		b.covered()
	}
}

// boxes is what is known of a file while its boxes are walked.
type boxes struct {
	report     *Report
	file       []byte
	mediaStart int
	mediaEnd   int
	start, end int // of the picture's data, as the item says
	seen       []string
}

// walk gives each box of a container to who knows its kind; others are faults,
// and so is a kind that comes twice.
func (b *boxes) walk(data []byte, at int, inside string, known map[string]func([]byte, int)) {
	for len(data) > 0 {
		if len(data) < 8 {
			b.report.fault("%d bytes lie behind its end", len(data))
			b.report.Text = append(b.report.Text, data)
			return
		}
		size, kind := int64(binary.BigEndian.Uint32(data)), string(data[4:8])
		if size < 8 || size > int64(len(data)) {
			b.report.fault("it is cut off")
			b.report.Text = append(b.report.Text, data)
			return
		}
		body := data[8:size]
		name := inside + "/" + kind
		use, ok := known[kind]
		switch {
		case !ok:
			b.report.fault("it holds a box %q (%d bytes)", kind, len(body))
			b.report.Text = append(b.report.Text, body)
		case slices.Contains(b.seen, name):
			b.report.fault("it holds more than one box %q", kind)
			b.report.Text = append(b.report.Text, body)
		default:
			b.seen = append(b.seen, name)
			use(body, at+8)
		}
		data, at = data[size:], at+int(size)
	}
}

// exactly makes a fault of a box that is not one of these.
func (b *boxes) exactly(kind string, allowed ...string) func([]byte, int) {
	return func(body []byte, _ int) {
		if !slices.Contains(allowed, string(body)) {
			b.report.fault("its box %q says more than it must", kind)
			b.report.Text = append(b.report.Text, body)
		}
	}
}

// sized makes a fault of a box that is not of this length. What stands in it is
// numbers that the decoder needs.
func (b *boxes) sized(kind string, length int) func([]byte, int) {
	return func(body []byte, _ int) {
		if len(body) != length {
			b.report.fault("its box %q has %d bytes, not %d", kind, len(body), length)
			b.report.Text = append(b.report.Text, body)
		}
	}
}

func (b *boxes) brands(body []byte, _ int) {
	if len(body) < 8 || len(body)%4 != 0 || binary.BigEndian.Uint32(body[4:]) != 0 {
		b.report.fault("its list of brands is not in order")
		return
	}
	for i := 8; i < len(body); i += 4 {
		if brand := string(body[i : i+4]); !slices.Contains([]string{"avif", "mif1", "miaf", "MA1A", "MA1B"}, brand) {
			b.report.fault("it says brand %q", brand)
			b.report.Text = append(b.report.Text, body[i:i+4])
		}
	}
}

func (b *boxes) meta(body []byte, at int) {
	if len(body) < 4 || binary.BigEndian.Uint32(body) != 0 {
		b.report.fault("it is cut off")
		return
	}
	const handler = "\x00\x00\x00\x00\x00\x00\x00\x00pict\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00"
	b.walk(body[4:], at+4, "/meta", map[string]func([]byte, int){
		"hdlr": b.exactly("hdlr", handler+"\x00", handler+"libavif\x00"),
		"pitm": b.exactly("pitm", "\x00\x00\x00\x00\x00\x01"),
		"iinf": b.exactly("iinf", "\x00\x00\x00\x00\x00\x01"+"\x00\x00\x00\x1ainfe\x02\x00\x00\x00\x00\x01\x00\x00av01Color\x00",
			"\x00\x00\x00\x00\x00\x01"+"\x00\x00\x00\x15infe\x02\x00\x00\x00\x00\x01\x00\x00av01\x00"),
		"iloc": b.location,
		"iprp": func(body []byte, at int) {
			b.walk(body, at, "/meta/iprp", map[string]func([]byte, int){
				"ipma": b.associations,
				"ipco": func(body []byte, at int) {
					b.walk(body, at, "/meta/iprp/ipco", map[string]func([]byte, int){
						"ispe": b.sized("ispe", 12), "pixi": b.exactly("pixi", "\x00\x00\x00\x00\x03\x08\x08\x08", "\x00\x00\x00\x00\x01\x08"),
						"av1C": b.sized("av1C", 4), "colr": b.colours,
					})
				},
			})
		},
	})
}

// associations must name one item and up to four properties.
func (b *boxes) associations(body []byte, _ int) {
	const head = "\x00\x00\x00\x00\x00\x00\x00\x01\x00\x01"
	if len(body) < len(head)+1 || string(body[:len(head)]) != head || body[10] > 4 || len(body) != 11+int(body[10]) {
		b.report.fault("its box %q says more than it must", "ipma")
		b.report.Text = append(b.report.Text, body)
	}
}

// colours must be code points (ITU-T H.273), not a profile.
func (b *boxes) colours(body []byte, _ int) {
	if len(body) != 11 || string(body[:4]) != "nclx" || body[10]&0x7F != 0 {
		b.report.fault("it holds a colour profile (%d bytes)", len(body))
		b.report.Text = append(b.report.Text, body)
	}
}

// location reads where the one item's one extent is: iloc of version 0 with
// offsets and lengths of four bytes and no base.
func (b *boxes) location(body []byte, _ int) {
	const head = "\x00\x00\x00\x00\x44\x00\x00\x01\x00\x01\x00\x00\x00\x01"
	if len(body) != len(head)+8 || string(body[:len(head)]) != head {
		b.report.fault("its data lies in more than one place")
		b.report.Text = append(b.report.Text, body)
		return
	}
	b.start = int(binary.BigEndian.Uint32(body[len(head):]))
	b.end = b.start + int(binary.BigEndian.Uint32(body[len(head)+4:]))
}

func (b *boxes) media(body []byte, at int) { b.mediaStart, b.mediaEnd = at, at+len(body) }

// covered holds that the data is the picture's, all of it, and made of nothing
// but what a picture is coded with.
func (b *boxes) covered() {
	if b.start != b.mediaStart || b.end != b.mediaEnd || b.start >= b.end {
		b.report.fault("it holds data that is no picture's")
		b.report.Text = append(b.report.Text, b.file[min(b.mediaStart, len(b.file)):])
		return
	}
	if err := units(b.file[b.start:b.end]); err != nil {
		b.report.fault("%v", err)
		b.report.Text = append(b.report.Text, b.file[b.start:b.end])
	}
}

// Kinds of AV1 units (AV1 Bitstream & Decoding Process Specification, 6.2.2).
const (
	unitSequence  = 1
	unitDelimiter = 2
	unitHeader    = 3
	unitTiles     = 4
	unitFrame     = 6
)

// units walks the units of a coded picture: metadata, padding and tile lists may
// not be among them.
func units(data []byte) error {
	for len(data) > 0 {
		kind, extension, sized := data[0]>>3&15, data[0]&4 != 0, data[0]&2 != 0
		if data[0]&0x81 != 0 || extension || !sized {
			return fmt.Errorf("its coded data is not in order")
		}
		size, n := binary.Uvarint(data[1:]) // leb128 is the same
		if n <= 0 || size > uint64(len(data)-1-n) {
			return fmt.Errorf("its coded data is cut off")
		}
		switch kind {
		case unitSequence, unitDelimiter, unitHeader, unitTiles, unitFrame:
		default:
			return fmt.Errorf("its coded data holds a unit of kind %d (%d bytes)", kind, size)
		}
		data = data[1+n+int(size):]
	}
	return nil
}
