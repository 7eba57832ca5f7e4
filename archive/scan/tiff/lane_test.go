package tiff

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math/rand/v2"
	"runtime"
	"testing"
	"testing/iotest"
	"time"

	"sandarac/archive/scan/fault"
	"sandarac/archive/scan/limit"
	"sandarac/archive/scan/raster"
	"sandarac/archive/scan/sample"
)

const wide, tall = 500, 300 // × 6 bytes, some four pieces

// collected keeps every byte given.
type collected struct {
	raster.Discard
	pix []byte
}

func (c *collected) Row16(plane int, row []byte) error {
	c.pix = append(c.pix, row...)
	return c.Discard.Row16(plane, row)
}

// pixels are 16-bit RGB samples that deflate can pack a little.
func pixels() []byte {
	r := rand.New(rand.NewPCG(11, 12))
	pix := make([]byte, 6*wide*tall)
	for i := 0; i < len(pix); i += 2 {
		binary.LittleEndian.PutUint16(pix[i:], uint16(i>>6)+uint16(r.IntN(64)<<4))
	}
	return pix
}

// cut is a file of pix in parts of the given rows, or tiles of 64 × 32.
func cut(pix []byte, rows int, packed, tiled bool) []byte {
	var parts [][]byte
	if tiled {
		for y := 0; y < tall; y += 32 {
			for x := 0; x < wide; x += 64 {
				part := make([]byte, 64*32*6)
				for v := range min(32, tall-y) {
					copy(part[v*64*6:], pix[6*((y+v)*wide+x):][:6*min(64, wide-x)])
				}
				parts = append(parts, part)
			}
		}
	} else {
		for y := 0; y < tall; y += rows {
			parts = append(parts, pix[6*y*wide:6*min(tall, y+rows)*wide])
		}
	}
	compression := uint16(plain)
	var body, counts []byte
	var starts []uint32
	for _, part := range parts {
		if packed {
			part, compression = sample.Zip(part), deflate
		}
		starts = append(starts, uint32(len(body)))
		counts = binary.LittleEndian.AppendUint32(counts, uint32(len(part)))
		body = append(body, part...)
	}
	file := func(shift int) []byte {
		var offsets []byte
		for _, s := range starts {
			offsets = binary.LittleEndian.AppendUint32(offsets, s+uint32(shift))
		}
		n := uint32(len(parts))
		where := []sample.Entry{{Tag: tagStripOffsets, Type: 4, Count: n, Value: offsets}, {Tag: tagStripCounts, Type: 4, Count: n, Value: counts}, sample.Long(tagRowsPerStrip, uint32(rows))}
		if tiled {
			where = []sample.Entry{{Tag: tagTileOffsets, Type: 4, Count: n, Value: offsets}, {Tag: tagTileCounts, Type: 4, Count: n, Value: counts}, sample.Long(tagTileWidth, 64), sample.Long(tagTileHeight, 32)}
		}
		return sample.TIFF(0, body, append(where, sample.Long(tagWidth, wide), sample.Long(tagHeight, tall),
			sample.Entry{Tag: tagBits, Type: 3, Count: 3, Value: []byte{16, 0, 16, 0, 16, 0}},
			sample.Short(tagCompression, compression), sample.Short(tagPhotometric, 2), sample.Short(tagSamples, 3))...)
	}
	return file(len(file(0)) - len(body))
}

func decode(ctx context.Context, t *testing.T, data []byte, sink raster.Sink) error {
	t.Helper()
	h, err := ReadHeader(bytes.NewReader(data), int64(len(data)), limit.Default)
	if err != nil {
		t.Fatal(err)
	}
	return h.Decode(ctx, bytes.NewReader(data), int64(len(data)), sink)
}

// However a picture is cut and on however many cores it is read, its rows come
// whole and in order.
func TestLanes(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	want := pixels()
	for _, cores := range []int{1, 3} {
		runtime.GOMAXPROCS(cores)
		for _, packed := range []bool{false, true} {
			for _, rows := range []int{1, 64, 299, tall, 0} {
				name := fmt.Sprintf("%d cores, %d rows a strip, packed %v", cores, rows, packed)
				var got collected
				if err := decode(context.Background(), t, cut(want, max(rows, 1), packed, rows == 0), &got); err != nil || !bytes.Equal(got.pix, want) {
					t.Errorf("%s: %d of %d bytes, %v", name, len(got.pix), len(want), err)
				}
			}
		}
	}
}

// One flipped bit in one packed strip is told, by its checksum if by nothing
// else, and the strip is named. No reader is left behind.
func TestDamagedStrip(t *testing.T) {
	before := runtime.NumGoroutine()
	for _, rows := range []int{16, tall} {
		data := cut(pixels(), rows, true, false)
		data[len(data)-3] ^= 4 // in the checksum of the last strip
		var f *fault.Fault
		if err := decode(context.Background(), t, data, &raster.Discard{}); !errors.As(err, &f) || f.Found != fmt.Sprintf("strip or tile %d cannot be unpacked", (tall+rows-1)/rows) {
			t.Errorf("%d rows a strip: %v", rows, err)
		}
	}
	settle(t, before)
}

type refusing struct{ raster.Discard }

var errRefused = errors.New("refused")

func (refusing) Row16(int, []byte) error { return errRefused }

// A sink that refuses, a file that cannot be read and a context that ends stop
// every lane.
func TestLanesStop(t *testing.T) {
	before := runtime.NumGoroutine()
	data := cut(pixels(), 16, true, false)
	if err := decode(context.Background(), t, data, &refusing{}); err != errRefused {
		t.Errorf("got %v", err)
	}
	h, err := ReadHeader(bytes.NewReader(data), int64(len(data)), limit.Default)
	if err != nil {
		t.Fatal(err)
	}
	var f *fault.Fault
	if err := h.Decode(context.Background(), unreadable{}, int64(len(data)), &raster.Discard{}); !errors.As(err, &f) || f.Kind != fault.Damaged {
		t.Errorf("got %v", err)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if err := decode(ctx, t, data, &raster.Discard{}); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
	settle(t, before)
}

type unreadable struct{}

func (unreadable) ReadAt(p []byte, _ int64) (int, error) { return iotest.ErrReader(errRefused).Read(p) }

// settle waits until goroutines that were started have ended.
func settle(t *testing.T, before int) {
	t.Helper()
	for range 200 {
		if runtime.NumGoroutine() <= before {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Errorf("%d goroutines, there were %d", runtime.NumGoroutine(), before)
}
