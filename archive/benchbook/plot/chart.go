package plot

import (
	"fmt"
	"math"
)

// Charted is one plate on a control chart. Fresh marks the first after
// something was done to the bath.
type Charted struct {
	Value, Limit float64
	Signal       bool
	Fresh        bool
}

// Control draws a control chart that signals below minus its limit.
func Control(title string, points []Charted) Plot {
	if len(points) == 0 {
		return Plot{Width: Width, Height: 1, Title: title}
	}
	reach := 0.0
	for _, p := range points {
		reach = math.Max(reach, math.Max(math.Abs(p.Value), p.Limit))
	}
	if reach == 0 {
		reach = 1
	}
	f := newFrame(title, scale{lo: 1, hi: math.Max(2, float64(len(points))), whole: true}, scale{lo: -1.15 * reach, hi: 1.15 * reach}, "plates in order", "better than expected (up), worse (down)")
	f.xTicks()
	f.line("zero", f.x.a, f.y.at(0), f.x.b, f.y.at(0))
	var value, limit [][2]float64
	signals := 0
	for i, p := range points {
		at := float64(i + 1)
		value, limit = append(value, [2]float64{at, p.Value}), append(limit, [2]float64{at, -p.Limit})
		if p.Fresh && i > 0 {
			f.line("fresh", f.x.at(at), f.y.a, f.x.at(at), f.y.b)
		}
	}
	f.curve("limit", limit)
	f.curve("value", value)
	for i, p := range points {
		if p.Signal {
			signals++
			f.diamond("signal", f.x.at(float64(i+1)), f.y.clamped(p.Value), 6)
		}
	}
	f.Desc = fmt.Sprintf("%d plates. The chart crossed its lower limit %s.", len(points), times(signals))
	return *f.Plot
}

func times(n int) string {
	switch n {
	case 0:
		return "at no plate"
	case 1:
		return "at one plate"
	}
	return fmt.Sprintf("at %d plates", n)
}
