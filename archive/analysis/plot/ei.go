package plot

import (
	"fmt"
	"math"
	"strconv"

	"sandarac/archive/analysis"
)

var colours = []string{blue, orange, green, rose}

// EI draws the plates judged right of one batch, their exposure index over
// the age of the collodion, a shape for each kind of light, with the fitted
// aim and its 95 % interval where the model with age holds.
func EI(batch string, series []analysis.EISeries) Plot {
	const left, right, top, bottom = 60.0, 470.0, 34.0, 290.0
	p := Plot{Title: "Exposure index of " + batch + " over its age", Head: []string{"Plate", "Light", "Age, days", "EI"}}
	c := &canvas{height: 340}
	var mine []analysis.EISeries
	for _, s := range series {
		if s.Batch == batch && len(s.Points) > 0 {
			mine = append(mine, s)
		}
	}
	x, y := frame(mine, left, right, top, bottom)
	c.lines(y, left, right, octaves(y), func(v float64) string { return strconv.FormatFloat(math.Exp2(v), 'g', 3, 64) })
	c.columns(x, top, bottom, steps(x), func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) })
	c.text((left+right)/2, bottom+40, "middle", "age of the collodion, days")
	c.text(left-8, top-16, "end", "EI")
	for i, s := range mine {
		colour := colours[i%len(colours)]
		band(c, s.Fit, x, y, colour, i)
		for _, q := range s.Points {
			at := strconv.FormatFloat(q.EI, 'g', 2, 64)
			c.mark(i, x.of(float64(q.AgeDays)), y.of(math.Log2(q.EI)), colour, fmt.Sprintf("%s: EI %s at %d days, %s", q.Plate, at, q.AgeDays, s.Light))
			p.Rows = append(p.Rows, []string{q.Plate, s.Light, strconv.Itoa(q.AgeDays), at})
		}
		ly := top + 10 + 22*float64(i)
		c.mark(i, right+22, ly, colour, s.Light)
		c.text(right+34, ly+4, "start", shorten(s.Light, 18))
	}
	p.Alt = fmt.Sprintf("%d plates of %s judged right: exposure index, each line down being half the speed, over the age of the collodion in days, by kind of light. Each kind of light has an index of its own.", len(p.Rows), batch)
	for _, s := range mine {
		if len(s.Fit) > 1 {
			p.Alt += " Lines are the fitted aim with its 95 % range."
			break
		}
	}
	p.SVG = c.svg(p.Title, p.Alt)
	return p
}

// frame holds all points and fitted aims, a third of a stop clear of the edges.
func frame(series []analysis.EISeries, left, right, top, bottom float64) (x, y scale) {
	x, y = scale{0, 1, left + 8, right - 8}, scale{math.Inf(1), math.Inf(-1), bottom, top}
	for _, s := range series {
		for _, q := range s.Points {
			x.to = math.Max(x.to, float64(q.AgeDays))
			y.from, y.to = math.Min(y.from, math.Log2(q.EI)), math.Max(y.to, math.Log2(q.EI))
		}
		for _, f := range s.Fit {
			y.from, y.to = math.Min(y.from, math.Log2(f.EI)), math.Max(y.to, math.Log2(f.EI))
		}
	}
	if y.from > y.to {
		y.from, y.to = -2, 1
	}
	y.from, y.to = math.Floor(y.from-1.0/3), math.Ceil(y.to+1.0/3)
	return x, y
}

// octaves are whole stops of a log2 scale, thinned to eight.
func octaves(y scale) []float64 {
	step := math.Ceil((y.to - y.from) / 8)
	var out []float64
	for v := y.from; v <= y.to; v += math.Max(1, step) {
		out = append(out, v)
	}
	return out
}

// steps are round numbers of days, about five.
func steps(x scale) []float64 {
	step := 1.0
	for _, s := range []float64{1, 2, 5, 7, 14, 30, 60, 90, 180, 365} {
		step = s
		if (x.to-x.from)/s <= 6 {
			break
		}
	}
	var out []float64
	for v := 0.0; v <= x.to; v += step {
		out = append(out, v)
	}
	return out
}

// band draws a fitted aim with its interval, kept within the frame.
func band(c *canvas, fit []analysis.EIFit, x, y scale, colour string, i int) {
	if len(fit) < 2 {
		return
	}
	inside := func(ei float64) float64 {
		return y.of(math.Max(y.from, math.Min(y.to, math.Log2(ei))))
	}
	var line, upper, lower [][2]float64
	for _, f := range fit {
		at := x.of(f.AgeDays)
		line = append(line, [2]float64{at, inside(f.EI)})
		if f.Interval != nil {
			upper = append(upper, [2]float64{at, inside(f.Interval[1])})
			lower = append([][2]float64{{at, inside(f.Interval[0])}}, lower...)
		}
	}
	c.area(append(upper, lower...), colour)
	c.path(line, colour, dash(i))
}

// dash tells lines apart without colour.
func dash(i int) string {
	return []string{"", ` stroke-dasharray="7 4"`, ` stroke-dasharray="2 4"`, ` stroke-dasharray="9 3 2 3"`}[i%4]
}
