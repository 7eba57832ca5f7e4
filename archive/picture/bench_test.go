package picture

import (
	"bufio"
	"bytes"
	"context"
	"encoding/binary"
	"image"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"sandarac/archive/scan/sample"
)

// plate is a large warm near-grey picture: slopes, soft forms and grain, as a
// scan of a plate has them.
func plate(x, y, width, height int, seed *uint32) (r, g, b float64) {
	fx, fy := float64(x)/float64(width), float64(y)/float64(height)
	v := 0.35 + 0.25*math.Sin(7*fx+3*fy) + 0.15*math.Cos(23*fx*fy) + 0.1*math.Sin(90*fx)*math.Cos(70*fy)
	*seed = *seed*1664525 + 1013904223
	v += (float64(*seed>>16)/65536 - 0.5) * 0.03
	v = math.Max(0.02, math.Min(0.95, v))
	return v, v * 0.96, v * 0.88
}

// plateJPEG is a JPEG of quality 92, 4:2:0.
func plateJPEG(b *testing.B, w, h int, grey bool) string {
	seed := uint32(1)
	var img image.Image
	g, c := image.NewGray(image.Rect(0, 0, w, h)), image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
	for y := range h {
		for x := range w {
			r, _, bl := plate(x, y, w, h, &seed)
			g.Pix[y*w+x] = uint8(r * 255)
			if x%2 == 0 && y%2 == 0 {
				c.Cb[y/2*c.CStride+x/2], c.Cr[y/2*c.CStride+x/2] = uint8(128-(r-bl)*120), uint8(128+(r-bl)*80)
			}
		}
	}
	c.Y = g.Pix
	if img = c; grey {
		img = g
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, &jpeg.Options{Quality: 92}); err != nil {
		b.Fatal(err)
	}
	return sample.Write(b, "plate.jpg", out.Bytes())
}

// plateTIFF is 8000 × 6000, 16 bits, RGB, one row per strip or packed by
// deflate in strips of 16 rows, as differences if predicted.
func plateTIFF(b *testing.B, packed, predicted bool) string {
	const w, h = 8000, 6000
	rows := 1
	if packed {
		rows = 16
	}
	path := filepath.Join(b.TempDir(), "plate.tif")
	f, err := os.Create(path)
	if err != nil {
		b.Fatal(err)
	}
	out := bufio.NewWriterSize(f, 1<<20)
	strips := h / rows
	var counts, offsets, body []byte
	var bodies [][]byte
	at, seed := uint32(0), uint32(1)
	for i := range strips {
		body = make([]byte, 0, rows*w*6)
		for y := range rows {
			for x := range w {
				r, g, bl := plate(x, i*rows+y, w, h, &seed)
				for _, v := range []float64{r, g, bl} {
					body = binary.LittleEndian.AppendUint16(body, uint16(v*65535)&0xFFF0)
				}
			}
		}
		if predicted {
			differences(body, w)
		}
		if packed {
			body = sample.Zip(body)
		}
		bodies = append(bodies, body)
		offsets = binary.LittleEndian.AppendUint32(offsets, at)
		counts = binary.LittleEndian.AppendUint32(counts, uint32(len(body)))
		at += uint32(len(body))
	}
	compression, predictor := uint16(1), uint16(1)
	if packed {
		compression = 8
	}
	if predicted {
		predictor = 2
	}
	entries := func(shift uint32) []byte {
		moved := bytes.Clone(offsets)
		for i := range strips {
			binary.LittleEndian.PutUint32(moved[4*i:], binary.LittleEndian.Uint32(moved[4*i:])+shift)
		}
		return sample.TIFF(0, nil, sample.Long(256, w), sample.Long(257, h),
			sample.Entry{Tag: 258, Type: 3, Count: 3, Value: []byte{16, 0, 16, 0, 16, 0}}, sample.Short(259, compression), sample.Short(262, 2),
			sample.Entry{Tag: 273, Type: 4, Count: uint32(strips), Value: moved}, sample.Short(277, 3), sample.Long(278, uint32(rows)),
			sample.Entry{Tag: 279, Type: 4, Count: uint32(strips), Value: counts}, sample.Short(317, predictor))
	}
	out.Write(entries(uint32(len(entries(0)))))
	for _, body := range bodies {
		out.Write(body)
	}
	if err := out.Flush(); err != nil {
		b.Fatal(err)
	}
	f.Close()
	return path
}

