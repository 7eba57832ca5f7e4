package scan

import (
	"bytes"
	"context"
	"errors"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"sandarac/archive/scan/fault"
	"sandarac/archive/scan/sample"
)

// hostileFiles are files that lie, with the kind of fault each must give.
func hostileFiles(t testing.TB) map[string]struct {
	data []byte
	kind fault.Kind
} {
	jpg := sample.JPEG(t, sample.Scene(64, 48), 90)
	exif := func(b []byte) []byte { return sample.Insert(jpg, 0xE1, append([]byte("Exif\x00\x00"), b...)) }
	sof := func(marker byte, body []byte) []byte {
		b := sample.Insert([]byte{0xFF, 0xD8}, marker, body)
		return append(b, 0xFF, 0xDA, 0, 2, 0, 0)
	}
	picture := make([]byte, 64*48)
	tiff := func(e ...sample.Entry) []byte {
		return sample.TIFF(0, picture, sample.Replaced(sample.Plain(64, 48), e...)...)
	}
	icc := func(number, count byte) []byte {
		return sample.Insert(jpg, 0xE2, append([]byte("ICC_PROFILE\x00"), number, count, 1, 2, 3))
	}
	type file = struct {
		data []byte
		kind fault.Kind
	}
	png := sample.PNGHeader
	idat := sample.Chunk("IDAT", sample.Zip(nil))
	files := map[string]file{
		"empty":                        {nil, fault.Damaged},
		"text":                         {[]byte("<html>not a scan</html>"), fault.Unsupported},
		"four-gib.tif":                 {sample.FourGiB(), fault.Damaged},
		"four-gib-exif.jpg":            {exif(sample.FourGiB()), fault.Metadata},
		"loop.tif":                     {sample.Loop(), fault.Damaged},
		"loop-exif.jpg":                {exif(sample.Loop()), fault.Metadata},
		"loop-second-page.tif":         {sample.TIFF(8, picture, sample.Plain(64, 48)...), fault.Metadata},
		"exif-cut.jpg":                 {exif([]byte("II*\x00")), fault.Metadata},
		"exif-pointer-to-itself.jpg":   {exif(sample.TIFF(0, nil, sample.Long(0x8769, 8))), fault.Metadata},
		"lies-about-size.jpg":          {sof(0xC0, sample.SOF(8, 65000, 6000, 3)), fault.Damaged},
		"too-many-pixels.jpg":          {sof(0xC0, sample.SOF(8, 65500, 65500, 3)), fault.TooLarge},
		"too-long.jpg":                 {sof(0xC0, sample.SOF(8, 65535, 10, 3)), fault.TooLarge},
		"no-height.jpg":                {sof(0xC0, sample.SOF(8, 100, 0, 3)), fault.Damaged},
		"twelve-bits.jpg":              {sof(0xC1, sample.SOF(12, 64, 48, 3)), fault.Unsupported},
		"arithmetic.jpg":               {sof(0xC9, sample.SOF(8, 64, 48, 3)), fault.Unsupported},
		"lossless.jpg":                 {sof(0xC3, sample.SOF(8, 64, 48, 3)), fault.Unsupported},
		"two-components.jpg":           {sof(0xC0, sample.SOF(8, 64, 48, 2)), fault.Unsupported},
		"icc-piece-missing.jpg":        {icc(1, 2), fault.Damaged},
		"icc-piece-zero.jpg":           {icc(0, 1), fault.Damaged},
		"icc-garbage.jpg":              {icc(1, 1), fault.Profile},
		"icc-lut.jpg":                  {sample.WithProfile(jpg, sample.Profile(2, "scnr", "RGB ", "Lab ", nil), 60000), fault.Profile},
		"icc-grey-on-colour.jpg":       {sample.WithProfile(jpg, sample.Grey(2, "g", sample.Gamma(2.2), "XYZ "), 60000), fault.Profile},
		"many-scans.jpg":               {manyScans(jpg), fault.TooLarge},
		"bomb-header.png":              {append(png(60000, 60000, 8, 2), idat...), fault.TooLarge},
		"bomb-no-data.png":             {append(png(60000, 6000, 16, 6), idat...), fault.Damaged},
		"huge-side.png":                {append(png(1<<31-1, 1, 8, 0), idat...), fault.Damaged},
		"iccp-bomb.png":                {slices.Concat(png(8, 8, 8, 0), sample.Chunk("iCCP", append([]byte("x\x00\x00"), sample.Zip(make([]byte, 64<<20))...)), idat), fault.TooLarge},
		"wrong-sum.png":                {slices.Concat(png(8, 8, 8, 0), []byte("\x00\x00\x00\x09pHYs123456789abcd"), idat), fault.Damaged},
		"exif-loop.png":                {slices.Concat(png(8, 8, 8, 0), sample.Chunk("eXIf", sample.Loop()), idat), fault.Metadata},
		"strip-beyond.tif":             {tiff(sample.Long(273, 1<<31)), fault.Damaged},
		"strip-short.tif":              {tiff(sample.Long(279, 10)), fault.Damaged},
		"huge-uncompressed.tif":        {tiff(sample.Long(256, 60000), sample.Long(257, 6000)), fault.Damaged},
		"deflate-bomb.tif":             {tiff(sample.Long(256, 20000), sample.Long(257, 20000), sample.Short(259, 8)), fault.Damaged},
		"one-huge-tile.tif":            {tiff(sample.Long(322, 65520), sample.Long(323, 65520), sample.Long(324, 0), sample.Long(325, 3072)), fault.TooLarge},
		"too-few-strips.tif":           {tiff(sample.Long(278, 1)), fault.Damaged},
		"icc-beyond.tif":               {tiff(sample.Entry{Tag: 34675, Type: 7, Count: 1 << 31, Value: []byte{8, 0, 0, 0}}), fault.Damaged},
		"big.tif":                      {[]byte("II+\x00\x08\x00\x00\x00\x10\x00\x00\x00\x00\x00\x00\x00"), fault.Unsupported},
		"planar.tif":                   {tiff(sample.Short(262, 2), sample.Short(277, 3), sample.Short(284, 2)), fault.Unsupported},
		"cmyk.tif":                     {tiff(sample.Short(262, 5), sample.Short(277, 4)), fault.Unsupported},
		"lab.tif":                      {tiff(sample.Short(262, 8), sample.Short(277, 3)), fault.Unsupported},
		"palette.tif":                  {tiff(sample.Short(262, 3)), fault.Unsupported},
		"float.tif":                    {tiff(sample.Short(339, 3)), fault.Unsupported},
		"twelve-bits.tif":              {tiff(sample.Short(258, 12)), fault.Unsupported},
		"jpeg-inside.tif":              {tiff(sample.Short(259, 7)), fault.Unsupported},
		"reversed-bits.tif":            {tiff(sample.Short(266, 2)), fault.Unsupported},
		"thumbnail-first.tif":          {tiff(sample.Long(254, 1)), fault.Unsupported},
		"directory-beyond.tif":         {[]byte("II*\x00\xff\xff\xff\xff\x00\x00"), fault.Damaged},
		"directory-in-the-header.tif":  {[]byte("II*\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00"), fault.Damaged},
		"directory-of-nothing-big.tif": {[]byte("MM\x00*\x00\x00\x00\x08\xff\xff"), fault.Damaged},
	}
	return files
}

