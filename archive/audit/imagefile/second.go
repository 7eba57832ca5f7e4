package imagefile

import (
	"bytes"
	"time"

	"github.com/bep/imagemeta"
)

// secondReader lets another program's reader look for metadata: what it finds
// must be among what may be said. Its time and the size of a tag are bounded.
func (r *Report) secondReader(data []byte) {
	format := map[string]imagemeta.ImageFormat{"JPEG": imagemeta.JPEG, "PNG": imagemeta.PNG, "WebP": imagemeta.WebP, "AVIF": imagemeta.AVIF}[r.Format]
	_, err := imagemeta.Decode(imagemeta.Options{
		R:               bytes.NewReader(data),
		ImageFormat:     format,
		Sources:         imagemeta.EXIF | imagemeta.IPTC | imagemeta.XMP,
		ShouldHandleTag: func(imagemeta.TagInfo) bool { return true },
		HandleTag: func(tag imagemeta.TagInfo) error {
			if tag.Source == imagemeta.XMP && secondAllowed[tag.Tag] {
				return nil
			}
			r.fault("it says %s %s", sourceName(tag.Source), tag.Tag)
			return nil
		},
		Timeout: 10 * time.Second,
	})
	if err != nil && len(r.Faults) == 0 {
		r.fault("its metadata cannot be read: %v", err)
	}
}

// secondAllowed is the list of what may be said, in that reader's names.
var secondAllowed = map[string]bool{
	"Creator": true, "Rights": true, "Credit": true, "Marked": true, "WebStatement": true,
	"Licensor": true, "LicensorURL": true, "LicensorName": true,
}

func sourceName(s imagemeta.Source) string {
	switch s {
	case imagemeta.EXIF:
		return "EXIF"
	case imagemeta.IPTC:
		return "IPTC"
	}
	return "XMP"
}
