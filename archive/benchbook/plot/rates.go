package plot

import "fmt"

// Rate is a share with its interval, 0 to 1. Adjusted, if not nil, is what a
// model makes of it. Few marks a rate that tells too little.
type Rate struct {
	Label    string
	Note     string // such as "6 of 7"
	Rate     float64
	Lo, Hi   float64
	Adjusted *float64
	Few      bool
}

const (
	rateRow  = 34.0
	rateLeft = 8.0
)

// Rates draws a row for each rate: the dot is the rate, the line its interval,
// a diamond the adjusted rate. A rate that tells too little is hollow and its
// line dashed.
func Rates(title string, rates []Rate) Plot {
	p := Plot{Width: Width, Height: rateRow*float64(len(rates)) + 30, Title: title}
	x := scale{lo: 0, hi: 1, a: rateLeft, b: Width - rateLeft}
	foot := rateRow * float64(len(rates))
	for _, v := range x.ticks(5) {
		p.line("grid", x.at(v), 4, x.at(v), foot+4)
		anchor := "middle"
		switch v {
		case 0:
			anchor = "start"
		case 1:
			anchor = "end"
		}
		p.text("tick", x.at(v), foot+20, anchor, fmt.Sprintf("%.0f %%", 100*v))
	}
	for i, r := range rates {
		y := rateRow*float64(i) + 26
		class := ""
		if r.Few {
			class = " few"
		}
		p.text("label", rateLeft, y-10, "start", r.Label)
		p.text("note", Width-rateLeft, y-10, "end", r.Note)
		p.line("whisker"+class, x.clamped(r.Lo), y, x.clamped(r.Hi), y)
		if r.Adjusted != nil {
			p.diamond("adjusted", x.clamped(*r.Adjusted), y, 5)
		}
		p.circle("dot"+class, x.clamped(r.Rate), y, 4.5)
	}
	p.Desc = fmt.Sprintf("%d rows; each a rate as a dot with its 95 %% interval as a line, from 0 to 100 %%. The table beside it holds the numbers.", len(rates))
	return p
}
