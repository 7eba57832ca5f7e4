package bench

import (
	"strings"

	"github.com/boombuler/barcode/qr"
)

// TerminalQR draws a QR code (ISO/IEC 18004, level M, byte mode) of half blocks,
// two modules to a character, with the quiet zone of four modules that the
// standard asks for. It is drawn dark on light in the terminal's own colours set
// by the escape, so that it can be read from dark screens too.
func TerminalQR(text string) (string, error) {
	code, err := qr.Encode(text, qr.M, qr.Unicode)
	if err != nil {
		return "", err
	}
	const quiet = 4
	size := code.Bounds().Dx()
	dark := func(x, y int) bool {
		if x < 0 || y < 0 || x >= size || y >= size {
			return false
		}
		r, _, _, _ := code.At(x, y).RGBA()
		return r < 0x8000
	}
	var b strings.Builder
	for y := -quiet; y < size+quiet; y += 2 {
		b.WriteString("\x1b[30;107m")
		for x := -quiet; x < size+quiet; x++ {
			switch top, bottom := dark(x, y), dark(x, y+1); {
			case top && bottom:
				b.WriteString("█")
			case top:
				b.WriteString("▀")
			case bottom:
				b.WriteString("▄")
			default:
				b.WriteByte(' ')
			}
		}
		b.WriteString("\x1b[0m\n")
	}
	return b.String(), nil
}
