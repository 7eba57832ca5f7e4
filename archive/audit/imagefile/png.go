package imagefile

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
)

const pngSignature = "\x89PNG\r\n\x1a\n"

// pngAllowed are the chunks that say how pixels are to be shown (PNG
// specification, third edition, section 11).
var pngAllowed = map[string]bool{
	"IHDR": true, "PLTE": true, "IDAT": true, "IEND": true, "tRNS": true, "sRGB": true, "gAMA": true, "cHRM": true, "pHYs": true, "sBIT": true, "bKGD": true,
}

// pngXMP begins the text chunk that carries an XMP packet, uncompressed.
const pngXMP = "XML:com.adobe.xmp\x00\x00\x00\x00\x00"

func (r *Report) png(data []byte) {
	packets := 0
	for i := len(pngSignature); ; {
		if i+12 > len(data) {
			r.fault("it is cut off")
			return
		}
		size := int64(binary.BigEndian.Uint32(data[i:]))
		if size > int64(len(data)-i-12) {
			r.fault("a chunk is cut off")
			return
		}
		kind := string(data[i+4 : i+8])
		body := data[i+8 : i+8+int(size)]
		if crc32.ChecksumIEEE(data[i+4:i+8+int(size)]) != binary.BigEndian.Uint32(data[i+8+int(size):]) {
			r.fault("the checksum of a chunk %q is wrong", kind)
		}
		i += 12 + int(size)
		switch {
		case kind == "IEND":
			if size > 0 {
				r.fault("its last chunk is not empty")
				r.Text = append(r.Text, body)
			}
			r.behind(data[i:])
			return
		case kind == "iTXt" && bytes.HasPrefix(body, []byte(pngXMP)):
			r.Text = append(r.Text, body)
			if packets++; packets > 1 {
				r.fault("it holds more than one XMP packet")
			}
			r.xmp(body[len(pngXMP):])
		case !pngAllowed[kind]:
			r.fault("it holds a chunk %q (%d bytes)", kind, size)
			r.Text = append(r.Text, body)
		}
	}
}
