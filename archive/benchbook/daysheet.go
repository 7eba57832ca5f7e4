package benchbook

import (
	"context"

	"sandarac/archive/chemistry"
	"sandarac/archive/chemistry/substance"
	"sandarac/archive/record"
)

// sheetView is the day sheet to write on where no phone is allowed: what may be
// chosen at its head, then empty rows.
type sheetView struct {
	Studio   string     `json:"studio"`
	Head     []fact     `json:"head"`
	Rows     []int      `json:"rows"`
	Flaws    []string   `json:"flaws"`
	Cautions []stepView `json:"cautions"`
	Deferral string     `json:"deferral"`
	FirstAid []string   `json:"firstaid"`
}

// stepView is a step of the process with its cautions.
type stepView struct {
	Name     string   `json:"name"`
	Cautions []string `json:"cautions"`
}

const sheetRows = 14

func (s *stage) writeDaySheet(context.Context) error {
	v := sheetView{Studio: oneLine(s.Archive.Studio.Name), Deferral: chemistry.Deferral}
	for i := range sheetRows {
		v.Rows = append(v.Rows, i+1)
	}
	g := group{}
	cyanide := false
	const most = 6
	for _, kind := range record.BatchKinds {
		var ids []said
		for _, b := range s.batches {
			if b.Kind == kind && s.stands(b) && len(ids) < most {
				ids = append(ids, said{Text: b.ID})
				cyanide = cyanide || s.holdsCyanide(b)
			}
		}
		g.add(capital(kind), ids...)
	}
	var lenses, lights []said
	for _, l := range s.Archive.Studio.Lenses[:min(len(s.Archive.Studio.Lenses), most)] {
		lenses = append(lenses, said{Text: l.ID})
	}
	for _, c := range s.choices.Lights[:min(len(s.choices.Lights), most)] {
		lights = append(lights, said{Text: c.Name})
	}
	g.add("Lens", lenses...)
	g.add("Light", lights...)
	v.Head = g.Facts
	for _, f := range record.Flaws {
		v.Flaws = append(v.Flaws, spelled(f))
	}
	for _, st := range chemistry.Steps() {
		v.Cautions = append(v.Cautions, stepView{st.Name, st.Cautions})
	}
	v.FirstAid = chemistry.FirstAid(s.Archive.Studio.PoisonCentre, cyanide)
	return s.content("papers/day-sheet", page{Title: "Day sheet", Layout: "day-sheet", Params: v})
}

func (s *stage) holdsCyanide(b *record.Batch) bool { return s.recipeOf(b).Has(substance.Cyanide) }
