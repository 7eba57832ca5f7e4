package benchbook

import (
	"fmt"
	"strings"

	"github.com/boombuler/barcode/qr"
)

// A QR code (ISO/IEC 18004) of level M, which bears 15 % of damage; the encoder
// takes byte mode for a link with small letters.
const (
	quietZone    = 4   // modules of white around it, as the standard asks
	moduleMM     = 0.5 // eight dots of a 400 dpi printer, four of a 200 dpi one
	mostLinkSize = 500 // bytes: beyond it a code is larger than its card
)

// qrView is a code as modules: one path over a square of Size modules, the
// quiet zone among them. MM is its side in print.
type qrView struct {
	Size int     `json:"size"`
	MM   float64 `json:"mm"`
	Path string  `json:"path"`
}

// newQR makes the code of a text. boombuler/barcode only gives the matrix: it
// knows no quiet zone and draws no SVG.
func newQR(text string) (*qrView, error) {
	if len(text) > mostLinkSize {
		return nil, fmt.Errorf("a QR code of %d bytes would not fit its card; accepted are %d", len(text), mostLinkSize)
	}
	code, err := qr.Encode(text, qr.M, qr.Unicode)
	if err != nil {
		return nil, fmt.Errorf("making a QR code: %w", err)
	}
	side := code.Bounds().Dx()
	var b strings.Builder
	for y := range side {
		for x := 0; x < side; {
			if !dark(code.At(x, y).RGBA()) {
				x++
				continue
			}
			run := 1
			for x+run < side && dark(code.At(x+run, y).RGBA()) {
				run++
			}
			fmt.Fprintf(&b, "M%d %dh%dv1h-%dz", x+quietZone, y+quietZone, run, run)
			x += run
		}
	}
	size := side + 2*quietZone
	return &qrView{Size: size, MM: float64(size) * moduleMM, Path: b.String()}, nil
}

func dark(r, _, _, _ uint32) bool { return r < 0x8000 }
