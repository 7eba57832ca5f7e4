package sheet

import (
	"bytes"
	"fmt"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// Encoding is how a table's text is written in bytes.
type Encoding string

const (
	UTF8        Encoding = "utf-8"
	UTF16LE     Encoding = "utf-16le"
	UTF16BE     Encoding = "utf-16be"
	Windows1252 Encoding = "windows-1252" // Latin-1 is a part of it
)

// Encodings are those that are read.
var Encodings = []Encoding{UTF8, UTF16LE, UTF16BE, Windows1252}

// detectEncoding goes by the byte-order mark, then by where zero bytes stand
// (UTF-16 of Western text), then by whether the bytes are UTF-8 at all.
func detectEncoding(data []byte) Encoding {
	switch {
	case bytes.HasPrefix(data, []byte("\xEF\xBB\xBF")):
		return UTF8
	case bytes.HasPrefix(data, []byte("\xFF\xFE")):
		return UTF16LE
	case bytes.HasPrefix(data, []byte("\xFE\xFF")):
		return UTF16BE
	}
	head := data[:min(len(data), 4096)]
	even, odd := 0, 0
	for i, c := range head {
		switch {
		case c != 0:
		case i%2 == 0:
			even++
		default:
			odd++
		}
	}
	switch half := len(head) / 2; {
	case odd > half*6/10 && even < half/10:
		return UTF16LE
	case even > half*6/10 && odd < half/10:
		return UTF16BE
	case utf8.Valid(data):
		return UTF8
	}
	return Windows1252
}

func decode(data []byte, enc Encoding) (string, Encoding, error) {
	if enc == "" {
		enc = detectEncoding(data)
	}
	var d *encoding.Decoder
	switch enc {
	case UTF8:
		if !utf8.Valid(data) {
			return "", enc, fmt.Errorf("the text is not UTF-8; accepted encodings: %v", Encodings)
		}
		return string(bytes.TrimPrefix(data, []byte("\xEF\xBB\xBF"))), enc, nil
	case UTF16LE:
		d = unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewDecoder()
	case UTF16BE:
		d = unicode.UTF16(unicode.BigEndian, unicode.UseBOM).NewDecoder()
	case Windows1252:
		d = charmap.Windows1252.NewDecoder()
	default:
		return "", enc, fmt.Errorf("encoding is “%s”; accepted: %v", enc, Encodings)
	}
	out, err := d.Bytes(data)
	if err != nil {
		return "", enc, fmt.Errorf("reading the text as %s: %w", enc, err)
	}
	return string(out), enc, nil
}
