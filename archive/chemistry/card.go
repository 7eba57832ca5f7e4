package chemistry

import "sandarac/archive/chemistry/unit"

// BenchCard is a recipe made ready to mix from: scaled, in order, with its
// cautions. Pages and printers lay it out.
type BenchCard struct {
	Recipe      Recipe // scaled
	Amounts     []CardLine
	Order       []MixStep
	Figures     []string // strength, halides, in sentences
	Remarks     []Problem
	Panel       Panel
	Substitutes []Substitute
}

// CardLine is one weighing or measuring.
type CardLine struct {
	Name    string
	Amount  string // "8.00 g", "120 ml", or "not known"
	Per100  string
	Written string // as the record has it
}

// Card makes the bench card of a recipe for a volume in millilitres; 0 keeps
// the batch's own. Problems are those of Read.
func Card(r Recipe, problems []Problem, ml float64, poisonCentre string) (BenchCard, error) {
	scaled := r
	if ml != 0 {
		var err error
		if scaled, err = r.To(ml); err != nil {
			return BenchCard{}, err
		}
	}
	c := BenchCard{Recipe: scaled, Order: scaled.Order(), Figures: scaled.Figures(), Remarks: problems,
		Panel: PanelFor(scaled, poisonCentre), Substitutes: Substitutes(scaled)}
	for _, l := range scaled.Lines {
		c.Amounts = append(c.Amounts, CardLine{Name: l.Substance.Name, Amount: weighed(l.Grams, l.Millilitres),
			Per100: weighed(l.GramsPer100ml, l.MlPer100ml), Written: l.Written})
	}
	return c, nil
}

func weighed(grams, ml float64) string {
	switch {
	case grams > 0:
		return unit.Figure(grams) + " g"
	case ml > 0:
		return unit.Figure(ml) + " ml"
	}
	return "not known"
}
