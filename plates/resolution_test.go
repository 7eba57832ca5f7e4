package plates

import (
	"bytes"
	"encoding/binary"
	"testing"
)

// resolution reads pixels per inch where the two kinds of scan keep it: the JFIF density of a JPEG (ITU-T T.871, 10.1)
// or tag 282 of a TIFF (TIFF 6.0, section 8).
func resolution(t *testing.T, name string, b []byte) float64 {
	t.Helper()
	if bytes.HasPrefix(b, []byte("\xFF\xD8\xFF\xE0")) && bytes.Equal(b[6:11], []byte("JFIF\x00")) {
		if b[13] != 1 {
			t.Fatalf("%s: density unit %d, want 1 (dots per inch)", name, b[13])
		}
		return float64(binary.BigEndian.Uint16(b[14:]))
	}
	le := binary.LittleEndian
	if !bytes.HasPrefix(b, []byte("II\x2A\x00")) {
		t.Fatalf("%s: neither JFIF nor little-endian TIFF", name)
	}
	dir := b[le.Uint32(b[4:]):]
	for i := range int(le.Uint16(dir)) {
		e := dir[2+12*i:]
		if le.Uint16(e) == 282 {
			at := b[le.Uint32(e[8:]):]
			return float64(le.Uint32(at)) / float64(le.Uint32(at[4:]))
		}
	}
	t.Fatalf("%s: no resolution", name)
	return 0
}
