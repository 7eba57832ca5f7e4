package chemistry

import (
	"fmt"
	"math"

	"sandarac/archive/chemistry/substance"
	"sandarac/archive/chemistry/unit"
)

// Figures puts what the recipe comes to into sentences: the halides of a
// collodion, the strength of a bath, developer or fixer.
func (r Recipe) Figures() []string {
	switch r.Kind {
	case Collodion:
		return r.Halides().sentences()
	case Bath:
		if s := r.SilverNitratePercentWV(); s > 0 {
			return []string{fmt.Sprintf("Silver nitrate: %s %% w/v (%s g in the batch).", unit.Figure(s), unit.Figure(r.SilverNitrateG()))}
		}
	case Developer, Fixer:
		var out []string
		for _, l := range r.Lines {
			if l.GramsPer100ml > 0 && isAny(l.Substance, []substance.Class{substance.Iron, substance.Cyanide, substance.Thiosulfate}) {
				out = append(out, fmt.Sprintf("%s: %s %% w/v.", l.Substance.Name, unit.Figure(l.GramsPer100ml)))
			}
		}
		return out
	}
	return nil
}

func (h Halides) sentences() []string {
	if h.TotalMmol() == 0 {
		return nil
	}
	out := []string{fmt.Sprintf("Halides: %.2f mmol in 100 ml (iodide %.2f, bromide %.2f) from %.2f g of salts.", h.TotalMmol(), h.IodideMmol, h.BromideMmol, h.SaltsG)}
	if x := h.IodideToBromide(); !math.IsInf(x, 0) && x > 0 {
		out = append(out, fmt.Sprintf("Iodide to bromide: %.2f by mole; salts %.2f by weight; iodine to bromine %.2f by weight (%.2f g and %.2f g in 100 ml).",
			x, h.SaltsByWeight(), h.IodineToBromine(), h.IodineG, h.BromineG))
	} else if h.BromideMmol == 0 {
		out = append(out, fmt.Sprintf("Simply iodised: no bromide. Iodine %.2f g in 100 ml.", h.IodineG))
	} else {
		out = append(out, fmt.Sprintf("Bromide only. Bromine %.2f g in 100 ml.", h.BromineG))
	}
	out = append(out, fmt.Sprintf("Takes %.2f mg of silver nitrate per ml from the bath.", h.SilverMgPerMl))
	if least, ok := BathFor(h.SaltsG); ok {
		out = append(out, fmt.Sprintf("Wants a bath of at least %.1f %% w/v (Estabrooke 1887).", least))
	}
	return out
}