// manyScans is a progressive JPEG of a thousand empty scans.
func manyScans(jpg []byte) []byte {
	b := bytes.Replace(jpg, []byte{0xFF, 0xC0}, []byte{0xFF, 0xC2}, 1)
	for range 1000 {
		b = append(b, 0xFF, 0xDA, 0, 8, 1, 1, 0, 1, 0x3F, 0)
	}
	return b
}

// allocated is what f allocates, in bytes.
func allocated(f func()) uint64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f()
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}

// Each hostile file ends as the right kind of fault that names the file and
// says how to mend it, and asks for little memory on the way.
func TestHostile(t *testing.T) {
	for name, c := range hostileFiles(t) {
		t.Run(name, func(t *testing.T) {
			path := sample.Write(t, name, c.data)
			var err error
			used := allocated(func() {
				if _, err = ReadInfo(path); err == nil {
					err = Verify(context.Background(), path)
				}
			})
			var f *Fault
			if !errors.As(err, &f) {
				t.Fatalf("error is %v", err)
			}
			if f.Kind != c.kind {
				t.Errorf("kind is %s, want %s (%v)", f.Kind, c.kind, f)
			}
			if f.File != path || f.Message() == "" || f.Remedy() == "" {
				t.Errorf("fault says too little: %#v", f)
			}
			if used > 16<<20 {
				t.Errorf("%d MiB allocated", used>>20)
			}
		})
	}
}

// Files of a kind with faults that are no fault of the picture.
func TestHarmless(t *testing.T) {
	jpg := sample.JPEG(t, sample.Scene(64, 48), 90)
	zero := make([]byte, 8) // 0/0, on which goexif's Rat panics
	oriented := sample.TIFF(0, nil, sample.Short(0x0112, 6), sample.Entry{Tag: 0x011A, Type: 5, Count: 1, Value: zero}, sample.Entry{Tag: 0x011B, Type: 5, Count: 1, Value: zero})
	exif := sample.Insert(jpg, 0xE1, append([]byte("Exif\x00\x00"), oriented...))
	xmpFirst := sample.Insert(exif, 0xE1, []byte("http://ns.adobe.com/xap/1.0/\x00<x/>"))
	for name, data := range map[string][]byte{"zero-ratio.jpg": exif, "xmp-first.jpg": xmpFirst} {
		info, err := ReadInfo(sample.Write(t, name, data))
		if err != nil || info.Orientation != 6 || info.Width != 48 || info.PPIX != 0 {
			t.Errorf("%s: %+v, %v", name, info, err)
		}
	}
	// A count of zero and an orientation of no known value.
	odd := sample.TIFF(0, nil, sample.Entry{Tag: 0x0112, Type: 3, Count: 0, Value: []byte{6, 0}}, sample.Short(0x0112, 99))
	info, err := ReadInfo(sample.Write(t, "odd.jpg", sample.Insert(jpg, 0xE1, append([]byte("Exif\x00\x00"), odd...))))
	if err != nil || info.Orientation != 1 {
		t.Errorf("odd: %+v, %v", info, err)
	}
}

