package chemistry

import "sandarac/archive/chemistry/substance"

// Substitute is a less dangerous material or way for the same step.
type Substitute struct {
	For     string // what it replaces
	Use     string
	Changes string // what it changes for the plate and the work
	Source  string

	applies func(Recipe) bool
}

var substitutes = []Substitute{
	{For: "potassium cyanide", Use: "sodium thiosulfate, 15 to 25 % w/v of the crystals",
		Changes: "Fixes in 2 to 5 minutes instead of seconds and wants 20 to 30 minutes of washing instead of 5 to 10. The image is a little cooler and darker, the lights less bright; a trace left in the film fades it later. It is not a poison; keep it from acids and from the silver bath.",
		Source:  "common practice; Schriever §900",
		applies: func(r Recipe) bool { return r.Has(substance.Cyanide) }},
	{For: "cadmium bromide", Use: "lithium, zinc or potassium bromide in the same moles of bromide",
		Changes: "No cadmium. Lithium and zinc salts draw water; potassium bromide barely dissolves in alcohol. The collodion ripens and reddens sooner; contrast wants a fresh test.",
		Source:  "common practice",
		applies: func(r Recipe) bool { return hasAll(r, substance.Cadmium, substance.Bromide) }},
	{For: "cadmium iodide", Use: "ammonium, lithium or potassium iodide in the same moles of iodide",
		Changes: "No cadmium. The collodion ripens faster and keeps for weeks instead of months.",
		Source:  "Hardwich; Towler ch. IX; common practice",
		applies: func(r Recipe) bool { return hasAll(r, substance.Cadmium, substance.Iodide) }},
	{For: "ammonium bromide", Use: "lithium or zinc bromide in the same moles of bromide",
		Changes: "Without the harm to an unborn child that ammonium bromide is classified for. These salts draw water: weigh quickly.",
		Source:  "common practice",
		applies: func(r Recipe) bool { return hasSlug(r, "ammonium-bromide") }},
	{For: "ether and cotton mixed in the studio", Use: "plain collodion bought ready made",
		Changes: "No dry cotton and less loose ether. Note the maker's strength: film and pour change with it.",
		Source:  "common practice",
		applies: func(r Recipe) bool { return hasSlug(r, "pyroxylin") && hasSlug(r, "diethyl-ether") }},
	{For: "glacial acetic acid", Use: "acetic acid bought diluted, in the volume that holds the same acid",
		Changes: "The plate does not notice; the bottle no longer burns through gloves. Take the water it brings off the recipe's water.",
		Source:  "common practice",
		applies: func(r Recipe) bool { return hasSlug(r, "acetic-acid") }},
	{For: "denatured alcohol of unknown make-up", Use: "undenatured ethanol, or one whose sheet shows no methanol",
		Changes: "Known strength: fewer crapy films and softer varnish marks.",
		Source:  "common practice",
		applies: func(r Recipe) bool { return hasSlug(r, "denatured-alcohol") }},
	{For: "ammonia to neutralise a bath", Use: "sodium bicarbonate by drops of solution until a faint cloud stays",
		Changes: "The same bath, without fulminating silver.",
		Source:  "common practice; old books say ammonia",
		applies: func(r Recipe) bool { return r.Has(substance.Ammonia) }},
	{For: "boiling an old bath", Use: "sending it for refining and making a new one",
		Changes: "A fresh bath wants iodising; nothing is heated.",
		Source:  "common practice",
		applies: func(r Recipe) bool { return r.Kind == Bath }},
}

// Substitutes returns the hints for a recipe, gravest first.
func Substitutes(r Recipe) []Substitute {
	var out []Substitute
	for _, s := range substitutes {
		if s.applies(r) {
			out = append(out, s)
		}
	}
	return out
}

func hasSlug(r Recipe, slug string) bool {
	for _, l := range r.Lines {
		if l.Substance.Slug == slug {
			return true
		}
	}
	return false
}

// hasAll reports whether one substance of the recipe belongs to every class.
func hasAll(r Recipe, classes ...substance.Class) bool {
	for _, l := range r.Lines {
		all := true
		for _, c := range classes {
			all = all && l.Substance.Is(c)
		}
		if all {
			return true
		}
	}
	return false
}
