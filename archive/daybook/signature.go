package daybook

import (
	"fmt"
	"html"
	"math"
	"strings"
)

// Signature is one that was typed, or drawn with a finger.
type Signature struct {
	Typed   string        `json:"typed,omitempty"`
	Strokes [][][]float64 `json:"strokes,omitempty"` // each a list of x, y
	Width   float64       `json:"width,omitempty"`   // of the field it was drawn in
	Height  float64       `json:"height,omitempty"`
}

// Bounds of a drawn signature.
const (
	strokesMost = 400
	pointsMost  = 20_000
	fieldMost   = 4000.0
)

func (s Signature) empty() bool { return strings.TrimSpace(s.Typed) == "" && len(s.Strokes) == 0 }

// check refuses what is no signature: endless ones, points outside the field.
func (s Signature) check() error {
	if typed, err := cleanText("signature", s.Typed); err != nil || len([]rune(typed)) > 200 {
		return refuse("signature", s.Typed, "a name of at most 200 letters")
	}
	if len(s.Strokes) == 0 {
		return nil
	}
	bad := func(what string) error {
		return refuse("signature", what, "lines drawn inside the field for it")
	}
	if !(s.Width > 0 && s.Width <= fieldMost && s.Height > 0 && s.Height <= fieldMost) || len(s.Strokes) > strokesMost {
		return bad("a drawing of no size")
	}
	points := 0
	for _, stroke := range s.Strokes {
		points += len(stroke)
		if len(stroke) == 0 || points > pointsMost {
			return bad("a drawing that does not end")
		}
		for _, p := range stroke {
			if len(p) != 2 || math.IsNaN(p[0]+p[1]) || p[0] < -10 || p[0] > s.Width+10 || p[1] < -10 || p[1] > s.Height+10 {
				return bad("a point outside the field")
			}
		}
	}
	return nil
}

// file writes the signature with the words that were read: a drawing as SVG made
// here of its points, a typed one as text.
func (s Signature) file(statement []string, p Person) (data []byte, ending string) {
	who := p.Name
	if p.Guardian != "" {
		who = p.Guardian + " for " + p.Name
	}
	if len(s.Strokes) == 0 {
		return []byte(strings.Join(statement, "\n\n") + "\n\nTyped signature of " + who + ":\n" + strings.TrimSpace(s.Typed) + "\n"), ".txt"
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.0f %.0f" width="%.0f" height="%.0f">`+"\n", s.Width, s.Height, s.Width, s.Height)
	fmt.Fprintf(&b, "<title>%s</title>\n<desc>%s</desc>\n", html.EscapeString("Signature of "+who), html.EscapeString(strings.Join(statement, "\n\n")))
	b.WriteString(`<g fill="none" stroke="#000" stroke-width="2.5" stroke-linecap="round" stroke-linejoin="round">` + "\n")
	for _, stroke := range s.Strokes {
		b.WriteString(`<polyline points="`)
		for i, p := range stroke {
			if i > 0 {
				b.WriteByte(' ')
			}
			fmt.Fprintf(&b, "%.1f,%.1f", p[0], p[1])
		}
		if len(stroke) == 1 { // a dot
			fmt.Fprintf(&b, " %.1f,%.1f", stroke[0][0]+0.1, stroke[0][1])
		}
		b.WriteString("\"/>\n")
	}
	b.WriteString("</g>\n</svg>\n")
	return []byte(b.String()), ".svg"
}
