package scanfile

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"fmt"
)

// Deep is a picture of 16 bits per channel, rows from the top, one channel (grey) or three (RGB) interleaved.
type Deep struct {
	Width, Height, Channels int
	Pix                     []uint16
}

type field struct {
	tag, kind uint16
	values    []uint32
}

// TIFF writes a little-endian TIFF 6.0: one strip, deflate (compression 8, Adobe's TIFF technical note of 2002),
// horizontal differencing (predictor 2), resolution in pixels per inch.
func TIFF(d Deep, t Tags) ([]byte, error) {
	strip, err := squeeze(d)
	if err != nil {
		return nil, err
	}
	bits, photometric := []uint32{16}, uint32(1)
	if d.Channels == 3 {
		bits, photometric = []uint32{16, 16, 16}, 2
	}
	fields := []field{
		{256, 4, []uint32{uint32(d.Width)}}, {257, 4, []uint32{uint32(d.Height)}}, {258, 3, bits}, {259, 3, []uint32{8}},
		{262, 3, []uint32{photometric}}, {273, 4, []uint32{8}}, {274, 3, []uint32{1}}, {277, 3, []uint32{uint32(d.Channels)}},
		{278, 4, []uint32{uint32(d.Height)}}, {279, 4, []uint32{uint32(len(strip))}},
		{282, 5, []uint32{uint32(t.PPI), 1}}, {283, 5, []uint32{uint32(t.PPI), 1}}, {284, 3, []uint32{1}},
		{296, 3, []uint32{2}}, {317, 3, []uint32{2}},
	}
	return assemble(strip, fields, t.Profile), nil
}

func squeeze(d Deep) ([]byte, error) {
	row := make([]byte, 2*d.Width*d.Channels)
	var b bytes.Buffer
	z, err := zlib.NewWriterLevel(&b, zlib.BestCompression)
	if err != nil {
		return nil, fmt.Errorf("starting deflate: %w", err)
	}
	for y := range d.Height {
		line := d.Pix[y*d.Width*d.Channels : (y+1)*d.Width*d.Channels]
		for i, v := range line {
			if i >= d.Channels {
				v -= line[i-d.Channels]
			}
			binary.LittleEndian.PutUint16(row[2*i:], v)
		}
		if _, err := z.Write(row); err != nil {
			return nil, fmt.Errorf("deflating row %d: %w", y, err)
		}
	}
	if err := z.Close(); err != nil {
		return nil, fmt.Errorf("ending deflate: %w", err)
	}
	return b.Bytes(), nil
}

// assemble puts header, strip, values too long for their entry, and the directory one after another.
func assemble(strip []byte, fields []field, profile []byte) []byte {
	le := binary.LittleEndian
	out := append([]byte("II\x2A\x00\x00\x00\x00\x00"), strip...)
	even := func() {
		if len(out)%2 == 1 {
			out = append(out, 0)
		}
	}
	even()
	var dir []byte
	for _, f := range fields {
		count := len(f.values)
		if f.kind == 5 {
			count /= 2
		}
		var v []byte
		for _, x := range f.values {
			if f.kind == 3 {
				v = le.AppendUint16(v, uint16(x))
			} else {
				v = le.AppendUint32(v, x)
			}
		}
		dir = entry(dir, f.tag, f.kind, count, v, &out)
	}
	n := len(fields)
	if profile != nil {
		dir = entry(dir, 34675, 7, len(profile), profile, &out)
		n++
	}
	even()
	le.PutUint32(out[4:], uint32(len(out)))
	out = le.AppendUint16(out, uint16(n))
	out = append(out, dir...)
	return le.AppendUint32(out, 0)
}

func entry(dir []byte, tag, kind uint16, count int, value []byte, out *[]byte) []byte {
	le := binary.LittleEndian
	dir = le.AppendUint16(le.AppendUint16(dir, tag), kind)
	dir = le.AppendUint32(dir, uint32(count))
	if len(value) <= 4 {
		return append(dir, append(value, make([]byte, 4-len(value))...)...)
	}
	if len(*out)%2 == 1 {
		*out = append(*out, 0)
	}
	dir = le.AppendUint32(dir, uint32(len(*out)))
	*out = append(*out, value...)
	return dir
}
