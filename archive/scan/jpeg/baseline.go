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
	width, height int   // of the plane
	whole, half   bands // one MCU row of samples, whole or at half the size
}

// bands are the rows of one plane that one row of MCUs gives.
type bands struct {
	pix           []uint8
	stride, rows  int
	width, height int
	given         int
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
	}
	return true
}

// frame describes what will be given; size is 8 or, at half the size, 4.
func (d *baseline) frame(size int) raster.Frame {
	h := d.head
	f := raster.NewFrame(raster.Grey, h.Width, h.Height, 8)
	if len(d.parts) > 1 {
		f = raster.NewFrame(raster.YCbCr, h.Width, h.Height, 8)
	}
	for i, p := range d.parts {
		step := 8 / size
		f.Planes[i] = raster.Plane{
			Width: (p.width + step - 1) / step, Height: (p.height + step - 1) / step, Samples: 1,
			SpanX: d.parts[0].h / p.h * step, SpanY: d.parts[0].v / p.v * step,
		}
	}
	return f
}

// begin tells a sink what will come and makes room for it.
func (d *baseline) begin(sink raster.Sink, size int) error {
	f := d.frame(size)
	for i := range d.parts {
		p := &d.parts[i]
		b := bands{stride: d.acrs * p.h * size, rows: p.v * size, width: f.Planes[i].Width, height: f.Planes[i].Height}
		b.pix = make([]uint8, b.stride*b.rows)
		if size == 8 {
			p.whole = b
		} else {
			p.half = b
		}
	}
	return sink.Begin(f)
}

// decode gives every row to sink, or errElsewhere.
func (d *baseline) decode(ctx context.Context, sink raster.Sink) error {
	whole, half := sink, raster.Sink(nil)
	if h, ok := sink.(raster.HalvedSink); ok {
		whole, half = h.Halves()
	}
	if whole != nil {
		if err := d.begin(whole, 8); err != nil {
			return err
		}
	}
	if half != nil {
		if err := d.begin(half, 4); err != nil {
			return err
		}
	}
	mcu, restart := 0, byte(0xD0)
	for range d.downs {
		if err := ctx.Err(); err != nil {
			return err
		}
		for mx := range d.acrs {
			if !d.unit(mx) {
				return errElsewhere
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
		if err := d.give(whole, half); err != nil {
			return err
		}
	}
	if !d.in.end() {
		return errElsewhere
	}
	return nil
}

// unit decodes the blocks of one MCU.
func (d *baseline) unit(mx int) bool {
	var b block
	for i := range d.parts {
		p := &d.parts[i]
		for j := range p.h * p.v {
			last, ok := d.in.block(&b, p)
			if !ok {
				return false
			}
			x, y := mx*p.h+j%p.h, j/p.h
			if w := &p.whole; w.pix != nil {
				b.inverse(last, w.pix[8*(y*w.stride+x):], w.stride)
			}
			if h := &p.half; h.pix != nil {
				b.inverseHalf(last, h.pix[4*(y*h.stride+x):], h.stride)
			}
		}
	}
	return true
}

// give passes the rows of a finished band on.
func (d *baseline) give(whole, half raster.Sink) error {
	for i := range d.parts {
		if err := d.parts[i].whole.give(whole, i); err != nil {
			return err
		}
		if err := d.parts[i].half.give(half, i); err != nil {
			return err
		}
	}
	return nil
}

func (b *bands) give(sink raster.Sink, plane int) error {
	for y := 0; y < b.rows && b.given < b.height; y++ {
		if err := sink.Row8(plane, b.pix[y*b.stride:][:b.width]); err != nil {
			return err
		}
		b.given++
	}
	return nil
}