// differences replaces each sample of 16-bit RGB rows by its difference to the
// one before, TIFF 6.0 section 14.
func differences(rows []byte, width int) {
	for ; len(rows) > 0; rows = rows[6*width:] {
		for i := 6*width - 2; i >= 6; i -= 2 {
			binary.LittleEndian.PutUint16(rows[i:], binary.LittleEndian.Uint16(rows[i:])-binary.LittleEndian.Uint16(rows[i-6:]))
		}
	}
}

// benchMake makes 2400, 1200 and 400 pixels of a master, the cache empty each
// time. With PICTURE_BENCH_KEEP set to a folder the master is left there for
// peers to be timed on.
func benchMake(b *testing.B, master string) {
	if keep := os.Getenv("PICTURE_BENCH_KEEP"); keep != "" {
		to := filepath.Join(keep, filepath.Base(b.Name())+filepath.Ext(master))
		data, err := os.ReadFile(master)
		if err == nil {
			err = os.WriteFile(to, data, 0o644)
		}
		if err != nil {
			b.Fatal(err)
		}
	}
	outputs := []Output{{Width: 2400, Rights: rights}, {Width: 1200, Rights: rights}, {Width: 400, Rights: rights}}
	b.ReportAllocs()
	start := cpuTime()
	for b.Loop() {
		m, err := New(b.TempDir(), Options{})
		if err != nil {
			b.Fatal(err)
		}
		if _, faults, err := m.Make(context.Background(), []Job{{master, outputs}}, nil); err != nil || len(faults) > 0 {
			b.Fatal(err, faults)
		}
	}
	b.ReportMetric(float64((cpuTime()-start).Milliseconds())/float64(b.N), "cpu-ms/op")
}

// BenchmarkMaster works on the file named by PICTURE_BENCH_MASTER.
func BenchmarkMaster(b *testing.B) {
	if path := os.Getenv("PICTURE_BENCH_MASTER"); path != "" {
		benchMake(b, path)
	} else {
		b.Skip("PICTURE_BENCH_MASTER is not set")
	}
}

func BenchmarkJPEG24MegapixelsWarm(b *testing.B) { benchMake(b, plateJPEG(b, 6000, 4000, false)) }
func BenchmarkJPEG24MegapixelsGrey(b *testing.B) { benchMake(b, plateJPEG(b, 6000, 4000, true)) }
func BenchmarkTIFF48Megapixels16Bit(b *testing.B) {
	benchMake(b, plateTIFF(b, false, false))
}
func BenchmarkTIFF48Megapixels16BitDeflate(b *testing.B) {
	benchMake(b, plateTIFF(b, true, false))
}

// BenchmarkResampler reduces one plane 6000 × 1000 to 2400 × 400.
func BenchmarkResampler(b *testing.B) {
	for _, depth := range []int{8, 16} {
		b.Run(strconv.Itoa(depth), func(b *testing.B) {
			row8, row16 := make([]uint8, 6000), make([]uint16, 6000)
			for i := range row8 {
				row8[i], row16[i] = uint8(i*7), uint16(i*777)
			}
			b.SetBytes(6_000_000)
			for b.Loop() {
				r := newResampler(depth, 1, geometry{in: 6000, out: 2400, scale: 2.5}, geometry{in: 1000, out: 400, scale: 2.5}, func(int, int, []uint16) error { return nil })
				for range 1000 {
					if depth == 8 {
						r.row(row8)
					} else {
						r.row16(row16)
					}
				}
			}
		})
	}
}
