package chemistry

import (
	"fmt"
	"math"

	"sandarac/archive/chemistry/substance"
	"sandarac/archive/chemistry/unit"
)

// span is what the published formulae hold to; outside is a remark.
type span struct {
	what      string
	low, high float64
	unit      string
	source    string
}

func (s span) check(x float64) (string, bool) {
	if math.IsNaN(x) || x == 0 || x >= s.low && x <= s.high {
		return "", false
	}
	side := "under"
	if x > s.high {
		side = "over"
	}
	return fmt.Sprintf("%s: %s%s is %s the usual %g to %g%s (%s)", s.what, unit.Figure(x), s.unit, side, s.low, s.high, s.unit, s.source), true
}

var (
	saltsSpan     = span{"salts in the collodion", 0.7, 2.0, " g/100 ml", "Estabrooke, Chambers, Fritz, Wilkinson, Cooley"}
	ratioSpan     = span{"iodide to bromide, molar", 1, 3.5, "", "published positive collodions; negatives go lower"}
	pyroxylinSpan = span{"pyroxylin", 0.68, 2.0, " g/100 ml", "Cooley to Fritz"}
	bathSpan      = span{"silver nitrate in the bath", 6, 12, " % w/v", "Cooley, Wall, Schriever, Estabrooke, Fritz"}
	ironSpan      = span{"ferrous sulfate in the developer", 2, 9, " % w/v", "Cooley, Estabrooke, Fritz, Towler"}
	cyanideSpan   = span{"cyanide in the fixer", 0.5, 5, " % w/v", "Cooley, Schriever"}
	hypoSpan      = span{"thiosulfate in the fixer", 10, 30, " % w/v", "Schriever; common practice"}
)

// remarks sets the recipe beside the published ones and says what is missing
// for its kind. Nothing is refused here.
func (r Recipe) remarks() []Problem {
	var out []Problem
	note := func(s span, x float64) {
		if text, outside := s.check(x); outside {
			out = append(out, problem(Remark, "recipe-range", Whole, text, "check the amounts; keep them if you mean them"))
		}
	}
	lacks := func(what, remedy string) {
		out = append(out, problem(Remark, "recipe-incomplete", Whole, what, remedy))
	}
	switch r.Kind {
	case Collodion:
		h := r.Halides()
		if h.TotalMmol() == 0 && !r.Has(substance.Iodide) && !r.Has(substance.Bromide) {
			lacks("no iodide or bromide with a known amount: the bath's account cannot count this collodion", "add the salts with their grams")
		}
		note(saltsSpan, h.SaltsG)
		if h.BromideMmol > 0 {
			note(ratioSpan, h.IodideToBromide())
		}
		note(pyroxylinSpan, r.GramsPer100ml("pyroxylin"))
	case Bath:
		if !r.Has(substance.Silver) {
			lacks("no silver nitrate: the bath's account cannot start", "add silver nitrate with its grams")
		}
		note(bathSpan, r.SilverNitratePercentWV())
	case Developer:
		note(ironSpan, r.GramsPer100ml("ferrous-sulfate-heptahydrate"))
	case Fixer:
		note(cyanideSpan, r.GramsPer100ml("potassium-cyanide")+r.GramsPer100ml("sodium-cyanide"))
		anhydrous, _ := substance.Find("sodium thiosulfate anhydrous").MolarMass()
		crystals, _ := substance.Find("sodium thiosulfate crystals").MolarMass()
		note(hypoSpan, r.GramsPer100ml("sodium-thiosulfate-pentahydrate")+r.GramsPer100ml("sodium-thiosulfate-anhydrous")*crystals/anhydrous)
	}
	return out
}
