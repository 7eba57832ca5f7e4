package plot

import (
	"fmt"
	"math"

	"sandarac/archive/analysis"
)

var quarters = []float64{0, 0.25, 0.5, 0.75, 1}

// Keepers draws each batch's keeper rate as a dot on its 95 % interval, with
// the rate at equal light and age as a hollow diamond beside it.
func Keepers(points []analysis.RatePoint) Plot {
	const left, right, top, row = 190.0, 620.0, 28.0, 26.0
	p := Plot{Title: "Keepers by collodion batch", Head: []string{"Batch", "Kept", "Rate", "95 %", "Equal terms"}}
	c := &canvas{height: top + row*float64(len(points)) + 34}
	x := scale{0, 1, left, right}
	bottom := top + row*float64(len(points))
	c.columns(x, top-10, bottom, quarters, percent)
	var adjusted, few int
	for i, k := range points {
		y := top + row*(float64(i)+0.5)
		faint := ""
		if k.TooFew {
			faint = ` stroke-dasharray="3 3"`
			few++
		}
		said := fmt.Sprintf("%s: %d of %d, %s", k.Label, k.Keepers, k.Plates, interval(k.Interval))
		c.text(left-12, y+4, "end", shorten(k.Label, 24))
		c.line(x.of(k.Interval[0]), y, x.of(k.Interval[1]), y, blue, ` stroke-width="3"`+faint)
		c.mark(0, x.of(k.Rate), y, blue, said)
		equal := "–"
		if k.Adjusted != nil {
			adjusted++
			equal = percent(*k.Adjusted)
			c.diamond(x.of(*k.Adjusted), y, orange, k.Label+" at equal light and age: "+equal)
		}
		rate := percent(k.Rate)
		if k.TooFew {
			rate = "too few to tell"
		}
		p.Rows = append(p.Rows, []string{k.Label, fmt.Sprintf("%d of %d", k.Keepers, k.Plates), rate, interval(k.Interval), equal})
	}
	p.Alt = fmt.Sprintf("Keeper rates of %d collodion batches with 95 %% intervals. Wide intervals mean few plates: where two overlap widely, nothing tells the batches apart.", len(points))
	if few > 0 {
		p.Alt += fmt.Sprintf(" Dashed: %d with too few plates to tell.", few)
	}
	if adjusted > 0 {
		p.Alt += " Hollow diamonds show the rate expected at equal light and age."
	}
	p.SVG = c.svg(p.Title, p.Alt)
	return p
}

// interval is rounded outward.
func interval(l analysis.Limits) string {
	return fmt.Sprintf("%.0f–%.0f %%", math.Floor(100*l[0]+1e-9), math.Ceil(100*l[1]-1e-9))
}

// Months draws the keeper rate of each month within its three-sigma limits.
func Months(months []analysis.MonthPoint) Plot {
	const left, right, top, bottom = 60.0, 620.0, 20.0, 240.0
	p := Plot{Title: "Keepers by month", Head: []string{"Month", "Kept", "Rate", "Usual range", ""}}
	c := &canvas{height: 290}
	y := scale{0, 1, bottom, top}
	x := scale{-0.5, float64(len(months)) - 0.5, left, right}
	c.lines(y, left, right, quarters, percent)
	half := (right - left) / math.Max(1, float64(len(months))) / 2
	every := 1 + len(months)/12
	var path [][2]float64
	outside := 0
	for i, m := range months {
		at := x.of(float64(i))
		c.area([][2]float64{{at - half, y.of(m.Limits[0])}, {at + half, y.of(m.Limits[0])}, {at + half, y.of(m.Limits[1])}, {at - half, y.of(m.Limits[1])}}, green)
		path = append(path, [2]float64{at, y.of(m.Rate)})
		if i%every == 0 {
			c.text(at, bottom+18, "middle", m.Month)
		}
	}
	c.path(path, blue, "")
	for i, m := range months {
		mark, shape, colour := "", 0, blue
		if m.Outside {
			outside++
			mark, shape, colour = "outside", 2, orange
		}
		l := interval(m.Limits)
		c.mark(shape, x.of(float64(i)), y.of(m.Rate), colour, fmt.Sprintf("%s: %d of %d, usual range %s", m.Month, m.Keepers, m.Plates, l))
		p.Rows = append(p.Rows, []string{m.Month, fmt.Sprintf("%d of %d", m.Keepers, m.Plates), percent(m.Rate), l, mark})
	}
	p.Alt = fmt.Sprintf("Keeper rate of %d months; the shaded range is where a month falls by chance alone, wider where plates are few.", len(months))
	if outside > 0 {
		p.Alt += fmt.Sprintf(" Outside it, as triangles: %d.", outside)
	}
	p.SVG = c.svg(p.Title, p.Alt)
	return p
}
