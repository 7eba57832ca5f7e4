package jpeg

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"time"

	"sandarac/archive/scan/limit"
	"sandarac/archive/scan/raster"
	"sandarac/archive/scan/sample"
)

// FuzzDecode reads a header and, if it is accepted, every pixel.
func FuzzDecode(f *testing.F) {
	jpg := sample.JPEG(f, sample.Scene(40, 24), 80)
	f.Add(jpg)
	f.Add(sample.JPEG(f, sample.GreyScene(40, 24), 80))
	f.Add(bytes.Replace(jpg, []byte{0xFF, 0xC0}, []byte{0xFF, 0xC2}, 1))
	f.Add(sample.WithProfile(jpg, sample.AdobeRGB(), 200))
	f.Add(sample.Insert(jpg, 0xEE, []byte("Adobe\x00\x64\x00\x00\x00\x00\x00")))
	f.Add(sample.Insert(jpg, 0xE1, append([]byte("Exif\x00\x00"), sample.Loop()...)))
	f.Fuzz(func(t *testing.T, data []byte) {
		r := bytes.NewReader(data)
		h, err := ReadHeader(r, int64(len(data)), limit.Limits{Pixels: 1 << 20})
		if err != nil {
			return
		}
		ctx, stop := context.WithTimeout(context.Background(), 10*time.Second)
		defer stop()
		var d raster.Discard
		if err := h.Decode(ctx, r, int64(len(data)), &d); err == nil && !d.Complete() {
			t.Error("rows are missing and there is no error")
		} else if err != nil && strings.Contains(err.Error(), "runtime error") {
			t.Errorf("caught a panic: %v", err)
		}
	})
}
