package chemistry

import (
	"slices"

	"sandarac/archive/chemistry/substance"
)

// Part is one substance of a recipe as written, with exactly one amount.
type Part struct {
	Substance   string
	Grams       *float64
	Millilitres *float64
	PercentWV   *float64 // grams in 100 ml of the mix
	Amount      string   // old units; see unit.Parse
}

// Mix is a recipe as written. VolumeMl is the finished volume, 0 if not noted.
type Mix struct {
	Kind     Kind
	VolumeMl float64
	Parts    []Part
}

// Line is one part understood. Of the batch's Grams and Millilitres, and of the
// amounts per 100 ml, at most one each is set; 0 means not known.
type Line struct {
	Substance substance.Substance
	Known     bool   // in the cupboard
	Part      int    // index in the mix
	Written   string // the amount as written, such as "8 gr/fl oz US"

	Grams, Millilitres        float64
	GramsPer100ml, MlPer100ml float64

	// As given: for a millilitre of the mix, or for the batch.
	gramsPerMlOfMix, mlPerMlOfMix  float64
	absoluteGrams, absoluteVolumes float64
	note                           string
}

// Recipe is a mix understood.
type Recipe struct {
	Kind     Kind
	VolumeMl float64 // 0 when neither noted nor summed
	// Summed is set when the volume is that of the liquids added together.
	Summed      bool
	Lines       []Line
	Assumptions []string // what was taken for granted, in sentences
	// Unread are the parts whose amount could not be understood: they are in
	// the bottle all the same, and count in every caution.
	Unread []Unread
}

// Unread is a substance without an amount.
type Unread struct {
	Substance substance.Substance
	Part      int // index in the mix
}

// Has reports whether any substance of the recipe belongs to a class.
func (r Recipe) Has(c substance.Class) bool {
	return someIs(r.Substances(), []substance.Class{c})
}

// Substances lists what is in the recipe, once each, in order, those without an
// amount at the end.
func (r Recipe) Substances() []substance.Substance {
	var out []substance.Substance
	add := func(s substance.Substance) {
		if !slices.ContainsFunc(out, func(have substance.Substance) bool { return have.Slug == s.Slug }) {
			out = append(out, s)
		}
	}
	for _, l := range r.Lines {
		add(l.Substance)
	}
	for _, u := range r.Unread {
		add(u.Substance)
	}
	return out
}

// GramsPer100ml sums the lines of a substance (by slug).
func (r Recipe) GramsPer100ml(slug string) float64 {
	sum := 0.0
	for _, l := range r.Lines {
		if l.Substance.Slug == slug {
			sum += l.GramsPer100ml
		}
	}
	return sum
}

// SilverNitratePercentWV is the strength of a bath in grams per 100 ml, 0 when
// not known.
func (r Recipe) SilverNitratePercentWV() float64 { return r.GramsPer100ml("silver-nitrate") }

// SilverNitrateG is the silver nitrate of the whole batch in grams.
func (r Recipe) SilverNitrateG() float64 {
	sum := 0.0
	for _, l := range r.Lines {
		if l.Substance.Slug == "silver-nitrate" {
			sum += l.Grams
		}
	}
	return sum
}
