package jpeg

import (
	"context"
	"encoding/binary"
	"errors"

	"sandarac/archive/scan/raster"
)

// errElsewhere says that a file is not one for the fast decoder, or not sound;
// the standard library then decides.
var errElsewhere = errors.New("jpeg: for the standard library")

// baseline decodes the usual file of a camera or scanner: baseline Huffman, all
// components in one scan, chroma whole or halved. It gives rows as they are
// decoded and never holds the picture. The standard library's decoder takes
// every other file, and every one in which anything is out of order.
type baseline struct {
	head  *Header
	data  []byte // the file from the first segment on
	quant [4]*[64]int32
	dc    [4]*huffman
	ac    [4]*huffman
	parts []part
	every int // MCUs between restart markers, 0 none
	acrs  int // MCUs in a row
	downs int // rows of MCUs
	in    bits
}

// part is a component in the making.
type part struct {
	h, v          int // blocks in an MCU
	quant         *[64]int32
	dc, ac        *huffman
	last          int32 // DC predictor
	stride        int
	band          []uint8 // rows of one MCU row
	width, height int     // of the plane
	given         int     // rows given on
}

// parse reads tables and the scan header.
func parse(h *Header, data []byte) (*baseline, error) {
	if h.Progressive || h.CMYK || h.rgb() || len(data) < 4 {
		return nil, errElsewhere
	}
	d := &baseline{head: h, data: data}
	at, frame := 2, []byte(nil)
	for {
		for at+1 < len(data) && data[at] == 0xFF && data[at+1] == 0xFF {
			at++
		}
		if at+4 > len(data) || data[at] != 0xFF {
			return nil, errElsewhere
		}
		marker, n := data[at+1], int(binary.BigEndian.Uint16(data[at+2:]))
		if n < 2 || at+2+n > len(data) || marker < 0xC0 {
			return nil, errElsewhere
		}
		body := data[at+4 : at+2+n]
		at += 2 + n
		ok := true
		switch marker {
		case 0xC0, 0xC1:
			ok, frame = frame == nil, body
		case 0xC4:
			ok = d.tables(body)
		case 0xDB:
			ok = d.quantisation(body)
		case 0xDD:
			if ok = len(body) == 2; ok {
				d.every = int(binary.BigEndian.Uint16(body))
			}
		case 0xDA:
			if frame == nil || !d.scan(frame, body) {
				return nil, errElsewhere
			}
			d.in = bits{data: data, at: at}
			return d, nil
		default:
			ok = marker >= 0xE0 // application segments and comments
		}
		if !ok {
			return nil, errElsewhere
		}
	}
}

// quantisation reads DQT, 8-bit tables only.
func (d *baseline) quantisation(b []byte) bool {
	for len(b) > 0 {
		if b[0] > 3 || len(b) < 65 {
			return false
		}
		q := new([64]int32)
		for i, v := range b[1:65] {
			q[i] = int32(v)
		}
		d.quant[b[0]] = q
		b = b[65:]
	}
	return true
}

// tables reads DHT.
func (d *baseline) tables(b []byte) bool {
	for len(b) > 0 {
		if len(b) < 17 || b[0]&15 > 1 || b[0]>>4 > 1 {
			return false
		}
		total := 0
		for _, n := range b[1:17] {
			total += int(n)
		}
		if len(b) < 17+total {
			return false
		}
		t := newHuffman(b[1:17], b[17:17+total], b[0]>>4 == 1)
		if t == nil {
			return false
		}
		if b[0]>>4 == 0 {
			d.dc[b[0]&15] = t
		} else {
			d.ac[b[0]&15] = t
		}
		b = b[17+total:]
	}
	return true
}

// scan matches the scan header with the frame's components.
func (d *baseline) scan(frame, b []byte) bool {
	h := d.head
	n := len(h.components)
	if len(b) != 4+2*n || int(b[0]) != n || b[1+2*n] != 0 || b[2+2*n] != 63 || b[3+2*n] != 0 {
		return false
	}
	maxH, maxV := 1, 1
	for i, c := range h.components {
		if n == 1 {
			c.h, c.v = 1, 1 // a single component has no MCUs of several blocks
		}
		// Luma may be doubled; chroma must then be single.
		if c.h > 2 || c.v > 2 || i > 0 && (c.h != 1 || c.v != 1) || b[1+2*i] != c.id {
			return false
		}
		maxH, maxV = max(maxH, int(c.h)), max(maxV, int(c.v))
		quant, dc, ac := d.quant[frame[6+3*i+2]&3], b[2+2*i]>>4, b[2+2*i]&15
		if frame[6+3*i+2] > 3 || quant == nil || dc > 1 || ac > 1 || d.dc[dc] == nil || d.ac[ac] == nil {
			return false
		}
		d.parts = append(d.parts, part{h: int(c.h), v: int(c.v), quant: quant, dc: d.dc[dc], ac: d.ac[ac]})
		for _, other := range h.components[:i] {
			if other.id == c.id {
				return false
			}
		}
	}
	d.acrs, d.downs = (h.Width+8*maxH-1)/(8*maxH), (h.Height+8*maxV-1)/(8*maxV)
	for i := range d.parts {
		p := &d.parts[i]
		p.width, p.height = (h.Width*p.h+maxH-1)/maxH, (h.Height*p.v+maxV-1)/maxV
		p.stride = d.acrs * p.h * 8
		p.band = make([]uint8, p.stride*p.v*8)
	}
	return true
}

// frame describes what will be given.
func (d *baseline) frame() raster.Frame {
	h := d.head
	if len(d.parts) == 1 {
		return raster.NewFrame(raster.Grey, h.Width, h.Height, 8)
	}
	f := raster.NewFrame(raster.YCbCr, h.Width, h.Height, 8)
	for i, p := range d.parts {
		f.Planes[i] = raster.Plane{Width: p.width, Height: p.height, Samples: 1, SpanX: d.parts[0].h / p.h, SpanY: d.parts[0].v / p.v}
	}
	return f
}

// decode gives every row to sink, or errElsewhere.
func (d *baseline) decode(ctx context.Context, sink raster.Sink) error {
	if err := sink.Begin(d.frame()); err != nil {
		return err
	}
	var b block
	mcu, restart := 0, byte(0xD0)
	for range d.downs {
		if err := ctx.Err(); err != nil {
			return err
		}
		for mx := range d.acrs {
			for i := range d.parts {
				p := &d.parts[i]
				for j := range p.h * p.v {
					last, ok := d.in.block(&b, p)
					if !ok {
						return errElsewhere
					}
					x, y := (mx*p.h+j%p.h)*8, j/p.h*8
					b.inverse(last, p.band[y*p.stride+x:], p.stride)
				}
			}
			if mcu++; d.every > 0 && mcu%d.every == 0 && mcu < d.acrs*d.downs {
				if !d.in.restart(restart) {
					return errElsewhere
				}
				restart = 0xD0 + (restart-0xCF)&7
				for i := range d.parts {
					d.parts[i].last = 0
				}
			}
		}
		if err := d.give(sink); err != nil {
			return err
		}
	}
	if !d.in.end() {
		return errElsewhere
	}
	return nil
}

// give passes the rows of a finished band on.
func (d *baseline) give(sink raster.Sink) error {
	for i := range d.parts {
		p := &d.parts[i]
		for y := 0; y < p.v*8 && p.given < p.height; y++ {
			if err := sink.Row8(i, p.band[y*p.stride:][:p.width]); err != nil {
				return err
			}
			p.given++
		}
	}
	return nil
}
