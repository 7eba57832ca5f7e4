package unit

import "slices"

// system is the family of weights or measures a writer named.
type system string

const (
	unnamed      system = ""
	us           system = "US"
	imperial     system = "imperial"
	avoirdupois  system = "avoirdupois"
	apothecaries system = "apothecaries"
)

var systemWords = map[string]system{
	"us": us, "usa": us, "american": us,
	"imp": imperial, "imperial": imperial, "uk": imperial, "british": imperial, "english": imperial, "br": imperial,
	"av": avoirdupois, "avdp": avoirdupois, "avoir": avoirdupois, "avoirdupois": avoirdupois,
	"ap": apothecaries, "apoth": apothecaries, "apothecary": apothecaries, "apothecaries": apothecaries, "troy": apothecaries,
}

// measure is one unit in one system: grams if mass, else millilitres.
type measure struct {
	name string
	mass bool
	size float64
	note string
}

// word is a unit as written, with what it is in each system. A system that is
// missing is refused; unnamed missing means the writer is asked.
type word struct {
	name    string
	choices []string // offered when no system is named
	in      map[system]measure
}

func mass(name string, size float64) measure   { return measure{name: name, mass: true, size: size} }
func volume(name string, size float64) measure { return measure{name: name, size: size} }

func metric(m measure) word { return word{name: m.name, in: map[system]measure{unnamed: m}} }

func fluid(name string, usSize, imperialSize float64, choices ...string) word {
	return word{name: name, choices: choices, in: map[system]measure{
		us: volume("US "+name, usSize), imperial: volume("imperial "+name, imperialSize)}}
}

var (
	grain       = mass("grain", GramsPerGrain)
	drachm      = mass("drachm", GramsPerDrachm)
	fluidOunce  = fluid("fluid ounce", MillilitresPerUSFluidOunce, MillilitresPerImperialFluidOunce, `"fl oz US" (29.57 ml)`, `"fl oz imp" (28.41 ml)`)
	fluidDrachm = fluid("fluid drachm", MillilitresPerUSFluidDrachm, MillilitresPerImperialFluidDrachm, `"fl dr US" (3.697 ml)`, `"fl dr imp" (3.552 ml)`)

	ounce = word{name: "ounce",
		choices: slices.Concat(fluidOunce.choices, []string{`"oz av" (28.35 g)`, `"oz ap" (31.10 g)`}),
		in: map[system]measure{
			us: fluidOunce.in[us], imperial: fluidOunce.in[imperial],
			avoirdupois:  mass("avoirdupois ounce", GramsPerAvoirdupoisOunce),
			apothecaries: mass("apothecaries' ounce", GramsPerApothecariesOunce)}}
	pound = word{name: "pound",
		choices: []string{`"lb av" (453.6 g)`, `"lb ap" (373.2 g)`},
		in: map[system]measure{
			avoirdupois:  mass("avoirdupois pound", GramsPerAvoirdupoisPound),
			apothecaries: mass("apothecaries' pound", GramsPerApothecariesPound)}}
	// A drachm of a photographic recipe is 60 grains (trade usage); with a
	// fluid system named it is the fluid drachm.
	drachmWord = word{name: "drachm", in: map[system]measure{
		unnamed: drachm, apothecaries: mass("apothecaries' drachm", GramsPerDrachm),
		avoirdupois: mass("avoirdupois dram", GramsPerAvoirdupoisDram),
		us:          fluidDrachm.in[us], imperial: fluidDrachm.in[imperial]}}
	grainWord   = word{name: "grain", in: map[system]measure{unnamed: grain, avoirdupois: grain, apothecaries: grain}}
	scrupleWord = word{name: "scruple", in: map[system]measure{
		unnamed: mass("scruple", GramsPerScruple), apothecaries: mass("scruple", GramsPerScruple)}}
	minim = fluid("minim", MillilitresPerUSMinim, MillilitresPerImperialMinim, `"minim US" (0.0616 ml)`, `"minim imp" (0.0592 ml)`)
	pint  = fluid("pint", MillilitresPerUSPint, MillilitresPerImperialPint, `"pint US" (473.2 ml)`, `"pint imp" (568.3 ml)`)
	quart = fluid("quart", MillilitresPerUSQuart, MillilitresPerImperialQuart, `"quart US" (946.4 ml)`, `"quart imp" (1137 ml)`)
	gal   = fluid("gallon", MillilitresPerUSGallon, MillilitresPerImperialGallon, `"gallon US" (3785 ml)`, `"gallon imp" (4546 ml)`)
	drop  = metric(measure{name: "drop", size: MillilitresPerDrop,
		note: "a drop is taken as 0.05 ml, which holds for water; drops of acid or alcohol are smaller"})
)

// words holds every spelling, lower case, without full stops, plural s taken off.
var words = func() map[string]word {
	m := map[string]word{}
	add := func(w word, spellings ...string) {
		for _, s := range spellings {
			m[s] = w
		}
	}
	add(metric(mass("gram", 1)), "g", "gm", "gram", "gramme")
	add(metric(mass("milligram", 1e-3)), "mg", "milligram", "milligramme")
	add(metric(mass("kilogram", 1e3)), "kg", "kilogram", "kilogramme", "kilo")
	add(metric(volume("millilitre", 1)), "ml", "cc", "millilitre", "milliliter")
	add(metric(volume("centilitre", 10)), "cl", "centilitre", "centiliter")
	add(metric(volume("litre", 1e3)), "l", "litre", "liter")
	add(grainWord, "gr", "grain", "grn")
	add(scrupleWord, "scruple", "℈")
	add(drachmWord, "dr", "drm", "dram", "drachm", "ʒ")
	add(ounce, "oz", "ounce", "℥")
	add(pound, "lb", "pound", "℔")
	add(fluidOunce, "fl oz", "floz", "f oz", "fluid oz", "fluid ounce", "fl ounce", "fluidounce", "f℥", "fl ℥")
	add(fluidDrachm, "fl dr", "fldr", "f dr", "fl drm", "fluid dr", "fluid dram", "fluid drachm", "fl dram", "fl drachm", "fluidrachm", "fluidram", "fʒ", "fl ʒ")
	add(minim, "min", "minim", "♏")
	add(pint, "pt", "pint")
	add(quart, "qt", "quart")
	add(gal, "gal", "gallon")
	add(drop, "drop", "gtt")
	return m
}()
