package tiff

import (
	"encoding/binary"

	"sandarac/archive/scan/raster"
)

// rows turns unpacked bytes into rows as the sink wants them, in place.
type rows struct {
	h    *Header
	sink raster.Sink
	big  bool // 16-bit samples with the high byte first
}

func newRows(h *Header, sink raster.Sink) *rows {
	return &rows{h: h, sink: sink, big: h.Bits == 16 && h.dir.order == binary.BigEndian}
}

// unpack undoes byte order and predictor.
func (r *rows) unpack(line []byte) {
	if r.big {
		swap(line)
	}
	if r.h.predictor {
		r.unpredict(line)
	}
}

// swap exchanges the bytes of 16-bit samples, four samples at a time.
func swap(line []byte) {
	const low = 0x00FF00FF00FF00FF
	for len(line) >= 8 {
		v := binary.LittleEndian.Uint64(line)
		binary.LittleEndian.PutUint64(line, v>>8&low|v&low<<8)
		line = line[8:]
	}
	for i := 0; i+1 < len(line); i += 2 {
		line[i], line[i+1] = line[i+1], line[i]
	}
}

// unpredict undoes horizontal differencing, TIFF 6.0 section 14: each sample
// is the difference to the same channel of the pixel before.
func (r *rows) unpredict(line []byte) {
	n := r.h.samples
	if r.h.Bits == 8 {
		for i := n; i < len(line); i++ {
			line[i] += line[i-n]
		}
		return
	}
	if n == 3 {
		unpredict3(line)
		return
	}
	for i := 2 * n; i+1 < len(line); i += 2 {
		v := binary.LittleEndian.Uint16(line[i:]) + binary.LittleEndian.Uint16(line[i-2*n:])
		binary.LittleEndian.PutUint16(line[i:], v)
	}
}

// unpredict3 is unpredict for 16-bit RGB, with the last pixel in registers.
func unpredict3(line []byte) {
	var a, b, c uint16
	for len(line) >= 6 {
		px := line[:6]
		a += binary.LittleEndian.Uint16(px)
		b += binary.LittleEndian.Uint16(px[2:])
		c += binary.LittleEndian.Uint16(px[4:])
		binary.LittleEndian.PutUint16(px, a)
		binary.LittleEndian.PutUint16(px[2:], b)
		binary.LittleEndian.PutUint16(px[4:], c)
		line = line[6:]
	}
}

// give applies polarity and transparency, drops extra samples, and hands the
// row to the sink.
func (r *rows) give(line []byte) error {
	h := r.h
	if h.inverted {
		for i := range line {
			line[i] = ^line[i]
		}
	}
	if h.Bits == 8 {
		if h.samples > h.Channels {
			line = r.narrow8(line)
		}
		return r.sink.Row8(0, line)
	}
	if h.samples > h.Channels {
		line = r.narrow16(line)
	}
	return r.sink.Row16(0, line)
}

// narrow8 keeps the colours of each pixel, laid over black if the first extra
// sample is transparency of its own. (Inversion has turned that too; it is
// turned back.)
func (r *rows) narrow8(line []byte) []byte {
	h := r.h
	to := 0
	for at := 0; at < len(line); at += h.samples {
		a := uint32(line[at+h.Channels])
		if h.inverted {
			a = 255 - a
		}
		for c := range h.Channels {
			v := uint32(line[at+c])
			if h.alpha == straight {
				v = (v*a + 127) / 255
			}
			line[to] = byte(v)
			to++
		}
	}
	return line[:to]
}

// narrow16 is narrow8 for 16 bits.
func (r *rows) narrow16(line []byte) []byte {
	h := r.h
	to := 0
	for at := 0; at < len(line); at += 2 * h.samples {
		a := uint32(binary.LittleEndian.Uint16(line[at+2*h.Channels:]))
		if h.inverted {
			a = 65535 - a
		}
		for c := range h.Channels {
			v := uint32(binary.LittleEndian.Uint16(line[at+2*c:]))
			if h.alpha == straight {
				v = (v*a + 32767) / 65535
			}
			binary.LittleEndian.PutUint16(line[to:], uint16(v))
			to += 2
		}
	}
	return line[:to]
}
