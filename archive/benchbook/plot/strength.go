package plot

import (
	"fmt"
	"math"
)

// Strong is the strength of a bath at one step of its account, in % w/v.
// Measured marks a reading.
type Strong struct {
	PercentWV float64
	Measured  bool
}

// Strength draws a bath's estimated strength over the steps of its account, with
// the floor under which it wants strengthening.
func Strength(title string, points []Strong, floor float64) Plot {
	if len(points) == 0 {
		return Plot{Width: Width, Height: 1, Title: title}
	}
	lo, hi := floor, floor
	for _, p := range points {
		lo, hi = math.Min(lo, p.PercentWV), math.Max(hi, p.PercentWV)
	}
	y := scale{}
	y.lo, y.hi = around(lo, hi, 0.15)
	f := newFrame(title, scale{lo: 1, hi: math.Max(2, float64(len(points))), whole: true}, y, "plates and entries in order", "silver nitrate, % w/v")
	f.xTicks()
	f.line("limit", f.x.a, f.y.at(floor), f.x.b, f.y.at(floor))
	f.text("note", f.x.b, f.y.at(floor)-4, "end", "floor")
	var line [][2]float64
	readings := 0
	for i, p := range points {
		line = append(line, [2]float64{float64(i + 1), p.PercentWV})
	}
	f.curve("value", line)
	for i, p := range points {
		if p.Measured {
			readings++
			f.diamond("signal", f.x.at(float64(i+1)), f.y.at(p.PercentWV), 5)
		}
	}
	last := points[len(points)-1].PercentWV
	f.Desc = fmt.Sprintf("From %.1f to %.1f %% over %d steps, readings: %d; the floor is %.1f %%.", points[0].PercentWV, last, len(points), readings, floor)
	return *f.Plot
}
