//go:build nodynamic

package picture

import (
	"bytes"
	"image"
	"image/draw"
	"image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/gen2brain/avif"

	"sandarac/archive/scan/sample"
)

// decodeFile gives the grey values of a picture.
func decodeFile(t *testing.T, path string, decode func([]byte) (image.Image, error)) image.Image {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	img, err := decode(data)
	if err != nil {
		t.Fatal(err)
	}
	grey := image.NewGray(img.Bounds())
	draw.Draw(grey, grey.Rect, img, image.Point{}, draw.Src)
	return grey
}

// An AVIF shows what the JPEG shows, in fewer bytes, and a second run makes
// neither again.
func TestAVIFPicture(t *testing.T) {
	for _, img := range []image.Image{sample.Scene(800, 600), sample.GreyScene(800, 600)} {
		master := sample.Write(t, "m.jpg", sample.JPEG(t, img, 95))
		cache := t.TempDir()
		jobs := []Job{{master, []Output{{Width: 400, Rights: rights, Edition: "public"}, {Width: 400, AVIF: true, Edition: "public"}}}}
		_, sets := run(t, cache, jobs)
		files := sets[master].Files
		if files[1].Width != 400 || files[1].Height != 300 || filepath.Ext(files[1].Path) != ".avif" || files[1].Bytes >= files[0].Bytes {
			t.Errorf("JPEG %+v, AVIF %+v", files[0], files[1])
		}
		a := decodeFile(t, files[0].Path, func(b []byte) (image.Image, error) { return jpeg.Decode(bytes.NewReader(b)) })
		b := decodeFile(t, files[1].Path, func(b []byte) (image.Image, error) { return avif.Decode(bytes.NewReader(b)) })
		if a.Bounds() != b.Bounds() {
			t.Fatalf("%v and %v", a.Bounds(), b.Bounds())
		}
		if mean, most := greyDifference(a, b); mean > 2 {
			t.Errorf("grey values differ by %.2f in the mean, %d at most", mean, most)
		}
		m, again := run(t, cache, jobs)
		if m.Decoded() != 0 || !same(sets, again) {
			t.Errorf("decoded %d masters again", m.Decoded())
		}
		if files, _, err := m.Prune(map[string]Set{}); err != nil || files != 2 {
			t.Errorf("pruned %d files, %v", files, err)
		}
	}
}

// The outside check: ExifTool finds nothing in an AVIF but how it is coded.
func TestAVIFSaysNothing(t *testing.T) {
	in := sample.Write(t, "in.jpg", sample.JPEG(t, sample.Scene(90, 60), 90))
	master := filepath.Join(filepath.Dir(in), "CANARYNAME.jpg")
	sample.Tool(t, "exiftool", "-q", "-q", "-GPSLatitude=51.1", "-Artist=CANARY1", "-XMP:Creator=CANARY2", "-Comment=CANARY3", "-o", master, in)
	f := makeOne(t, master, Output{Width: 45, AVIF: true, Edition: "public"}).Files[0]
	checkNoCanary(t, f.Path)
	for line := range strings.Lines(string(sample.Tool(t, "exiftool", "-G0", "-s", "-a", "-u", f.Path))) {
		group, _, _ := strings.Cut(strings.TrimPrefix(line, "["), "]")
		switch group {
		case "ExifTool", "File", "Composite", "Meta", "QuickTime":
		default:
			t.Errorf("it says %s", line)
		}
	}
}
