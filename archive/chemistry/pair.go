package chemistry

import (
	"fmt"
	"slices"
	"strings"

	"sandarac/archive/chemistry/substance"
)

// Pair is two things that must not meet.
type Pair struct {
	Slug   string
	A, B   []substance.Class // any of A with any of B
	AWords string            // A in words
	BWords string
	Danger string // what happens
	Rule   string // what to do about it
	Source string
	// Grave pairs make a recipe an error; the others a warning.
	Grave bool
}

var pairs = []Pair{
	{Slug: "cyanide-acid", A: []substance.Class{substance.Cyanide}, B: []substance.Class{substance.Acid}, Grave: true,
		AWords: "cyanide", BWords: "any acid",
		Danger: "Cyanide and any acid give hydrogen cyanide gas, which kills. That includes acetic and nitric acid, developer carried over on the plate, drips of the acid bath, stop baths, and shared sinks, trays, drains and waste cans.",
		Rule:   "Separate shelves, tools and waste; wash all developer off the plate before the fixer, every time. The smell is no warning: many cannot smell it.",
		Source: "Regulation (EC) No 1272/2008, Annex II, EUH032; Prudent Practices in the Laboratory, 1995, p. 395; University of Illinois DRS, Cyanides"},
	{Slug: "cyanide-oxidiser", A: []substance.Class{substance.Cyanide}, B: []substance.Class{substance.Silver, substance.Nitrate, substance.Oxidiser},
		AWords: "cyanide", BWords: "silver bath, nitrates, nitrites, chlorates, peroxide or bleach", Grave: true,
		Danger: "Toxic gas or a violent reaction.", Rule: "Keep them apart, and their wastes apart.",
		Source: "Bretherick's Handbook of Reactive Chemical Hazards (from memory)"},
	{Slug: "silver-ammonia", A: []substance.Class{substance.Silver}, B: []substance.Class{substance.Ammonia}, Grave: true,
		AWords: "silver", BWords: "ammonia",
		Danger: "Silver and ammonia form fulminating silver on standing or drying; it has exploded undisturbed, and in a refrigerator.",
		Rule:   "No ammonia to neutralise a bath, whatever old books say; no ammonia cleaner on silver stains or in silver waste. Such a mixture must not be stored at all.",
		Source: "Stainsfile, Safe handling of silver; JAMA, Explosion of silver fulminate in histopathologic laboratory"},
	{Slug: "silver-organic", A: []substance.Class{substance.Silver},
		B:      []substance.Class{substance.Alcohol, substance.Ether, substance.Nitrocellulose, substance.Organic},
		AWords: "silver nitrate", BWords: "alcohol, ether, collodion, cotton, paper or wood",
		Danger: "Silver nitrate is an oxidiser: with what burns it can start a fire, and with alcohol and nitric acid it can form silver fulminate.",
		Rule:   "Nothing organic into the bath beyond what plates carry in; never warm an acid bath that holds alcohol.",
		Source: "Bretherick's Handbook of Reactive Chemical Hazards (from memory)"},
	{Slug: "thiosulfate-acid", A: []substance.Class{substance.Thiosulfate}, B: []substance.Class{substance.Acid},
		AWords: "thiosulfate", BWords: "acid",
		Danger: "Sulfur dioxide gas and a milk of sulfur.", Rule: "Wash the developer off before fixing; keep acids away from the fixer.", Source: "common chemistry (from memory)"},
	{Slug: "thiosulfate-silver-bath", A: []substance.Class{substance.Thiosulfate}, B: []substance.Class{substance.Silver},
		AWords: "thiosulfate", BWords: "the silver bath",
		Danger: "A trace of fixer ruins the bath.", Rule: "Separate tongs, hands and trays.", Source: "common practice"},
	{Slug: "nitrocellulose-heat", A: []substance.Class{substance.Nitrocellulose}, B: []substance.Class{substance.Acid, substance.Alkali, substance.Oxidiser},
		AWords: "dried collodion, skins and rags", BWords: "heat, acid, alkali or oxidisers",
		Danger: "Dry nitrocellulose ignites, and burns without air.", Rule: "Keep it wet and covered, away from the varnish flame.", Source: "nitrocellulose safety page"},
	{Slug: "cyanide-iron", A: []substance.Class{substance.Cyanide}, B: []substance.Class{substance.Iron},
		AWords: "cyanide", BWords: "iron salts (developer)",
		Danger: "Blue stains and fixer lost; and developer is acid besides.", Rule: "Never mix the two, nor their wastes.", Source: "common practice"},
	{Slug: "vapour-flame", A: []substance.Class{substance.Ether, substance.Flammable}, AWords: "ether, collodion, varnish or alcohol",
		BWords: "a flame, hot plate, spark, motor, lamp or heater",
		Danger: "The vapour is heavier than air, runs along the floor, and flashes back from a flame in the next room. Collodion can charge on pouring.",
		Rule:   "No flame and no smoking; ground and ventilate low. Warm varnish by indirect heat, never over a flame.", Source: "ICSC 0355; ABC of Safety in the Biological Sciences, Collodion; common practice"},
	{Slug: "old-ether", A: []substance.Class{substance.Ether}, AWords: "ether", BWords: "age, air and light",
		Danger: "Old ether forms explosive peroxides.",
		Rule:   "Keep it dark, date it on opening, retire it on the date your code or its data sheet gives (6 months opened is a usual default). Do not open a crusted bottle; do not distil.",
		Source: "EUH019; ICSC 0355; Prudent Practices in the Laboratory, 2011 (from memory)"},
}

