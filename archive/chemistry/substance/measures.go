package substance

import "slices"

// Measures are the usual protective measures, storage and waste for one
// substance, in plain words. Common practice, shortened from safety data
// sheets; the sheet of the bottle in hand goes first.
type Measures struct {
	Protect []string
	Store   []string
	Waste   []string
}

// rule gives its measures to every substance it applies to.
type rule struct {
	applies func(Substance) bool
	Measures
}

func of(classes ...Class) func(Substance) bool {
	return func(s Substance) bool { return slices.ContainsFunc(classes, s.Is) }
}

func saying(codes ...Statement) func(Substance) bool {
	return func(s Substance) bool {
		return s.Hazard != nil && slices.ContainsFunc(codes, func(c Statement) bool {
			return slices.Contains(s.Hazard.Statements, c) || slices.Contains(s.Hazard.Notified, c)
		})
	}
}

// rules run from the gravest down; what several say is said once.
var rules = []rule{
	{of(Cyanide), Measures{
		Protect: []string{"Do not work alone.", "Gloves, goggles and extraction; hands and face away from the dish.",
			"Nothing acid on the bench, in the sink, in the drain or in the waste can."},
		Store: []string{"Locked, dry, apart from acids and from food; as little as the work needs, with a log of what is used."},
		Waste: []string{"Cyanide waste: its own closed, labelled container, never with acid, to a licensed contractor. Do not try to neutralise it."},
	}},
	{of(Ether), Measures{
		Protect: []string{"No flame, spark, heater, motor or smoking in the room; the vapour runs along the floor, so ventilate low.",
			"Collodion can charge on pouring: ground metal vessels."},
		Store: []string{"Approved flammable storage, cool and dark; write the date of opening on the bottle.",
			"Retire opened ether on the date your code or its data sheet gives (6 months is a usual default). Do not open a crusted bottle; do not distil."},
		Waste: []string{"Flammable waste: a closed, labelled container, to a licensed contractor."},
	}},
	{of(Nitrocellulose), Measures{
		Store: []string{"Never dry: keep cotton damp as sold; keep skins, rags and dried collodion wet and covered, away from heat."},
		Waste: []string{"Collodion rags and skins: wet, in a closed metal container, to a licensed contractor."},
	}},
	{of(Cadmium), Measures{
		Protect: []string{"Raise no dust: weigh under extraction, with gloves; wipe the bench wet and wash hands.",
			"Not to be handled by anyone pregnant, trying for a child or nursing."},
		Store: []string{"Closed and labelled, apart from food."},
		Waste: []string{"Cadmium waste: its own closed, labelled container, to a licensed contractor."},
	}},
	{func(s Substance) bool { return s.HarmsChild() }, Measures{
		Protect: []string{"Not to be handled by anyone pregnant, trying for a child or nursing."},
	}},
	{of(Silver), Measures{
		Protect: []string{"Goggles without exception: a splash can blind. Gloves and apron; it burns and stains skin."},
		Store:   []string{"Dark, closed, apart from alcohol, ether, cotton, paper and ammonia."},
		Waste:   []string{"Silver waste: its own closed, labelled container, never with ammonia; silver is worth recovering."},
	}},
	{of(Ammonia), Measures{
		Protect: []string{"Gloves, goggles and extraction."},
		Store:   []string{"In another room than anything with silver in it."},
		Waste:   []string{"Ammonia never goes into silver waste."},
	}},
	{saying("H314"), Measures{
		Protect: []string{"Gloves, apron and goggles; a face shield when pouring."},
	}},
	{of(Acid), Measures{
		Protect: []string{"Acid into water, never water into acid."},
		Store:   []string{"Apart from cyanide: another shelf, another tray, another sink."},
		Waste:   []string{"Acid waste never goes into a container that has held cyanide or thiosulfate."},
	}},
	{of(Oxidiser), Measures{
		Store: []string{"Oxidisers apart from anything that burns."},
	}},
	{of(Flammable), Measures{
		Protect: []string{"No flame, spark or hot plate near; ventilate."},
		Store:   []string{"Flammable storage, closed."},
		Waste:   []string{"Flammable waste: a closed, labelled container, to a licensed contractor."},
	}},
	{of(Thiosulfate), Measures{
		Store: []string{"Away from acids and from the silver bath: a trace of it ruins the bath."},
		Waste: []string{"Used thiosulfate holds silver: its own closed container, apart from acids; silver is worth recovering."},
	}},
	{of(Iron, Copper), Measures{
		Waste: []string{"Used developer: collected for the contractor; it carries silver and acid, so never with fixer waste."},
	}},
	{saying("H315", "H318", "H319", "H317"), Measures{
		Protect: []string{"Gloves and goggles."},
	}},
}

// Measures returns what to wear and do, how to keep it and where its waste
// goes. For a substance without hazard data only the rules of its classes
// apply, and NoData is said first.
func (s Substance) Measures() Measures { return MeasuresOf([]Substance{s}) }

// MeasuresOf gathers the measures of several substances, the gravest first,
// each said once.
func MeasuresOf(list []Substance) Measures {
	var m Measures
	for _, s := range list {
		if s.Hazard == nil {
			m.Protect = append(m.Protect, "No hazard data here for "+s.Name+": read its safety data sheet before opening it.")
		}
	}
	for _, r := range rules {
		if !slices.ContainsFunc(list, r.applies) {
			continue
		}
		for _, line := range r.Protect {
			m.Protect = appendNew(m.Protect, line)
		}
		for _, line := range r.Store {
			m.Store = appendNew(m.Store, line)
		}
		for _, line := range r.Waste {
			m.Waste = appendNew(m.Waste, line)
		}
	}
	return m
}

// Label is a hazard written out: pictogram names and statement texts, the
// harmonised and the notified together, once each.
type Label struct {
	Word       Word
	Pictograms []Pictogram
	Statements []Statement
}

// Label merges the harmonised and the notified parts; empty when no data is
// held.
func (s Substance) Label() Label {
	if s.Hazard == nil {
		return Label{}
	}
	l := Label{Word: s.Hazard.Word}
	for _, p := range slices.Concat(s.Hazard.Pictograms, s.Hazard.NotifiedPictograms) {
		l.Pictograms = appendNew(l.Pictograms, p)
	}
	for _, c := range slices.Concat(s.Hazard.Statements, s.Hazard.Notified) {
		l.Statements = appendNew(l.Statements, c)
	}
	return l
}
