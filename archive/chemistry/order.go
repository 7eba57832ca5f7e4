package chemistry

import (
	"slices"

	"sandarac/archive/chemistry/substance"
)

// MixStep is one line of the order of mixing: what to do with which lines of
// the recipe.
type MixStep struct {
	Text  string
	Lines []int // indices into Recipe.Lines
}

type stage struct {
	text  string
	takes func(substance.Substance) bool
	// always prints the stage even when no line belongs to it.
	always bool
}

func class(classes ...substance.Class) func(substance.Substance) bool {
	return func(s substance.Substance) bool { return isAny(s, classes) }
}

func none(substance.Substance) bool { return false }

// orders are common practice, by the published formulae of each solution.
var orders = map[Kind][]stage{
	Collodion: {
		{"In a room without flame or spark: put the plain collodion, or the cotton wetted with a little alcohol and then the ether, into a clean dry bottle; shake until clear", class(substance.Nitrocellulose, substance.Ether), false},
		{"In another bottle dissolve the iodides and bromides in the alcohol: cadmium salts first; potassium and sodium salts in the least possible water before that", class(substance.Halide, substance.Alcohol, substance.Iodide, substance.Bromide), false},
		{"Pour the salted alcohol into the collodion a little at a time, shaking", none, true},
		{"Let it settle, decant, and label: batch, date iodised, every part in grams, hazards", none, true},
	},
	Bath: {
		{"Goggles on. Take about three quarters of the distilled water", class(substance.Water), true},
		{"Dissolve the silver nitrate", class(substance.Silver), false},
		{"Iodise: the iodide dissolved in a little water, or one coated plate left in overnight", class(substance.Iodide), true},
		{"Make up to the volume, stand a day, filter", none, true},
		{"Acid by drops until blue litmus just reddens (about pH 4 to 4.5); acid into the bath, never the other way", class(substance.Acid), true},
	},
	Developer: {
		{"Take most of the water", class(substance.Water), false},
		{"Dissolve the iron salt, and what other salts there are; filter", class(substance.Iron, substance.Copper, substance.Nitrate), false},
		{"Add the acid to it, never the other way", class(substance.Acid), false},
		{"Add the alcohol last, only as much as makes it flow; make up to the volume", class(substance.Alcohol), false},
	},
	Fixer: {
		{"Label the bottle first. No acid in the room, in the sink or in the drain", none, true},
		{"Take the water", class(substance.Water), false},
		{"Dissolve the fixing salt in it, under extraction; make up to the volume; close", class(substance.Cyanide, substance.Thiosulfate), false},
	},
	Varnish: {
		{"Put the resin and the alcohol into a bottle; shake daily until dissolved, some days, without heat", class(substance.Resin, substance.Alcohol), false},
		{"Filter", none, true},
		{"Add the oil, shake, stand clear", class(substance.Organic), false},
	},
}

// Order returns the order of mixing. Every line of the recipe appears in one
// step; what no step calls for comes at the end.
func (r Recipe) Order() []MixStep {
	taken := make([]bool, len(r.Lines))
	var out []MixStep
	for _, st := range orders[r.Kind] {
		step := MixStep{Text: st.text}
		for i, l := range r.Lines {
			if !taken[i] && !misfit(r.Kind, l.Substance) && st.takes(l.Substance) {
				taken[i] = true
				step.Lines = append(step.Lines, i)
			}
		}
		if st.always || len(step.Lines) > 0 {
			out = append(out, step)
		}
	}
	rest := MixStep{Text: "Not in the usual order: think before adding, and read the data sheet"}
	for i := range r.Lines {
		if !taken[i] {
			rest.Lines = append(rest.Lines, i)
		}
	}
	if len(rest.Lines) > 0 {
		out = append(out, rest)
	}
	return out
}

// misfit keeps what makes a grave pair in this kind of mix out of its order.
func misfit(k Kind, s substance.Substance) bool {
	bad := map[Kind][]substance.Class{
		Collodion: {substance.Cyanide, substance.Silver, substance.Ammonia},
		Bath:      {substance.Cyanide, substance.Ammonia, substance.Thiosulfate},
		Developer: {substance.Cyanide, substance.Thiosulfate},
		Fixer:     {substance.Acid, substance.Ammonia, substance.Silver},
		Varnish:   {substance.Cyanide, substance.Silver},
	}
	return slices.ContainsFunc(bad[k], s.Is)
}
