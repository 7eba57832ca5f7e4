package plot

import (
	"fmt"
	"math"
)

// Speed is exposure indices over the age of a collodion: plates as dots, and
// the fitted aim with its interval where there is one.
type Speed struct {
	Plates []Aged
	Fit    []Fitted
}

// Aged is one plate's EI at an age in days.
type Aged struct{ Days, EI float64 }

// Fitted is the aim at an age; Lo and Hi are 0 where there is no interval.
type Fitted struct{ Days, EI, Lo, Hi float64 }

// SpeedOverAge draws EI on a logarithmic scale over age in days.
func SpeedOverAge(title string, s Speed) Plot {
	minDays, maxDays := math.Inf(1), math.Inf(-1)
	minEI, maxEI := math.Inf(1), math.Inf(-1)
	for _, a := range s.Plates {
		minDays, maxDays = math.Min(minDays, a.Days), math.Max(maxDays, a.Days)
		minEI, maxEI = math.Min(minEI, a.EI), math.Max(maxEI, a.EI)
	}
	for _, a := range s.Fit {
		minEI, maxEI = math.Min(minEI, a.EI), math.Max(maxEI, a.EI)
	}
	if len(s.Plates) == 0 {
		return Plot{Width: Width, Height: 1, Title: title}
	}
	x := scale{whole: true}
	x.lo, x.hi = around(minDays, maxDays, 0.04)
	// A stop of room on either side, so that a cloud looks like one.
	f := newFrame(title, x, scale{lo: minEI / 2, hi: maxEI * 2, log: true}, "age in days", "EI")
	f.xTicks()
	var line, lower, upper [][2]float64
	for _, a := range s.Fit {
		line = append(line, [2]float64{a.Days, a.EI})
		if a.Lo > 0 && a.Hi > 0 {
			lower = append(lower, [2]float64{a.Days, a.Lo})
			upper = append(upper, [2]float64{a.Days, a.Hi})
		}
	}
	if len(upper) > 1 {
		f.band("band", lower, upper)
	}
	if len(line) > 1 {
		f.curve("fit", line)
	}
	for _, a := range s.Plates {
		f.circle("dot", f.x.at(a.Days), f.y.at(a.EI), 4)
	}
	f.Desc = fmt.Sprintf("%d plates judged right; EI from %s to %s, age from %.0f to %.0f days.", len(s.Plates), two(minEI), two(maxEI), minDays, maxDays)
	return *f.Plot
}
