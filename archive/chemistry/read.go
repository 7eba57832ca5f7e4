package chemistry

import (
	"errors"
	"fmt"
	"math"

	"sandarac/archive/chemistry/substance"
	"sandarac/archive/chemistry/unit"
)

// Read understands a mix. What cannot be understood is left out of the recipe
// and reported; the rest stands. Volumes of liquids are added without
// contraction when the finished volume is not noted.
func Read(m Mix) (Recipe, []Problem) {
	r := Recipe{Kind: m.Kind}
	var problems []Problem
	for i, p := range m.Parts {
		line, found := readPart(i, p)
		problems = append(problems, found...)
		if line == nil {
			r.Unread = append(r.Unread, Unread{substance.Find(p.Substance).Substance, i})
			continue
		}
		if line.note != "" {
			r.assume("%s: %s.", line.Substance.Name, line.note)
		}
		r.Lines = append(r.Lines, *line)
	}
	problems = append(problems, r.setVolume(m)...)
	r.spread()
	r.assumeHydrates(m)
	problems = append(problems, r.remarks()...)
	problems = append(problems, pairProblems(r)...)
	return r, problems
}

func (r *Recipe) assume(format string, args ...any) {
	r.Assumptions = append(r.Assumptions, fmt.Sprintf(format, args...))
}

// readPart understands one part; nil when its amount cannot stand.
func readPart(i int, p Part) (*Line, []Problem) {
	match := substance.Find(p.Substance)
	name := match.Name
	line := &Line{Substance: match.Substance, Known: match.Known, Part: i}
	problems := nameProblems(i, match)

	given := 0
	for _, x := range []*float64{p.Grams, p.Millilitres, p.PercentWV} {
		if x == nil {
			continue
		}
		given++
		if !(*x > 0) || math.IsInf(*x, 0) {
			return nil, append(problems, problem(Error, "amount-not-positive", i,
				fmt.Sprintf("%s: %v is not an amount", name, *x), "give a weight or volume above nothing"))
		}
	}
	if p.Amount != "" {
		given++
	}
	if given != 1 {
		return nil, append(problems, problem(Error, "amount-count", i,
			fmt.Sprintf("%s has %d amounts", name, given), "give one of grams, ml, percent_wv or amount"))
	}
	switch {
	case p.Grams != nil:
		line.absoluteGrams, line.Written = *p.Grams, fmt.Sprintf("%g g", *p.Grams)
	case p.Millilitres != nil:
		line.absoluteVolumes, line.Written = *p.Millilitres, fmt.Sprintf("%g ml", *p.Millilitres)
	case p.PercentWV != nil:
		if *p.PercentWV > 100 {
			return nil, append(problems, problem(Error, "percent-over-100", i,
				fmt.Sprintf("%s: %g %% w/v is over 100", name, *p.PercentWV), "per cent is grams in 100 ml of the mix; give grams if you weighed it"))
		}
		line.gramsPerMlOfMix, line.Written = *p.PercentWV/100, fmt.Sprintf("%g %% w/v", *p.PercentWV)
	default:
		if bad := line.readAmount(p.Amount); bad != nil {
			bad.Part = i
			bad.Message = name + ": " + bad.Message
			return nil, append(problems, *bad)
		}
	}
	if line.Known && !match.Liquid() && (line.absoluteVolumes > 0 || line.mlPerMlOfMix > 0) {
		problems = append(problems, problem(Warning, "solid-by-volume", i,
			fmt.Sprintf("%s is a solid, given by volume (%s): it is not counted", name, line.Written),
			"give grams; if it was added as a solution, the grams in it"))
	}
	return line, problems
}

func nameProblems(i int, m substance.Match) []Problem {
	switch {
	case !m.Known && m.Near != "":
		return []Problem{problem(Remark, "substance-unknown", i,
			fmt.Sprintf("%s: %s; is it %s?", m.Name, substance.NoData, m.Near), "write "+m.Near+" if that is what it is")}
	case !m.Known:
		return []Problem{problem(Remark, "substance-unknown", i, m.Name+": "+substance.NoData, "keep its safety data sheet with the batch")}
	case m.Question != "":
		severity := Remark
		if m.Is(substance.Halide) { // the silver account hangs on it
			severity = Warning
		}
		return []Problem{problem(severity, "hydrate-open", i, m.Question, "write the name with its hydrate; until then "+m.Name+" is taken")}
	}
	return nil
}

