package png

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
		if strings.HasSuffix(name, ".png") {
			f.Add(data)
		}
	}
	f.Add(append(sample.PNGHeader(2, 2, 8, 3), sample.Chunk("IDAT", sample.Zip(make([]byte, 6)))...))
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
