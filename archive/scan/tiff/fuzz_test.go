package tiff

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
	for name, data := range sample.Sound() {
		if strings.HasSuffix(name, ".tif") {
			f.Add(data)
		}
	}
	f.Add(sample.FourGiB())
	f.Add(sample.TIFF(0, bytes.Repeat([]byte{0x81, 77}, 24), sample.Replaced(sample.Plain(64, 48), sample.Short(259, 32773), sample.Long(279, 48))...))
	f.Add(sample.TIFF(0, make([]byte, 1024), sample.Replaced(sample.Plain(20, 20), sample.Long(322, 32), sample.Long(323, 32), sample.Long(324, 0), sample.Long(325, 1024))...))
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
