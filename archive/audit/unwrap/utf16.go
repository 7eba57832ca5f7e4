package unwrap

import (
	"encoding/binary"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

// UTF16 gives the texts of six letters or more that data holds in UTF-16 of
// either byte order at any offset, as UTF-8. Only scripts below U+0800 (Latin,
// Greek, Cyrillic, Hebrew, Arabic and their neighbours) are told from chance.
func UTF16(data []byte) []Blob {
	var out []Blob
	for _, order := range []struct {
		binary.ByteOrder
		form string
	}{{binary.LittleEndian, "in UTF-16"}, {binary.BigEndian, "in UTF-16 (big-endian)"}} {
		for offset := range 2 {
			out = append(out, utf16Runs(data, offset, order, order.form)...)
		}
	}
	return out
}

func utf16Runs(data []byte, offset int, order binary.ByteOrder, form string) []Blob {
	var out []Blob
	var run []uint16
	start, ascii := 0, 0
	flush := func() {
		// Half of it must be plain ASCII: two letters of any text make a code
		// unit, too.
		if len(run) >= 6 && 2*ascii >= len(run) {
			var text []byte
			for _, r := range utf16.Decode(run) {
				text = utf8.AppendRune(text, r)
			}
			out = append(out, Blob{start, text, form})
		}
		run, ascii = run[:0], 0
	}
	for i := offset; i+1 < len(data); i += 2 {
		unit := order.Uint16(data[i:])
		r := rune(unit)
		if unit == 0 || unit >= 0x0800 && !(unit >= 0x2000 && unit < 0x2070) || r < 0x80 && !unicode.IsPrint(r) && r != '\n' && r != '\r' && r != '\t' {
			flush()
			continue
		}
		if len(run) == 0 {
			start = i
		}
		if unit < 0x80 {
			ascii++
		}
		run = append(run, unit)
	}
	flush()
	return out
}

// Strings gives the runs of six or more printable characters in data that is not
// text.
func Strings(data []byte) []Blob {
	var out []Blob
	start := -1
	for i := 0; i <= len(data); {
		r, size := rune(0), 1
		if i < len(data) {
			r, size = utf8.DecodeRune(data[i:])
		}
		printable := i < len(data) && r != utf8.RuneError && (unicode.IsPrint(r) || r == '\t' || r == '\n' || r == '\r')
		if printable && start < 0 {
			start = i
		}
		if !printable && start >= 0 {
			if i-start >= 6 {
				out = append(out, Blob{start, data[start:i], ""})
			}
			start = -1
		}
		i += size
	}
	return out
}
