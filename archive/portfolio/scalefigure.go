package portfolio

import "math"

// The hand of the size figure, in millimetres: breadth with the thumb, and
// length from the wrist to the tip of the middle finger. A grown-up's hand is
// 17 to 20 cm long.
const (
	handBreadthMM = 107
	handLengthMM  = 190
	figureGapMM   = 22
	rulerMM       = 20 // room under the plate for ticks and figures
	figureEdgeMM  = 6
)

// tick is one mark of the ruler: its place and length in millimetres and, for
// each fifth, its number in centimetres.
type tick struct {
	At     float64 `json:"at"`
	Length float64 `json:"length"`
	Label  string  `json:"label,omitempty"`
}

// scaleFigure is the drawing of a plate beside a hand, in millimetres. The
// plate stands on the ruler, whose zero is at the plate's left edge.
type scaleFigure struct {
	Width    float64 `json:"width"`
	Height   float64 `json:"height"`
	Floor    float64 `json:"floor"`
	HandX    float64 `json:"handx"`
	HandY    float64 `json:"handy"`
	PlateX   float64 `json:"platex"`
	PlateY   float64 `json:"platey"`
	PlateW   float64 `json:"platew"`
	PlateH   float64 `json:"plateh"`
	RulerEnd float64 `json:"rulerend"`
	LabelY   float64 `json:"labely"`
	Ticks    []tick  `json:"ticks"`
}

func newScaleFigure(widthMM, heightMM float64, w words) scaleFigure {
	f := scaleFigure{PlateW: widthMM, PlateH: heightMM, HandX: figureEdgeMM}
	f.Floor = figureEdgeMM + math.Max(handLengthMM, heightMM)
	f.HandY = f.Floor - handLengthMM
	f.PlateX = figureEdgeMM + handBreadthMM + figureGapMM
	f.PlateY = f.Floor - heightMM
	centimetres := int(math.Max(5, math.Ceil(widthMM/10)))
	f.RulerEnd = f.PlateX + float64(10*centimetres)
	f.Width, f.Height, f.LabelY = f.RulerEnd+2*figureEdgeMM, f.Floor+rulerMM, f.Floor+17
	for cm := 0; cm <= centimetres; cm++ {
		t := tick{At: f.PlateX + float64(10*cm), Length: 4}
		if cm%5 == 0 {
			t.Length, t.Label = 7, w.number(float64(cm), 0)
		}
		f.Ticks = append(f.Ticks, t)
	}
	return f
}
