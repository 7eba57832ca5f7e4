package plot

import (
	"fmt"
	"math"

	"sandarac/archive/analysis"
)

// Bath draws a bath's control chart: the moving average of outcomes less what
// batch, light and age let one expect, with the limit below which it says
// "test the bath".
func Bath(b analysis.BathChart) Plot {
	const left, right, top, bottom = 104.0, 620.0, 20.0, 230.0
	p := Plot{Title: "The bath " + b.Batch + " on its control chart", Head: []string{"Plate", "Day", "Plates since tended", "Average", "Limit", ""}}
	c := &canvas{height: 280}
	reach := 0.05
	for _, q := range b.Points {
		reach = math.Max(reach, math.Max(math.Abs(q.Value), q.Limit)*1.15)
	}
	x, y := scale{1, math.Max(2, float64(len(b.Points))), left, right}, scale{-reach, reach, bottom, top}
	c.lines(y, left, right, []float64{0}, func(float64) string { return "as expected" })
	var value, limit [][2]float64
	for i, q := range b.Points {
		at := x.of(float64(i + 1))
		value = append(value, [2]float64{at, y.of(q.Value)})
		limit = append(limit, [2]float64{at, y.of(-q.Limit)})
	}
	c.path(limit, orange, dash(1))
	c.path(value, blue, "")
	first := true
	for i, q := range b.Points {
		mark := ""
		if q.Signal {
			mark = "test the bath"
		}
		if q.Signal && first {
			first = false
			c.mark(2, x.of(float64(i+1)), y.of(q.Value), orange, q.Plate+": test the bath")
			c.text(x.of(float64(i+1)), y.of(q.Value)+22, anchor(i, len(b.Points)), "test the bath: "+shorten(q.Plate, 20))
		}
		p.Rows = append(p.Rows, []string{q.Plate, q.Day.String(), fmt.Sprint(q.Since), fmt.Sprintf("%+.2f", q.Value), fmt.Sprintf("%.2f", -q.Limit), mark})
	}
	c.text((left+right)/2, bottom+30, "middle", fmt.Sprintf("%d plates in order; below the dashed line: test the bath", len(b.Points)))
	p.Alt = fmt.Sprintf("Outcomes of %d plates of the bath %s against what their batch, light and age let one expect, as a moving average. ", len(b.Points), b.Batch)
	if b.Signal == "" {
		p.Alt += "It has not fallen below its limit."
	} else {
		p.Alt += "It fell below its limit at plate " + b.Signal + ": test the bath."
	}
	p.SVG = c.svg(p.Title, p.Alt)
	return p
}

// anchor keeps a label inside the picture.
func anchor(i, of int) string {
	if 2*i > of {
		return "end"
	}
	return "start"
}
