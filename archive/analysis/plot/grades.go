package plot

import (
	"fmt"

	"sandarac/archive/analysis"
)

// Grades draws the chance that a plate is judged under, right or over, as its
// exposure moves away from the aim of one kind of light.
func Grades(g analysis.GradeCurve) Plot {
	const left, right, top, bottom = 60.0, 540.0, 20.0, 250.0
	p := Plot{Title: "Under, right or over: " + g.Light, Head: []string{"Stops from the aim", "Under", "Right", "Over"}}
	c := &canvas{height: 300}
	x, y := scale{-2, 2, left, right}, scale{0, 1, bottom, top}
	c.lines(y, left, right, quarters, percent)
	c.columns(x, top, bottom, []float64{-2, -1, 0, 1, 2}, func(v float64) string {
		if v == 0 {
			return fmt.Sprintf("EI %.2g", g.AimEI)
		}
		return fmt.Sprintf("%+.0f", v)
	})
	c.text((left+right)/2, bottom+40, "middle", "stops of exposure from the aim")
	var under, rights, over [][2]float64
	for i, q := range g.Points {
		at := x.of(q.Stops)
		under = append(under, [2]float64{at, y.of(q.Under)})
		rights = append(rights, [2]float64{at, y.of(q.Right)})
		over = append(over, [2]float64{at, y.of(q.Over)})
		if i%4 == 0 {
			p.Rows = append(p.Rows, []string{fmt.Sprintf("%+.1f", q.Stops), percent(q.Under), percent(q.Right), percent(q.Over)})
		}
	}
	c.path(under, blue, dash(1))
	c.path(rights, green, dash(0))
	c.path(over, orange, dash(2))
	if len(g.Points) > 0 {
		first, last := g.Points[0], g.Points[len(g.Points)-1]
		c.text(left+6, y.of(first.Under)-8, "start", "under")
		c.text(right-6, y.of(last.Over)-8, "end", "over")
		middle := g.Points[len(g.Points)/2]
		c.text(x.of(middle.Stops), y.of(middle.Right)-8, "middle", "right")
		p.Alt = fmt.Sprintf("Under %s, at the aim of EI %.2g a plate is judged right with a chance of %s; a stop less gives %s under, a stop more %s over.",
			g.Light, g.AimEI, percent(middle.Right), percent(near(g, -1).Under), percent(near(g, 1).Over))
	}
	p.SVG = c.svg(p.Title, p.Alt)
	return p
}

// near is the point at so many stops.
func near(g analysis.GradeCurve, stops float64) analysis.GradePoint {
	for _, q := range g.Points {
		if q.Stops >= stops {
			return q
		}
	}
	return analysis.GradePoint{}
}
