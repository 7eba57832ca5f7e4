package picture

import (
	"image"
	"image/color"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/disintegration/imaging"
)

const libraryEnv = "PICTURE_TEST_LIBRARY"

// TestLibraryChild gives imaging a palette's picture with an index past the
// palette, in a process of its own.
func TestLibraryChild(t *testing.T) {
	if os.Getenv(libraryEnv) == "" {
		return // a test run like any other
	}
	defer func() {
		if recover() != nil {
			os.Exit(0) // then a recover at the call would be fence enough
		}
	}()
	img := image.NewPaletted(image.Rect(0, 0, 64, 64), color.Palette{color.Black, color.White})
	img.Pix[5] = 200
	imaging.Clone(img)
	time.Sleep(10 * time.Second) // it comes back before the panic has ended the process
	os.Exit(0)
}

// The fault of imaging for which there is a fence (CVE-2023-36308): it panics in
// a goroutine of its own, so that no recover helps and the process ends. When it
// is mended this fails, and the fence in scan/raster can go.
func TestLibraryFault(t *testing.T) {
	cmd := exec.Command(os.Args[0], "-test.run=^TestLibraryChild$")
	cmd.Env = append(os.Environ(), libraryEnv+"=1")
	out, err := cmd.CombinedOutput()
	if err == nil || !strings.Contains(string(out), "index out of range") {
		t.Errorf("the library does no harm any more: %v\n%.600s", err, out)
	}
}
