package plot

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Plot is a picture with all that stands for it.
type Plot struct {
	Title string
	Alt   string // what the picture shows, in a sentence or two
	SVG   string
	Head  []string // of the table
	Rows  [][]string
}

// Colours that reach 3:1 against white and against near-black; ink is 4.5:1 on
// white and over 4:1 on near-black, for pages that do not set their own.
const (
	ink    = "#767676"
	blue   = "#2f7fd1"
	orange = "#c0661b"
	green  = "#3f8f5f"
	rose   = "#c2527f"
)

const width = 640.0

// canvas collects the marks of one picture.
type canvas struct {
	height float64
	body   strings.Builder
}

func (c *canvas) add(format string, args ...any) { fmt.Fprintf(&c.body, format+"\n", args...) }

// n is a coordinate to a tenth of a unit.
func n(v float64) string {
	return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64)
}

func (c *canvas) line(x1, y1, x2, y2 float64, colour string, extra string) {
	c.add(`<line x1="%s" y1="%s" x2="%s" y2="%s" stroke="%s"%s/>`, n(x1), n(y1), n(x2), n(y2), colour, extra)
}

// text sets a word; anchor is start, middle or end.
func (c *canvas) text(x, y float64, anchor, s string) {
	c.add(`<text x="%s" y="%s" text-anchor="%s">%s</text>`, n(x), n(y), anchor, escape(s))
}

func (c *canvas) path(points [][2]float64, colour, extra string) {
	if len(points) == 0 {
		return
	}
	c.add(`<polyline points="%s" fill="none" stroke="%s" stroke-width="2"%s/>`, join(points), colour, extra)
}

func (c *canvas) area(points [][2]float64, colour string) {
	if len(points) == 0 {
		return
	}
	c.add(`<polygon points="%s" fill="%s" fill-opacity="0.2"/>`, join(points), colour)
}

func join(points [][2]float64) string {
	parts := make([]string, len(points))
	for i, p := range points {
		parts[i] = n(p[0]) + "," + n(p[1])
	}
	return strings.Join(parts, " ")
}

// mark draws one of four shapes about a point, with what it stands for as its
// own title.
func (c *canvas) mark(shape int, x, y float64, colour, title string) {
	t := "<title>" + escape(title) + "</title>"
	switch shape % 4 {
	case 0:
		c.add(`<circle cx="%s" cy="%s" r="4.5" fill="%s">%s</circle>`, n(x), n(y), colour, t)
	case 1:
		c.add(`<rect x="%s" y="%s" width="8" height="8" fill="%s">%s</rect>`, n(x-4), n(y-4), colour, t)
	case 2:
		c.add(`<polygon points="%s" fill="%s">%s</polygon>`, join([][2]float64{{x, y - 5.5}, {x + 5.5, y + 4}, {x - 5.5, y + 4}}), colour, t)
	default:
		c.diamond(x, y, colour, title)
	}
}

// diamond is hollow.
func (c *canvas) diamond(x, y float64, colour, title string) {
	c.add(`<polygon points="%s" fill="none" stroke="%s" stroke-width="1.5"><title>%s</title></polygon>`,
		join([][2]float64{{x, y - 5.5}, {x + 5.5, y}, {x, y + 5.5}, {x - 5.5, y}}), colour, escape(title))
}

// svg closes the picture.
func (c *canvas) svg(title, description string) string {
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" role="img" color="%s" fill="currentColor" font-family="sans-serif" font-size="13">
<title>%s</title>
<desc>%s</desc>
%s</svg>
`, n(width), n(c.height), ink, escape(title), escape(description), c.body.String())
}

var escaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;")

// escape makes a text safe in SVG, leaving out what XML has no place for.
func escape(s string) string {
	s = strings.Map(func(r rune) rune {
		if r == '\ufffd' || r < ' ' && r != '\t' && r != '\n' {
			return -1
		}
		return r
	}, s)
	return escaper.Replace(strings.ToValidUTF8(s, ""))
}

// shorten cuts a name to fit a margin.
func shorten(s string, most int) string {
	r := []rune(s)
	if len(r) <= most {
		return s
	}
	return string(r[:most-1]) + "…"
}

// scale maps values onto a stretch of the picture.
type scale struct{ from, to, at, end float64 }

func (s scale) of(v float64) float64 {
	if s.to == s.from {
		return (s.at + s.end) / 2
	}
	return s.at + (v-s.from)/(s.to-s.from)*(s.end-s.at)
}

// grid draws a vertical or horizontal line with its label at each value.
func (c *canvas) columns(x scale, top, bottom float64, values []float64, label func(float64) string) {
	for _, v := range values {
		c.line(x.of(v), top, x.of(v), bottom, "currentColor", ` stroke-opacity="0.3"`)
		c.text(x.of(v), bottom+18, "middle", label(v))
	}
}

func (c *canvas) lines(y scale, left, right float64, values []float64, label func(float64) string) {
	for _, v := range values {
		c.line(left, y.of(v), right, y.of(v), "currentColor", ` stroke-opacity="0.3"`)
		c.text(left-8, y.of(v)+4, "end", label(v))
	}
}

func percent(v float64) string { return fmt.Sprintf("%.0f %%", 100*v) }