// Pairs returns every pair, gravest first. The caller may keep the slice.
func Pairs() []Pair { return slices.Clone(pairs) }

// PairsFor returns the pairs any of the substances has a part in, on either
// side: what to keep them away from.
func PairsFor(list []substance.Substance) []Pair {
	var out []Pair
	for _, p := range pairs {
		if someIs(list, p.A) || someIs(list, p.B) {
			out = append(out, p)
		}
	}
	return out
}

// Meeting is a pair found together.
type Meeting struct {
	Pair
	First, Second substance.Substance
}

// Meetings returns the pairs that meet within the substances of one mix, each
// once.
func Meetings(list []substance.Substance) []Meeting {
	var out []Meeting
	for _, p := range pairs {
		a := slices.IndexFunc(list, func(s substance.Substance) bool { return isAny(s, p.A) })
		b := slices.IndexFunc(list, func(s substance.Substance) bool { return isAny(s, p.B) })
		if a >= 0 && b >= 0 && a != b {
			out = append(out, Meeting{Pair: p, First: list[a], Second: list[b]})
		}
	}
	return out
}

func someIs(list []substance.Substance, classes []substance.Class) bool {
	return slices.ContainsFunc(list, func(s substance.Substance) bool { return isAny(s, classes) })
}

func isAny(s substance.Substance, classes []substance.Class) bool {
	return slices.ContainsFunc(classes, s.Is)
}

// pairProblems warns of pairs that meet in a recipe, at the later part.
func pairProblems(r Recipe) []Problem {
	var out []Problem
	for _, m := range Meetings(r.Substances()) {
		part := Whole
		meets := func(s substance.Substance, at int) {
			if s.Slug == m.First.Slug || s.Slug == m.Second.Slug {
				part = max(part, at)
			}
		}
		for _, l := range r.Lines {
			meets(l.Substance, l.Part)
		}
		for _, u := range r.Unread {
			meets(u.Substance, u.Part)
		}
		out = append(out, problem(m.severity(), "incompatible", part, m.message(), m.Rule))
	}
	return out
}

func (m Meeting) severity() Severity {
	if m.Grave {
		return Error
	}
	return Warning
}

func (m Meeting) message() string {
	return fmt.Sprintf("%s with %s. %s", m.First.Name, m.Second.Name, m.Danger)
}

// Warns writes the pair in one sentence: what with what, and why.
func (p Pair) Warns() string {
	return strings.ToUpper(p.AWords[:1]) + p.AWords[1:] + " with " + p.BWords + ": " + p.Danger
}
