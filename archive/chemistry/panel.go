package chemistry

import (
	"slices"

	"sandarac/archive/chemistry/substance"
)

// Panel is the block of cautions on a recipe, a batch, a step or a card.
type Panel struct {
	Word       substance.Word
	Pictograms []substance.Pictogram
	Rows       []Row // one per substance that has a label or no data
	Kind       []string
	Pairs      []Pair
	Protect    []string
	Store      []string
	Waste      []string
	Pregnancy  string // empty when nothing calls for it
	FirstAid   []string
	AsOf       string // date of the hazard data
	Deferral   string
}

// Row is one substance's label.
type Row struct {
	Name       string
	Word       substance.Word
	Pictograms []substance.Pictogram
	Statements []substance.Statement
	Status     string
	Note       string
	Source     string
	// NoData is set, to substance.NoData, when there is nothing to print.
	NoData string
}

// PanelFor gathers the cautions of a recipe. The label is that of the pure
// substances; a mixture's own label may be milder or, for iodised collodion,
// the sum.
func PanelFor(r Recipe, poisonCentre string) Panel {
	p := panelOf(r.Substances(), poisonCentre)
	for _, slug := range kindSteps[r.Kind] {
		s, _ := StepOf(slug)
		p.Kind = append(p.Kind, s.Cautions...)
	}
	return p
}

// PanelForSubstance is the panel of one bottle.
func PanelForSubstance(s substance.Substance, poisonCentre string) Panel {
	return panelOf([]substance.Substance{s}, poisonCentre)
}

// PanelForKind is the panel of a kind of batch whose recipe is not known.
func PanelForKind(k Kind, poisonCentre string) Panel {
	return PanelFor(Recipe{Kind: k}, poisonCentre)
}

func panelOf(list []substance.Substance, poisonCentre string) Panel {
	p := Panel{AsOf: substance.AsOf, Deferral: Deferral, Pairs: PairsFor(list), Waste: []string{NoDrain}}
	cyanide := someIs(list, []substance.Class{substance.Cyanide})
	for _, s := range list {
		label := s.Label()
		p.Word = p.Word.Stronger(label.Word)
		p.Pictograms = union(p.Pictograms, label.Pictograms)
		if s.HarmsChild() {
			p.Pregnancy = Pregnancy
		}
		if row, ok := rowOf(s, label); ok {
			p.Rows = append(p.Rows, row)
		}
	}
	m := substance.MeasuresOf(list)
	p.Protect, p.Store, p.Waste = m.Protect, m.Store, union(p.Waste, m.Waste)
	slices.Sort(p.Pictograms)
	p.FirstAid = FirstAid(poisonCentre, cyanide)
	return p
}

func rowOf(s substance.Substance, l substance.Label) (Row, bool) {
	if s.Hazard == nil {
		return Row{Name: s.Name, NoData: substance.NoData}, true
	}
	row := Row{Name: s.Name, Word: l.Word, Pictograms: l.Pictograms, Statements: l.Statements,
		Status: s.Hazard.Status, Note: s.Hazard.Note, Source: s.Hazard.Source}
	return row, len(l.Statements) > 0 || s.Hazard.Note != ""
}

func union[T comparable](list, more []T) []T {
	for _, x := range more {
		if !slices.Contains(list, x) {
			list = append(list, x)
		}
	}
	return list
}
