package imagefile

import (
	"bytes"
	"encoding/binary"
)

// Markers of a JPEG file (ITU-T T.81, table B.1).
const (
	sof0  = 0xC0
	sof2  = 0xC2
	dht   = 0xC4
	rst0  = 0xD0
	rst7  = 0xD7
	soi   = 0xD8
	eoi   = 0xD9
	sos   = 0xDA
	dqt   = 0xDB
	dri   = 0xDD
	app0  = 0xE0
	app1  = 0xE1
	app14 = 0xEE
	app15 = 0xEF
	com   = 0xFE
)

const xmpHeading = "http://ns.adobe.com/xap/1.0/\x00"

// jpeg walks the segments. What a picture needs to be decoded is allowed, and one
// XMP packet.
func (r *Report) jpeg(data []byte) {
	i := 2
	packets := 0
	for {
		marker, at := nextMarker(data, i)
		if marker == 0 {
			r.fault("it is cut off: there is no end of image")
			return
		}
		if skipped := data[i : at-1]; len(bytes.Trim(skipped, "\xff")) > 0 {
			r.fault("%d bytes lie between its segments", len(skipped))
			r.Text = append(r.Text, skipped)
		}
		i = at + 1
		if marker == eoi {
			r.behind(data[i:])
			return
		}
		if marker == soi || rst0 <= marker && marker <= rst7 {
			r.fault("a marker %02X stands where none belongs", marker)
			continue
		}
		if i+2 > len(data) {
			continue
		}
		size := int(binary.BigEndian.Uint16(data[i:]))
		if size < 2 || i+size > len(data) {
			r.fault("a segment is cut off")
			return
		}
		body := data[i+2 : i+size]
		i += size
		r.segment(marker, body, &packets)
		if marker == sos {
			i = afterScan(data, i)
		}
	}
}

// segment judges one segment.
func (r *Report) segment(marker byte, body []byte, packets *int) {
	switch marker {
	case sof0, sof0 + 1, sof2, dht, sos, dqt, dri:
		return
	}
	r.Text = append(r.Text, body)
	switch {
	case marker == app0 && len(body) == 14 && bytes.HasPrefix(body, []byte("JFIF\x00")) && body[12] == 0 && body[13] == 0:
	case marker == app0:
		r.fault("it holds a JFIF preview or an unknown APP0 segment")
	case marker == app14 && len(body) == 12 && bytes.HasPrefix(body, []byte("Adobe")):
	case marker == app1 && bytes.HasPrefix(body, []byte(xmpHeading)):
		if *packets++; *packets > 1 {
			r.fault("it holds more than one XMP packet")
		}
		r.xmp(body[len(xmpHeading):])
	case marker == app1 && bytes.HasPrefix(body, []byte("Exif\x00")):
		r.fault("it holds EXIF data (%d bytes)", len(body))
	case marker == com:
		r.fault("it holds a comment (%d bytes)", len(body))
	case app0 <= marker && marker <= app15:
		r.fault("it holds an APP%d segment (%.12q)", marker-app0, body)
	default:
		r.fault("it holds a segment of an unknown kind (%02X)", marker)
	}
}

// nextMarker finds the next marker from i on: its value, and where that stands.
func nextMarker(data []byte, i int) (byte, int) {
	for ; i+1 < len(data); i++ {
		if data[i] == 0xFF && data[i+1] != 0x00 && data[i+1] != 0xFF {
			return data[i+1], i + 1
		}
	}
	return 0, len(data)
}

// afterScan gives the place of the marker that ends the coded data from i on.
func afterScan(data []byte, i int) int {
	for ; i+1 < len(data); i++ {
		if data[i] == 0xFF && data[i+1] != 0x00 && (data[i+1] < rst0 || data[i+1] > rst7) {
			return i
		}
	}
	return len(data)
}

// behind reports what lies behind the end of a picture.
func (r *Report) behind(rest []byte) {
	if len(rest) > 0 {
		r.fault("%d bytes lie behind its end", len(rest))
		r.Text = append(r.Text, rest)
	}
}
