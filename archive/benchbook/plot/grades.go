package plot

import "fmt"

// Chance is the chances of each judgement so many stops from the aim.
type Chance struct{ Stops, Under, Right, Over float64 }

// Grades draws the three chances over the exposure. The curves differ by their
// dashes and are named where they are highest.
func Grades(title string, chances []Chance) Plot {
	if len(chances) == 0 {
		return Plot{Width: Width, Height: 1, Title: title}
	}
	first, last := chances[0], chances[len(chances)-1]
	f := newFrame(title, scale{lo: first.Stops, hi: last.Stops}, scale{lo: 0, hi: 1}, "stops from the aim (longer to the right)", "chance")
	f.xTicks()
	best := first
	for _, g := range []struct {
		class string
		of    func(Chance) float64
	}{
		{"curve under", func(c Chance) float64 { return c.Under }},
		{"curve right", func(c Chance) float64 { return c.Right }},
		{"curve over", func(c Chance) float64 { return c.Over }},
	} {
		var at [][2]float64
		for _, c := range chances {
			at = append(at, [2]float64{c.Stops, g.of(c)})
			if c.Right > best.Right {
				best = c
			}
		}
		f.curve(g.class, at)
	}
	f.text("label", f.x.a+4, f.y.at(first.Under)+14, "start", "under")
	f.text("label", f.x.at(best.Stops), f.y.at(best.Right)-6, "middle", "right")
	f.text("label", f.x.b-4, f.y.at(last.Over)+14, "end", "over")
	f.Desc = fmt.Sprintf("The chance of being judged right is highest, %.0f %%, at the aim; under rises to the left, over to the right.", 100*best.Right)
	return *f.Plot
}