// readAmount reads old units into the line.
func (l *Line) readAmount(text string) *Problem {
	a, err := unit.Parse(text)
	if ask, ok := errors.AsType[*unit.Ask](err); ok {
		return &Problem{Severity: Error, Code: "unit-open", Entry: Whole, Message: fmt.Sprintf("which %s is meant in %q?", ask.Word, text), Remedy: ask.Remedy()}
	}
	if err != nil {
		return &Problem{Severity: Error, Code: "amount-unreadable", Entry: Whole, Message: err.Error(), Remedy: unit.Accepted}
	}
	if a.Unit == "drachm" && (l.Substance.Liquid() || !l.Known) {
		return &Problem{Severity: Error, Code: "unit-open", Entry: Whole, Message: fmt.Sprintf("%q: a drachm by weight or a fluid drachm?", text),
			Remedy: `write "fl dr US" (3.697 ml), "fl dr imp" (3.552 ml), or "dr ap" (3.888 g)`}
	}
	l.Written, l.note = text, a.Note
	if a.PerVolume() {
		l.gramsPerMlOfMix, l.mlPerMlOfMix = a.In(1)
	} else {
		l.absoluteGrams, l.absoluteVolumes = a.Grams, a.Millilitres
	}
	return nil
}

// setVolume settles the finished volume.
func (r *Recipe) setVolume(m Mix) []Problem {
	if m.VolumeMl < 0 || math.IsNaN(m.VolumeMl) || math.IsInf(m.VolumeMl, 0) {
		return []Problem{problem(Error, "volume-not-positive", Whole, fmt.Sprintf("a volume of %v ml", m.VolumeMl), "give volume_ml above nothing")}
	}
	t := r.totals()
	switch {
	case m.VolumeMl > 0:
		r.VolumeMl = m.VolumeMl
		if t.liquidMl > 1.1*m.VolumeMl {
			return []Problem{problem(Remark, "volume-less-than-parts", Whole,
				fmt.Sprintf("the liquids add up to %s ml, the batch is noted as %s ml", unit.Figure(t.liquidMl), unit.Figure(m.VolumeMl)), "check volume_ml and the parts")}
		}
		if t.solidG > m.VolumeMl {
			return []Problem{problem(Warning, "more-solid-than-volume", Whole,
				fmt.Sprintf("%s g of solids in %s ml: no solution here holds so much", unit.Figure(t.solidG), unit.Figure(m.VolumeMl)), "check volume_ml and the grams")}
		}
	case t.liquidMl > 0 && t.solidG <= t.liquidMl:
		r.VolumeMl, r.Summed = t.liquidMl, true
		r.assume("The volume is that of the liquids added together, without contraction.")
		if t.weighed {
			r.assume("Liquids given by weight are turned into millilitres by their density at 20 °C.")
		}
	case t.liquidMl > 0:
		return []Problem{problem(Warning, "volume-missing", Whole,
			fmt.Sprintf("no volume: the liquids noted, %s ml, cannot hold %s g of solids", unit.Figure(t.liquidMl), unit.Figure(t.solidG)), "add volume_ml, the finished volume, or the water")}
	case t.solidG > 0:
		return []Problem{problem(Warning, "volume-missing", Whole, "no volume: grams per 100 ml cannot be worked out", "add volume_ml, the finished volume")}
	}
	return nil
}

// totals are the whole amounts of a recipe.
type totals struct {
	liquidMl, solidG float64
	weighed          bool // a liquid was given by weight
}

func (r *Recipe) totals() totals {
	var t totals
	for _, l := range r.Lines {
		if !l.Known || l.Substance.Liquid() { // a solid by volume is not counted
			t.liquidMl += l.absoluteVolumes
		}
		switch d := l.Substance.Density; {
		case l.absoluteGrams == 0:
		case d != nil:
			t.liquidMl += l.absoluteGrams / d.GramsPerMillilitre
			t.weighed = true
		default:
			t.solidG += l.absoluteGrams
		}
	}
	return t
}

// spread works out every line for the batch and for 100 ml.
func (r *Recipe) spread() {
	for i := range r.Lines {
		l := &r.Lines[i]
		l.Grams = l.absoluteGrams + l.gramsPerMlOfMix*r.VolumeMl
		l.Millilitres = l.absoluteVolumes + l.mlPerMlOfMix*r.VolumeMl
		l.GramsPer100ml, l.MlPer100ml = 100*l.gramsPerMlOfMix, 100*l.mlPerMlOfMix
		if r.VolumeMl > 0 {
			l.GramsPer100ml, l.MlPer100ml = 100*l.Grams/r.VolumeMl, 100*l.Millilitres/r.VolumeMl
		}
	}
}

func (r *Recipe) assumeHydrates(m Mix) {
	for _, l := range r.Lines {
		if match := substance.Find(m.Parts[l.Part].Substance); match.Question != "" {
			r.assume("%s is taken as %s.", m.Parts[l.Part].Substance, match.Name)
		}
		if !l.Known && (l.Substance.Is(substance.Iodide) || l.Substance.Is(substance.Bromide) || l.Substance.Is(substance.Chloride)) {
			r.assume("%s is not counted among the halides: its formula is not in the cupboard.", l.Substance.Name)
		}
	}
}
