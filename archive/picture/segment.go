package picture

import (
	"errors"
	"io"
)

const xmpHeading = "http://ns.adobe.com/xap/1.0/\x00"

// withXMP puts an XMP packet into a JPEG as its first segment, after the start
// of image (XMP specification part 3, section 1.1.3). coded must come from an
// encoder that writes no application segments.
func withXMP(w io.Writer, coded, packet []byte) error {
	if len(coded) < 4 || coded[0] != 0xFF || coded[1] != 0xD8 {
		return errors.New("picture: the encoder did not write a JPEG")
	}
	n := 2 + len(xmpHeading) + len(packet)
	head := append([]byte{0xFF, 0xD8, 0xFF, 0xE1, byte(n >> 8), byte(n)}, xmpHeading...)
	for _, part := range [][]byte{head, packet, coded[2:]} {
		if _, err := w.Write(part); err != nil {
			return err
		}
	}
	return nil
}
