// Package plot works out the drawings of the bench book: numbers in, shapes
// with their places out. A layout writes the shapes as SVG and a style sheet
// gives them their look, so that a drawing follows the colours of its page and
// needs no script. The package knows no plate and decides nothing: every mark
// stands for a number it was given.
//
// Every drawing is 400 units wide, a little wider than a phone's page, so that
// its letters stay legible there.
package plot

import (
	"fmt"
	"math"
	"strings"
)

// Width of every drawing.
const Width = 400.0

// Plot is a drawing. Title and Desc are its text alternative.
type Plot struct {
	Width  float64 `json:"width"`
	Height float64 `json:"height"`
	Title  string  `json:"title"`
	Desc   string  `json:"desc"`
	Shapes []Shape `json:"shapes"`
}

// Shape is one mark: a line, path, circle, rect or text. Class is for the style
// sheet.
type Shape struct {
	Kind   string  `json:"kind"`
	Class  string  `json:"class"`
	X      float64 `json:"x"`
	Y      float64 `json:"y"`
	X2     float64 `json:"x2,omitempty"` // of a line; the width of a rect
	Y2     float64 `json:"y2,omitempty"` // of a line; the height of a rect
	R      float64 `json:"r,omitempty"`
	D      string  `json:"d,omitempty"` // of a path
	Text   string  `json:"text,omitempty"`
	Anchor string  `json:"anchor,omitempty"` // start, middle or end
}

// tenth keeps the text of a drawing short; a tenth of a unit is not seen.
func tenth(v float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return math.Round(v*10) / 10
}

func (p *Plot) line(class string, x, y, x2, y2 float64) {
	p.Shapes = append(p.Shapes, Shape{Kind: "line", Class: class, X: tenth(x), Y: tenth(y), X2: tenth(x2), Y2: tenth(y2)})
}

func (p *Plot) circle(class string, x, y, r float64) {
	p.Shapes = append(p.Shapes, Shape{Kind: "circle", Class: class, X: tenth(x), Y: tenth(y), R: r})
}

func (p *Plot) text(class string, x, y float64, anchor, text string) {
	p.Shapes = append(p.Shapes, Shape{Kind: "text", Class: class, X: tenth(x), Y: tenth(y), Anchor: anchor, Text: text})
}

// diamond is a mark that differs from a dot in shape, not in colour alone.
func (p *Plot) diamond(class string, x, y, r float64) {
	p.path(class, [][2]float64{{x, y - r}, {x + r, y}, {x, y + r}, {x - r, y}}, true)
}

func (p *Plot) path(class string, at [][2]float64, closed bool) {
	var b strings.Builder
	for i, q := range at {
		c := "L"
		if i == 0 {
			c = "M"
		}
		fmt.Fprintf(&b, "%s%g %g", c, tenth(q[0]), tenth(q[1]))
	}
	if closed {
		b.WriteString("Z")
	}
	p.Shapes = append(p.Shapes, Shape{Kind: "path", Class: class, D: b.String()})
}
