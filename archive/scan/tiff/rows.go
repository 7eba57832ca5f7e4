package tiff

import (
	"encoding/binary"

	"sandarac/archive/scan/raster"
)

// rows turns unpacked bytes into rows of planes.
type rows struct {
	h       *Header
	sink    raster.Sink
	big     bool
	eight   [3][]uint8
	sixteen [3][]uint16
}

func newRows(h *Header, sink raster.Sink) *rows {
	r := &rows{h: h, sink: sink, big: h.dir.order == binary.BigEndian}
	for c := range h.Channels {
		if h.Bits == 8 {
			r.eight[c] = make([]uint8, h.Width)
		} else {
			r.sixteen[c] = make([]uint16, h.Width)
		}
	}
	return r
}

// put undoes the predictor, in place, and gives the row on.
func (r *rows) put(line []byte) error {
	if r.h.predictor {
		r.unpredict(line)
	}
	return r.give(line)
}

// unpredict undoes horizontal differencing, TIFF 6.0 section 14: each sample
// is the difference to the same channel of the pixel before.
func (r *rows) unpredict(line []byte) {
	n := r.h.samples
	switch {
	case r.h.Bits == 8:
		for i := n; i < len(line); i++ {
			line[i] += line[i-n]
		}
	case r.big:
		for i := 2 * n; i+1 < len(line); i += 2 {
			v := binary.BigEndian.Uint16(line[i:]) + binary.BigEndian.Uint16(line[i-2*n:])
			binary.BigEndian.PutUint16(line[i:], v)
		}
	default:
		for i := 2 * n; i+1 < len(line); i += 2 {
			v := binary.LittleEndian.Uint16(line[i:]) + binary.LittleEndian.Uint16(line[i-2*n:])
			binary.LittleEndian.PutUint16(line[i:], v)
		}
	}
}

// give splits a row into planes and hands them to the sink.
func (r *rows) give(line []byte) error {
	if r.h.Bits == 8 {
		return r.give8(line)
	}
	return r.give16(line)
}

func (r *rows) give8(line []byte) error {
	h := r.h
	for c := range h.Channels {
		out := r.eight[c]
		for x, i := 0, c; x < len(out) && i < len(line); x, i = x+1, i+h.samples {
			out[x] = line[i]
		}
		if h.inverted {
			for x := range out {
				out[x] = ^out[x]
			}
		}
		if h.alpha == straight {
			for x := range out {
				out[x] = uint8((uint32(out[x])*uint32(line[x*h.samples+h.Channels]) + 127) / 255)
			}
		}
		if err := r.sink.Row8(c, out); err != nil {
			return err
		}
	}
	return nil
}

func (r *rows) give16(line []byte) error {
	h := r.h
	step := 2 * h.samples
	for c := range h.Channels {
		out := r.sixteen[c]
		r.sample16(out, line[2*c:], step)
		if h.inverted {
			for x := range out {
				out[x] = ^out[x]
			}
		}
		if h.alpha == straight {
			for x := range out {
				at := line[x*step+2*h.Channels:]
				a := uint32(binary.LittleEndian.Uint16(at))
				if r.big {
					a = uint32(binary.BigEndian.Uint16(at))
				}
				out[x] = uint16((uint32(out[x])*a + 32767) / 65535)
			}
		}
		if err := r.sink.Row16(c, out); err != nil {
			return err
		}
	}
	return nil
}

// sample16 takes one 16-bit sample from every step bytes.
func (r *rows) sample16(out []uint16, line []byte, step int) {
	i := 0
	if r.big {
		for x := range out {
			out[x] = uint16(line[i])<<8 | uint16(line[i+1])
			i += step
		}
		return
	}
	for x := range out {
		out[x] = uint16(line[i]) | uint16(line[i+1])<<8
		i += step
	}
}