// The limit on pixels is the caller's to raise or lower.
func TestLimits(t *testing.T) {
	path := sample.Write(t, "m.jpg", sample.JPEG(t, sample.Scene(64, 48), 90))
	var f *Fault
	if _, err := ReadInfoWithin(path, Limits{Pixels: 3071}); !errors.As(err, &f) || f.Kind != fault.TooLarge {
		t.Errorf("64 × 48 within 3,071 pixels: %v", err)
	}
	if err := VerifyWithin(context.Background(), path, Limits{Pixels: 3072}); err != nil {
		t.Errorf("64 × 48 within 3,072 pixels: %v", err)
	}
}

func TestNotAFile(t *testing.T) {
	dir := t.TempDir()
	real := sample.Write(t, "real.jpg", sample.JPEG(t, sample.Scene(64, 48), 90))
	link, dangling := filepath.Join(dir, "link.jpg"), filepath.Join(dir, "dangling.jpg")
	if err := os.Symlink(real, link); err != nil {
		t.Skip("no symbolic links here")
	}
	if err := os.Symlink("/nowhere/at/all", dangling); err != nil {
		t.Fatal(err)
	}
	for path, kind := range map[string]fault.Kind{
		link: fault.NotAFile, dangling: fault.NotAFile, dir: fault.NotAFile, "/dev/zero": fault.NotAFile,
		filepath.Join(dir, "missing.jpg"): fault.Missing,
	} {
		_, err := ReadInfo(path)
		var f *Fault
		if !errors.As(err, &f) || f.Kind != kind || f.Remedy() == "" {
			t.Errorf("%s: %v, want %s", path, err, kind)
		}
	}
}

func TestControlCharactersInNames(t *testing.T) {
	_, err := ReadInfo("a\x1b[31m\nb\u202egpj.tif")
	if err == nil || strings.ContainsAny(err.Error(), "\x1b\n\u202e") {
		t.Errorf("%q", err)
	}
}

// Every file cut short at any of many places is a fault or still whole.
func TestTruncated(t *testing.T) {
	files := sample.Sound()
	files["a.jpg"] = sample.JPEG(t, sample.Scene(64, 48), 90)
	for name, data := range files {
		for i := range 40 {
			cut := data[:len(data)*i/40]
			path := sample.Write(t, name, cut)
			if err := Verify(context.Background(), path); err == nil && i < 36 && strings.HasSuffix(name, ".jpg") {
				t.Errorf("%s cut at %d of %d was called sound", name, len(cut), len(data))
			}
		}
	}
}

// Thousands of damaged files: none may panic, hang or ask for more than the
// limits allow.
func TestMutated(t *testing.T) {
	files := sample.Sound()
	jpg := sample.JPEG(t, sample.Scene(64, 48), 90)
	date := sample.Entry{Tag: 0x0132, Type: 2, Count: 20, Value: []byte("2026:05:01 10:20:30\x00")}
	exif := sample.TIFF(0, nil, sample.Short(0x0112, 6), date, sample.Entry{Tag: 0x011A, Type: 5, Count: 1, Value: []byte{44, 1, 0, 0, 1, 0, 0, 0}})
	files["exif.jpg"] = sample.Insert(jpg, 0xE1, append([]byte("Exif\x00\x00"), exif...))
	files["icc.jpg"] = sample.WithProfile(jpg, sample.AdobeRGB(), 300)
	files["icc.png"] = slices.Concat(sample.PNGHeader(2, 2, 8, 0), sample.Chunk("iCCP", append([]byte("x\x00\x00"), sample.Zip(sample.Grey(2, "g", sample.Gamma(2.2), "XYZ "))...)), sample.Chunk("IDAT", sample.Zip(make([]byte, 6))), sample.Chunk("IEND", nil))
	files["packbits.tif"] = sample.TIFF(0, slices.Repeat([]byte{0x81, 77}, 24), sample.Replaced(sample.Plain(64, 48), sample.Short(259, 32773), sample.Long(279, 48))...)
	r := rand.New(rand.NewPCG(1, 2))
	path := filepath.Join(t.TempDir(), "mutated")
	n := 0
	for _, name := range slices.Sorted(maps.Keys(files)) {
		for range 120 {
			if err := os.WriteFile(path, sample.Mutate(r, files[name]), 0o644); err != nil {
				t.Fatal(err)
			}
			ctx, stop := context.WithTimeout(context.Background(), time.Minute)
			used := allocated(func() {
				_, err := ReadInfo(path)
				if err == nil {
					err = Verify(ctx, path)
				}
				var f *Fault
				if err != nil && (!errors.As(err, &f) || f.Remedy() == "") {
					t.Errorf("%s: %v", name, err)
				}
			})
			stop()
			if used > 128<<20 {
				t.Errorf("%s: %d MiB allocated", name, used>>20)
			}
			n++
		}
	}
	if n < 500 {
		t.Errorf("only %d files", n)
	}
}
