package exif

import (
	"bytes"
	"math"
	"path/filepath"
	"testing"
	"time"

	"sandarac/archive/scan/sample"
)

// The outside check: ExifTool writes the tags into a TIFF.
func TestAgainstExifTool(t *testing.T) {
	dir := t.TempDir()
	in := sample.Write(t, "in.tif", sample.TIFF(0, make([]byte, 6), sample.Plain(2, 3)...))
	for _, c := range []struct {
		args []string
		want Tags
	}{
		{[]string{"-Orientation=8", "-XResolution=600", "-YResolution=300", "-ResolutionUnit=2"}, Tags{Orientation: 8, PPIX: 600, PPIY: 300}},
		{[]string{"-XResolution=236.22", "-YResolution=236.22", "-ResolutionUnit=3"}, Tags{PPIX: 600, PPIY: 600}},
		{[]string{"-XResolution=300", "-YResolution=300", "-ResolutionUnit=1"}, Tags{}},
		{[]string{"-ModifyDate=2026:05:01 10:20:30"}, Tags{Taken: time.Date(2026, 5, 1, 10, 20, 30, 0, time.UTC)}},
		{[]string{"-DateTimeOriginal=2025:12:31 23:59:59", "-ModifyDate=2026:05:01 10:20:30"}, Tags{Taken: time.Date(2025, 12, 31, 23, 59, 59, 0, time.UTC), ColorSpace: 65535}},
		{[]string{"-ColorSpace=1"}, Tags{ColorSpace: 1}},
		{[]string{"-ColorSpace=65535", "-InteropIndex=R03"}, Tags{ColorSpace: 65535, Interop: "R03"}},
	} {
		out := filepath.Join(dir, "out.tif")
		sample.Tool(t, "exiftool", append(append([]string{"-q", "-n", "-m"}, c.args...), "-o", out, in)...)
		data := sample.Tool(t, "cat", out)
		sample.Tool(t, "rm", out)
		got, err := Read(bytes.NewReader(data), int64(len(data)))
		if err != nil {
			t.Errorf("%v: %v", c.args, err)
			continue
		}
		if math.Abs(got.PPIX-c.want.PPIX) > 0.1 || math.Abs(got.PPIY-c.want.PPIY) > 0.1 {
			t.Errorf("%v: %v × %v ppi", c.args, got.PPIX, got.PPIY)
		}
		got.PPIX, got.PPIY = c.want.PPIX, c.want.PPIY
		if got != c.want {
			t.Errorf("%v: got %+v, want %+v", c.args, got, c.want)
		}
	}
}

func TestBothByteOrders(t *testing.T) {
	big := []byte("MM\x00*\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00\x06\x00\x00\x00\x00\x00\x00")
	got, err := Read(bytes.NewReader(big), int64(len(big)))
	if err != nil || got.Orientation != 6 {
		t.Errorf("%+v, %v", got, err)
	}
}

func FuzzRead(f *testing.F) {
	f.Add(sample.FourGiB())
	f.Add(sample.Loop())
	f.Add(sample.TIFF(0, nil, sample.Short(0x0112, 6), sample.Long(0x8769, 8)))
	f.Add(sample.TIFF(0, nil, sample.Entry{Tag: 0x011A, Type: 5, Count: 1, Value: make([]byte, 8)}, sample.Entry{Tag: 0x0132, Type: 2, Count: 20, Value: []byte("2026:05:01 10:20:30\x00")}))
	f.Add([]byte("MM\x00*\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00\x06\x00\x00\x00\x00\x00\x00"))
	f.Fuzz(func(t *testing.T, data []byte) {
		tags, err := Read(bytes.NewReader(data), int64(len(data)))
		if err == nil && (tags.Orientation < 0 || tags.Orientation > 8 || math.IsNaN(tags.PPIX) || tags.PPIX < 0) {
			t.Errorf("%+v", tags)
		}
	})
}
