package benchbook

import (
	"context"
	"slices"

	"sandarac/archive/chemistry"
	"sandarac/archive/chemistry/unit"
	"sandarac/archive/recipe"
	"sandarac/archive/record"
)

// mixView is the bench card of a batch: what to weigh for several volumes, in
// what order, and every caution.
type mixView struct {
	ID          string           `json:"id"`
	Kind        string           `json:"kind"`
	To          string           `json:"to"`
	Volumes     []string         `json:"volumes"`
	Rows        []amountRow      `json:"rows"`
	Order       []string         `json:"order"`
	Figures     []string         `json:"figures"`
	Assumptions []string         `json:"assumptions"`
	Remarks     []string         `json:"remarks"`
	Substitutes []substituteView `json:"substitutes"`
	Panel       panelView        `json:"panel"`
}

// volumes are those a card is scaled to, in millilitres, beside the batch's
// own.
var volumes = []float64{100, 250, 500, 1000}

func (s *stage) mixPath(b *record.Batch) string { return "papers/mix-" + s.batchSlug[b.ID] + "/" }

func (s *stage) writeMixCards(ctx context.Context) error {
	for _, b := range s.batches {
		if err := ctx.Err(); err != nil {
			return err
		}
		v, ok := s.mixView(b)
		if !ok {
			continue
		}
		if err := s.content("papers/mix-"+s.batchSlug[b.ID], page{Title: "Bench card: " + b.ID, Layout: "mix", Params: v}); err != nil {
			return err
		}
	}
	return nil
}

// mixView is false for a batch without parts, and for one whose recipe nobody
// should be handed a card for.
func (s *stage) mixView(b *record.Batch) (mixView, bool) {
	if len(b.Parts) == 0 {
		return mixView{}, false
	}
	own, err := recipe.Card(s.Archive, b.ID, 0)
	if err != nil {
		return mixView{}, false
	}
	v := mixView{ID: b.ID, Kind: b.Kind, To: s.batchPath(b.ID), Order: mixing(own, false), Figures: own.Figures, Assumptions: own.Recipe.Assumptions, Panel: newPanel(own.Panel)}
	for _, l := range own.Amounts {
		v.Rows = append(v.Rows, amountRow{Name: l.Name, Per100: l.Per100, Written: l.Written})
	}
	for _, p := range own.Remarks {
		v.Remarks = append(v.Remarks, withRemedy(p.Message, p.Remedy))
	}
	for _, x := range own.Substitutes {
		v.Substitutes = append(v.Substitutes, substituteView{x.For, x.Use, x.Changes, x.Source})
	}
	all := slices.Clone(volumes)
	if ml := own.Recipe.VolumeMl; !slices.Contains(all, ml) {
		all = append(all, ml) // 0 where it is not known: then there is nothing to scale from
		slices.Sort(all)
	}
	for _, ml := range all {
		if ml == own.Recipe.VolumeMl {
			v.addVolume("as mixed", own)
		} else if scaled, err := recipe.Card(s.Archive, b.ID, ml); err == nil {
			v.addVolume("", scaled)
		}
	}
	return v, true
}

func (v *mixView) addVolume(name string, c chemistry.BenchCard) {
	if c.Recipe.VolumeMl > 0 {
		name = unit.Figure(c.Recipe.VolumeMl) + " ml"
	}
	v.Volumes = append(v.Volumes, name)
	for i, l := range c.Amounts {
		v.Rows[i].Scaled = append(v.Rows[i].Scaled, l.Amount)
	}
}
