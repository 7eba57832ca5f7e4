package chemistry

import (
	"math"

	"sandarac/archive/chemistry/substance"
)

// Halides are what a collodion gives to the silver bath.
type Halides struct {
	// IodideMmol, BromideMmol and ChlorideMmol are millimoles in 100 ml.
	IodideMmol, BromideMmol, ChlorideMmol float64
	// SaltsG are grams of halide salts in 100 ml; IodideSaltsG and
	// BromideSaltsG are the two kinds, as the old books weigh them.
	SaltsG, IodideSaltsG, BromideSaltsG float64
	// IodineG and BromineG are the elements in 100 ml.
	IodineG, BromineG float64
	// SilverMgPerMl is the AgNO3 in milligrams that the halides of one
	// millilitre turn into silver halide: Σ mmol · M(AgNO3) / 100.
	SilverMgPerMl float64
}

// TotalMmol sums the three halides.
func (h Halides) TotalMmol() float64 { return h.IodideMmol + h.BromideMmol + h.ChlorideMmol }

// IodideToBromide is the molar ratio; +Inf without bromide, NaN without either.
func (h Halides) IodideToBromide() float64 { return h.IodideMmol / h.BromideMmol }

// SaltsByWeight is the ratio of iodide to bromide salts by weight.
func (h Halides) SaltsByWeight() float64 { return h.IodideSaltsG / h.BromideSaltsG }

// IodineToBromine is the ratio of the elements by weight.
func (h Halides) IodineToBromine() float64 { return h.IodineG / h.BromineG }

// Halides counts the halides of a recipe from its lines' grams per 100 ml.
func (r Recipe) Halides() Halides {
	var h Halides
	for _, l := range r.Lines {
		ions := l.Substance.Halides()
		mass, ok := l.Substance.MolarMass()
		if !ok || ions.Total() == 0 || l.GramsPer100ml == 0 {
			continue
		}
		mmol := 1000 * l.GramsPer100ml / mass
		h.IodideMmol += mmol * float64(ions.Iodide)
		h.BromideMmol += mmol * float64(ions.Bromide)
		h.ChlorideMmol += mmol * float64(ions.Chloride)
		h.SaltsG += l.GramsPer100ml
		if ions.Iodide > 0 {
			h.IodideSaltsG += l.GramsPer100ml
		}
		if ions.Bromide > 0 {
			h.BromideSaltsG += l.GramsPer100ml
		}
	}
	iodine, _ := substance.AtomicWeight("I")
	bromine, _ := substance.AtomicWeight("Br")
	h.IodineG, h.BromineG = h.IodideMmol*iodine/1000, h.BromideMmol*bromine/1000
	h.SilverMgPerMl = h.TotalMmol() * substance.SilverNitrateMolarMass() / 100
	return h
}

// BathFor is the least bath in % w/v for a collodion with so many grams of
// salts in 100 ml, and false where the rule says nothing: 8 grains of salts to
// the ounce want a bath of at least 50 grains, 5½ to 6½ want 45 (Estabrooke,
// Photography in the Studio and in the Field, 1887; US ounces).
func BathFor(saltsPer100ml float64) (percentWV float64, ok bool) {
	const grains = 0.219111 // g/100 ml per grain to the US fluid ounce
	switch {
	case math.IsNaN(saltsPer100ml) || saltsPer100ml < 5.5*grains:
		return 0, false
	case saltsPer100ml < 8*grains-1e-9:
		return 45 * grains, true
	}
	return 50 * grains, true
}
