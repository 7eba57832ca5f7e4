package jpeg

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"
	"io"

	"sandarac/archive/scan/fault"
	"sandarac/archive/scan/limit"
	"sandarac/archive/scan/raster"
)

// Decode gives the pixels to sink: grey and YCbCr as planes, RGB and CMYK
// whole or as rows of RGB.
func (h *Header) Decode(ctx context.Context, r io.ReaderAt, size int64, sink raster.Sink) error {
	if h.Progressive {
		if err := countScans(ctx, r, size); err != nil {
			return err
		}
	}
	if done, err := h.fast(ctx, r, size, sink); done {
		return err
	}
	img, err := decode(raster.Reader(ctx, io.NewSectionReader(r, 0, size)))
	if err != nil {
		return err
	}
	if img.Bounds() != image.Rect(0, 0, h.Width, h.Height) {
		return fault.Damagedf("the picture is not of the size the header says")
	}
	return raster.Image(ctx, img, sink)
}

// fastLimit is the largest file the fast decoder reads into memory, in bytes.
const fastLimit = 256 << 20

// fast tries the fast decoder. If it gives up, it may have given rows already;
// the next Begin tells the sink to start over.
func (h *Header) fast(ctx context.Context, r io.ReaderAt, size int64, sink raster.Sink) (done bool, err error) {
	if h.Progressive || size > fastLimit {
		return false, nil
	}
	defer func() {
		if p := recover(); p != nil {
			done = false
		}
	}()
	data := make([]byte, size)
	if _, err := io.ReadFull(raster.Reader(ctx, io.NewSectionReader(r, 0, size)), data); err != nil {
		return true, err
	}
	d, err := parse(h, data)
	if err == nil {
		err = d.decode(ctx, sink)
	}
	return err != errElsewhere, err
}

func decode(r io.Reader) (img image.Image, err error) {
	defer fault.Recover("image/jpeg", &err)
	return jpeg.Decode(r)
}

// countScans refuses a progressive file of very many scans: each costs a pass
// over the whole picture and next to no bytes.
func countScans(ctx context.Context, r io.ReaderAt, size int64) error {
	buf := make([]byte, 1<<16)
	scans, last := 0, byte(0)
	in := raster.Reader(ctx, io.NewSectionReader(r, 0, size))
	for {
		n, err := in.Read(buf)
		part := buf[:n]
		if last == 0xFF && n > 0 && part[0] == 0xDA {
			scans++
		}
		scans += bytes.Count(part, []byte{0xFF, 0xDA})
		if n > 0 {
			last = part[n-1]
		}
		if scans > limit.Scans {
			return &fault.Fault{Kind: fault.TooLarge, Found: "a progressive JPEG of more than 100 scans", Accepted: accepted, Mend: mend}
		}
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
	}
}
