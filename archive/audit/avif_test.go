//go:build nodynamic

package audit

import (
	"bytes"
	"image"
	"testing"

	"github.com/gen2brain/avif"
)

// An unpublished plate's pixels as AVIF are seen; a published one's are not.
func TestHiddenAVIF(t *testing.T) {
	coded := func(id string) string {
		var b bytes.Buffer
		if err := avif.Encode(&b, plate(t, id, 900), avif.Options{Quality: 60, QualityAlpha: 100, Speed: 10, ChromaSubsampling: image.YCbCrSubsampleRatio420}); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	f := Forbidden{Hidden: references(t, sitter), Shown: references(t, other)}
	found := look(t, tree(t, map[string]string{"img/a.avif": coded(sitter), "img/b.avif": coded(other)}), f, Options{})
	if len(found) != 1 || found[0].Code != codePicture || found[0].Plate != sitter || found[0].File != "img/a.avif" {
		t.Errorf("got %+v", found)
	}
}
