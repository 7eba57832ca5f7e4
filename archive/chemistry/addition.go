package chemistry

import (
	"fmt"

	"sandarac/archive/chemistry/substance"
)

// Addition is what one log entry poured into a batch.
type Addition struct {
	Lines          []Line
	SilverNitrateG float64
	LiquidMl       float64
	// HalideG is halide put in, as the silver nitrate it takes, in grams.
	HalideG float64
}

// Substances lists what was added, in order.
func (a Addition) Substances() []substance.Substance { return Recipe{Lines: a.Lines}.Substances() }

// ReadAdded understands the additions of a log entry. They are whole amounts:
// one for a volume (per cent, grains to the ounce) is refused, since the log
// does not say of how much.
func ReadAdded(parts []Part) (Addition, []Problem) {
	var a Addition
	var problems []Problem
	for i, p := range parts {
		line, found := readPart(i, p)
		problems = append(problems, found...)
		if line == nil {
			continue
		}
		if line.gramsPerMlOfMix > 0 || line.mlPerMlOfMix > 0 {
			problems = append(problems, problem(Error, "addition-per-volume", i,
				fmt.Sprintf("%s: %s says how strong, not how much", line.Substance.Name, line.Written), "give the grams or millilitres that were added"))
			continue
		}
		line.Grams, line.Millilitres = line.absoluteGrams, line.absoluteVolumes
		a.Lines = append(a.Lines, *line)
		if line.Substance.Slug == "silver-nitrate" {
			a.SilverNitrateG += line.Grams
		}
		a.HalideG += line.Grams * line.Substance.SilverNitratePerGram()
		a.LiquidMl += line.Millilitres
	}
	return a, problems
}
