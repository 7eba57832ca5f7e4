// Package imagefile looks at how a published picture is built, without trusting
// its name: which segments, chunks or boxes it has, what its rights metadata say,
// and whether anything lies behind its end. In go the bytes of a JPEG, PNG,
// WebP or AVIF; out come the faults, and the texts it carries. It imports none of ours.
//
// It is the only package of the audit that imports bep/imagemeta, which reads the
// same bytes a second time: what either of the two readers sees and the list
// below does not allow is a fault.
package imagefile

import (
	"bytes"
	"fmt"
)

// Report is what was found in a file.
type Report struct {
	Format string     // "JPEG", "PNG", "WebP", "AVIF"
	Faults []string   // what must not be there, in words
	Rights []Property // what the file says of its rights
	Text   [][]byte   // every segment with text in it, allowed or not
}

// Property is one statement of the metadata.
type Property struct {
	Name  string // with its usual prefix, e.g. "dc:rights"
	Value string
}

func (r *Report) fault(format string, a ...any) {
	r.Faults = append(r.Faults, fmt.Sprintf(format, a...))
}

// Format says which picture format the bytes begin as, or "".
func Format(data []byte) string {
	switch {
	case bytes.HasPrefix(data, []byte("\xff\xd8\xff")):
		return "JPEG"
	case bytes.HasPrefix(data, []byte(pngSignature)):
		return "PNG"
	case len(data) >= 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP":
		return "WebP"
	case len(data) >= 12 && string(data[4:12]) == "ftypavif":
		return "AVIF"
	}
	return ""
}

// Inspect reports on the bytes of a picture file. Format must know them.
func Inspect(data []byte) Report {
	r := Report{Format: Format(data)}
	switch r.Format {
	case "JPEG":
		r.jpeg(data)
	case "PNG":
		r.png(data)
	case "WebP":
		r.webp(data)
	case "AVIF":
		r.avif(data)
	default:
		r.fault("it is not a picture")
		return r
	}
	r.secondReader(data)
	return r
}
