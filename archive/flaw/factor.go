package flaw

import (
	"fmt"
	"maps"
	"slices"
	"sort"

	"sandarac/archive/chemistry"
	"sandarac/archive/record"
	"sandarac/archive/stats"
)

// Factor is what plates are grouped by.
type Factor string

// Factors with named levels.
const (
	Collodion Factor = "collodion"
	Bath      Factor = "bath"
	Developer Factor = "developer"
	Fixer     Factor = "fixer"
	Varnish   Factor = "varnish"
	Light     Factor = "light"
	Support   Factor = "support"
)

// Factors split at their median.
const (
	BathAge      Factor = "bath age"             // plates in the bath before this one
	CollodionAge Factor = "collodion age"        // days
	Warmth       Factor = "air temperature"      // °C
	Humidity     Factor = "humidity"             // %
	DevWarmth    Factor = "developer warmth"     // °C
	DevSeconds   Factor = "time of development"  // s
	Seconds      Factor = "seconds of exposure"  // s
	BathStrength Factor = "strength of the bath" // % w/v
)

var units = map[Factor]string{BathAge: " plates", CollodionAge: " days", Warmth: " °C", Humidity: " %", DevWarmth: " °C", DevSeconds: " s", Seconds: " s", BathStrength: " %"}

// here and there word the two sides of a contrast.
func (f Factor) here(level string) string {
	switch f {
	case Collodion, Bath, Developer, Fixer, Varnish:
		return "from " + string(f) + " " + level
	case Light:
		return "in " + level
	case Support:
		return "on " + level
	}
	return "with " + string(f) + " " + level
}

func (f Factor) there(string) string {
	switch f {
	case Collodion, Bath, Developer, Fixer, Varnish:
		return "from the others"
	case Light:
		return "in other light"
	case Support:
		return "on other supports"
	}
	return "at or below that"
}

// grouping sorts the plates whose factor is known into levels.
type grouping struct {
	factor Factor
	levels map[string][]*record.Plate
	split  bool // two sides of a median: one contrast, the upper side first
	upper  string
}

// groupings sorts the plates in every way that is compared.
func groupings(a *record.Archive, plates []*record.Plate, stock Stock) []grouping {
	named := []struct {
		factor Factor
		level  func(*record.Plate) string
	}{
		{Collodion, func(p *record.Plate) string { return p.Batches.Collodion }},
		{Bath, func(p *record.Plate) string { return p.Batches.Bath }},
		{Developer, func(p *record.Plate) string { return p.Batches.Developer }},
		{Fixer, func(p *record.Plate) string { return p.Batches.Fixer }},
		{Varnish, func(p *record.Plate) string { return p.Batches.Varnish }},
		{Light, func(p *record.Plate) string { return p.Light.Kind }},
		{Support, func(p *record.Plate) string { return p.Support }},
	}
	figures := make([]chemistry.Facts, len(plates))
	for i, p := range plates {
		figures[i] = facts(a, p, stock)
	}
	var out []grouping
	for _, n := range named {
		g := grouping{factor: n.factor, levels: map[string][]*record.Plate{}}
		for _, p := range plates {
			if level := n.level(p); level != "" {
				g.levels[level] = append(g.levels[level], p)
			}
		}
		out = append(out, g)
	}
	for _, m := range []struct {
		factor Factor
		fact   chemistry.Fact
	}{{BathAge, bathAge}, {CollodionAge, chemistry.CollodionAge}, {Warmth, chemistry.AirWarmth}, {Humidity, chemistry.Humidity},
		{DevWarmth, chemistry.DeveloperWarmth}, {DevSeconds, chemistry.DevelopedSeconds}, {Seconds, chemistry.ExposedSeconds}, {BathStrength, chemistry.BathStrength}} {
		if g, ok := halves(m.factor, m.fact, plates, figures); ok {
			out = append(out, g)
		}
	}
	return out
}

// halves splits plates at the median of a figure, which is fixed before any
// flaw is looked at.
func halves(f Factor, fact chemistry.Fact, plates []*record.Plate, figures []chemistry.Facts) (grouping, bool) {
	var xs []float64
	var known []*record.Plate
	for i, p := range plates {
		if x, ok := figures[i][fact]; ok {
			xs, known = append(xs, x), append(known, p)
		}
	}
	if len(xs) < 2*fewest {
		return grouping{}, false
	}
	middle, err := stats.Median(xs)
	if err != nil {
		return grouping{}, false
	}
	upper := fmt.Sprintf("above %s%s", trim(middle), units[f])
	g := grouping{factor: f, split: true, upper: upper, levels: map[string][]*record.Plate{}}
	for i, p := range known {
		side := "lower"
		if xs[i] > middle {
			side = upper
		}
		g.levels[side] = append(g.levels[side], p)
	}
	return g, len(g.levels) == 2
}

func trim(x float64) string { return fmt.Sprintf("%.4g", x) }

// contrasts compares every level with the rest of its grouping. Of two levels
// the comparison is one, told from the side where the flaw is more frequent; of
// a split it is told from above the median.
func (g grouping) contrasts(f chemistry.Flaw) ([]Contrast, error) {
	total, flawed := 0, 0
	count := map[string]int{}
	for level, plates := range g.levels {
		for _, p := range plates {
			if shows(p, f) {
				count[level]++
			}
		}
		total += len(plates)
		flawed += count[level]
	}
	levels := slices.Collect(maps.Keys(g.levels))
	sort.Strings(levels)
	switch {
	case g.split:
		levels = []string{g.upper}
	case len(levels) == 2:
		levels = []string{moreOften(g, levels, count)}
	}
	var out []Contrast
	for _, level := range levels {
		c := Contrast{Factor: g.factor, Level: level, With: count[level], Of: len(g.levels[level])}
		c.OtherWith, c.OtherOf = flawed-c.With, total-c.Of
		if c.Of < fewest || c.OtherOf < fewest || c.With+c.OtherWith == 0 {
			continue
		}
		exact, err := stats.Fisher(c.With, c.Of-c.With, c.OtherWith, c.OtherOf-c.OtherWith)
		if err != nil {
			return nil, err
		}
		c.P = exact.TwoSided
		if c.Difference, c.Newcombe95, err = stats.Newcombe(c.With, c.Of, c.OtherWith, c.OtherOf, stats.Level95); err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	return out, nil
}

func moreOften(g grouping, two []string, count map[string]int) string {
	a, b := two[0], two[1]
	if count[b]*len(g.levels[a]) > count[a]*len(g.levels[b]) {
		return b
	}
	return a
}
