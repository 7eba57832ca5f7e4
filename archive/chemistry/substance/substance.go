package substance

import "slices"

// Substance is one entry of the cupboard.
type Substance struct {
	Slug     string // stable: silver-nitrate
	Name     string // silver nitrate
	Synonyms []string
	Formula  string // empty for a mixture or natural product
	Classes  []Class
	Use      string // what it does in the process, in a few words
	Note     string // what to watch when buying or weighing

	// Density is that of a liquid, nil otherwise.
	Density *Density
	// Hazard is nil when no data is held: show NoData.
	Hazard *Hazard
}

// Density of a liquid at 20 °C.
type Density struct {
	GramsPerMillilitre float64
	Of                 string // grade the figure holds for
	Source             string
}

// Hazard is a label in short. Statements are of the harmonised entry where
// there is one; Notified are those suppliers commonly add, which vary.
type Hazard struct {
	Word               Word
	Pictograms         []Pictogram
	Statements         []Statement
	NotifiedPictograms []Pictogram
	Notified           []Statement
	Status             string // harmonised, self-classified by suppliers, not classified
	Source             string
	Note               string
}

// Is reports whether the substance belongs to a class.
func (s Substance) Is(c Class) bool { return slices.Contains(s.Classes, c) }

// HarmsChild reports whether the substance may harm an unborn or a breast-fed
// child: by its class, or by a statement on its label.
func (s Substance) HarmsChild() bool {
	return s.Is(Reproductive) || saying("H360", "H360FD", "H362")(s)
}

// Liquid reports whether the substance is measured by volume.
func (s Substance) Liquid() bool { return s.Density != nil }

// MolarMass returns the molar mass in g/mol computed from the formula and the
// atomic weights, and false for what has no formula.
func (s Substance) MolarMass() (float64, bool) {
	atoms, ok := s.atoms()
	return atoms.Mass(), ok
}

func (s Substance) atoms() (Atoms, bool) {
	if s.Formula == "" {
		return nil, false
	}
	atoms, err := ParseFormula(s.Formula)
	return atoms, err == nil
}

// HalideMoles is how many moles of each halide ion one mole of a soluble halide
// gives to the silver bath; zero for everything else.
type HalideMoles struct{ Iodide, Bromide, Chloride int }

// Total counts all three.
func (h HalideMoles) Total() int { return h.Iodide + h.Bromide + h.Chloride }

// Halides counts the halide ions of the formula. Cadmium and zinc salts give
// two.
func (s Substance) Halides() HalideMoles {
	atoms, ok := s.atoms()
	if !ok || !s.Is(Halide) {
		return HalideMoles{}
	}
	return HalideMoles{Iodide: atoms["I"], Bromide: atoms["Br"], Chloride: atoms["Cl"]}
}

// silverNitrateMolarMass is M(AgNO3) = 169.872 g/mol.
var silverNitrateMolarMass = func() float64 {
	a, err := ParseFormula("AgNO3")
	if err != nil {
		panic(err) // a constant formula
	}
	return a.Mass()
}()

// SilverNitrateMolarMass returns M(AgNO3) in g/mol.
func SilverNitrateMolarMass() float64 { return silverNitrateMolarMass }

// SilverShare is the mass of silver in one unit mass of silver nitrate, 0.6350.
func SilverShare() float64 { return atomicWeights["Ag"] / silverNitrateMolarMass }

// SilverNitratePerSilverChloride turns weighed silver chloride into the silver
// nitrate it came from: M(AgNO3)/M(AgCl) = 1.1853.
func SilverNitratePerSilverChloride() float64 {
	return silverNitrateMolarMass / (atomicWeights["Ag"] + atomicWeights["Cl"])
}

// SilverNitratePerGram returns the grams of silver nitrate one gram of a halide
// salt turns into silver halide: n·M(AgNO3)/M, n being its halide ions. Zero
// for what is no halide salt.
func (s Substance) SilverNitratePerGram() float64 {
	m, ok := s.MolarMass()
	if !ok || m == 0 {
		return 0
	}
	return float64(s.Halides().Total()) * silverNitrateMolarMass / m
}
