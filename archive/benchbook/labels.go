package benchbook

import (
	"context"
	"fmt"

	"sandarac/archive/chemistry"
	"sandarac/archive/chemistry/unit"
	"sandarac/archive/record"
)

// labelsView is a page of labels for boxes, twenty-four to a sheet.
type labelsView struct {
	Studio string     `json:"studio"`
	Labels []boxLabel `json:"labels"`
	Turn   turn       `json:"turn"`
}

// boxLabel is what the box of a plate says. Glass says so, since it breaks.
type boxLabel struct {
	Plate string `json:"plate"`
	Day   string `json:"day"`
	What  string `json:"what"`
	Made  string `json:"made"` // collodion and varnish
	Glass bool   `json:"glass"`
}

func (s *stage) boxLabel(p *record.Plate) boxLabel {
	v := boxLabel{Plate: p.ID, Day: dayWords(p.MadeOn()), Glass: p.Support == "glass" || p.Support == "glass-negative"}
	v.What = joinedWith(noEmpty(spelled(p.Support), p.Format.Name), ", ")
	v.Made = joinedWith(noEmpty(p.Batches.Collodion, p.Batches.Varnish), ", ")
	if p.Varnished.IsZero() {
		v.Made = joinedWith(noEmpty(p.Batches.Collodion, "not varnished"), ", ")
	}
	return v
}

// bottlesView is a page of labels for the bottles of batches.
type bottlesView struct {
	Studio  string        `json:"studio"`
	Bottles []bottleLabel `json:"bottles"`
	Turn    turn          `json:"turn"`
}

type bottleLabel struct {
	ID         string      `json:"id"`
	Kind       string      `json:"kind"`
	Mixed      string      `json:"mixed"`
	Ready      string      `json:"ready"`
	Retire     string      `json:"retire"`
	Holds      []string    `json:"holds"`
	Word       string      `json:"word"`
	Pictograms []pictogram `json:"pictograms"`
	Statements []string    `json:"statements"`
	Unknown    []string    `json:"unknown"` // substances without hazard data
	Apart      []string    `json:"apart"`
	Pregnancy  string      `json:"pregnancy"`
	FirstAid   []string    `json:"firstaid"`
	Deferral   string      `json:"deferral"`
}

const bottlesPage = 12

// labelled are the batches that may stand on the shelf.
func (s *stage) labelled() []*record.Batch {
	var out []*record.Batch
	for _, b := range s.batches {
		if s.stands(b) {
			out = append(out, b)
		}
	}
	return out
}

func (s *stage) writeBatchLabels(context.Context) error {
	list := s.labelled()
	return s.series("papers/bottles", len(list), bottlesPage, func(lo, hi int, at turn) page {
		v := bottlesView{Studio: oneLine(s.Archive.Studio.Name), Turn: at}
		for _, b := range list[lo:hi] {
			v.Bottles = append(v.Bottles, s.bottleLabel(b))
		}
		return page{Title: "Labels for bottles", Layout: "bottles", Params: v}
	})
}

func (s *stage) bottleLabel(b *record.Batch) bottleLabel {
	v := bottleLabel{ID: b.ID, Kind: b.Kind, Mixed: dayWords(b.Mixed)}
	if !b.ReadyFrom.IsZero() {
		v.Ready = dayWords(b.ReadyFrom)
	}
	if !b.Retire.IsZero() {
		v.Retire = dayWords(b.Retire)
	}
	r := s.recipeOf(b)
	for _, l := range r.Lines {
		held := oneLine(l.Substance.Name)
		switch {
		case l.GramsPer100ml > 0:
			held += fmt.Sprintf(" %s %%", unit.Figure(l.GramsPer100ml))
		case l.Written != "" && l.MlPer100ml == 0:
			held += " " + oneLine(l.Written)
		}
		v.Holds = append(v.Holds, held)
	}
	p := chemistry.PanelFor(r, s.Archive.Studio.PoisonCentre)
	v.Word, v.Pictograms, v.Pregnancy, v.FirstAid = string(p.Word), pictograms(p.Pictograms), p.Pregnancy, p.FirstAid
	v.Deferral = "Usual cautions only: the supplier's safety data sheets and local codes come first."
	seen := map[string]bool{}
	for _, row := range p.Rows {
		if row.NoData != "" {
			v.Unknown = append(v.Unknown, oneLine(row.Name)+": "+row.NoData)
		}
		for _, st := range row.Statements {
			if text := st.Text(); text != "" && !seen[text] {
				seen[text] = true
				v.Statements = append(v.Statements, text)
			}
		}
	}
	for _, x := range p.Pairs {
		v.Apart = append(v.Apart, x.AWords+" with "+x.BWords)
	}
	return v
}

// recipeOf is a batch's recipe; of one that is not known, its kind alone.
func (s *stage) recipeOf(b *record.Batch) chemistry.Recipe {
	if r, ok := s.stock.Recipe(b.ID); ok {
		return r
	}
	return chemistry.Recipe{Kind: chemistry.Kind(b.Kind)}
}
