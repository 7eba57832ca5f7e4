package imagefile

import "encoding/binary"

// webp walks the chunks of a RIFF file (RFC 9649, section 2).
func (r *Report) webp(data []byte) {
	end := int64(binary.LittleEndian.Uint32(data[4:])) + 8
	if end > int64(len(data)) {
		r.fault("it is cut off")
		return
	}
	r.behind(data[end:])
	packets := 0
	for i := 12; i < int(end); {
		if i+8 > int(end) {
			r.fault("%d bytes are left over", int(end)-i)
			r.Text = append(r.Text, data[i:end])
			return
		}
		kind := string(data[i : i+4])
		size := int64(binary.LittleEndian.Uint32(data[i+4:]))
		if size > end-int64(i)-8 {
			r.fault("a chunk is cut off")
			return
		}
		body := data[i+8 : i+8+int(size)]
		i += 8 + int(size)
		if size%2 == 1 && i < int(end) {
			if data[i] != 0 {
				r.fault("the padding of a chunk is not empty")
			}
			i++
		}
		switch kind {
		case "VP8 ", "VP8L", "VP8X", "ALPH":
		case "XMP ":
			r.Text = append(r.Text, body)
			if packets++; packets > 1 {
				r.fault("it holds more than one XMP packet")
			}
			r.xmp(body)
		default:
			r.fault("it holds a chunk %q (%d bytes)", kind, size)
			r.Text = append(r.Text, body)
		}
	}
}
