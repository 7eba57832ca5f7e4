package chemistry

import "slices"

// Step is one step of the process, with the cautions shown beside it.
type Step struct {
	Slug     string
	Name     string
	Cautions []string
}

var steps = []Step{
	{"clean", "clean the plate", []string{"Nitric acid on old glass: gloves and goggles, acid into water, away from cyanide."}},
	{"mix", "mix a solution", []string{"Read the safety data sheet of every bottle first.", "Extraction, gloves and goggles; label the bottle before it is filled."}},
	{"pour", "pour the collodion", []string{"Ether and alcohol vapour: no flame, spark, heater or smoking in the room; ventilate low.", "Keep the bottle closed between plates."}},
	{"sensitise", "dip in the silver bath", []string{"Goggles: a splash of silver nitrate can blind.", "Gloves; it burns and stains skin."}},
	{"load", "load the holder", []string{"Silver drips from the holder: gloves, and a cloth kept for silver."}},
	{"develop", "develop", []string{"The developer is acid: all of it must be washed off before a cyanide fixer."}},
	{"stop", "wash before fixing", []string{"Wash until the greasy flow is gone: developer carried into cyanide sets free a deadly gas, into thiosulfate an irritant one."}},
	{"fix", "fix", []string{"Cyanide: not alone, under extraction, gloves; nothing acid on the bench, in the sink or in the drain.", "Thiosulfate does the same step without that danger."}},
	{"wash", "wash", []string{"First wash water carries silver and fixer: into the waste container."}},
	{"varnish", "varnish", []string{"Alcohol vapour and a flame do not mix: warm the plate by indirect heat, away from the bottle."}},
	{"maintain", "look after the bath", []string{"Never ammonia near silver.", "Never warm an acid bath that holds alcohol; never evaporate to dryness."}},
	{"dispose", "waste", []string{NoDrain, "Do not neutralise cyanide yourself.",
		"US markers: D011 silver 5.0 mg/l, D006 cadmium 1.0 mg/l (40 CFR 261.24), P098 potassium cyanide; all from memory, other countries differ."}},
}

// Steps returns the steps that carry a caution, in the order of the process.
func Steps() []Step { return slices.Clone(steps) }

// StepOf returns one step by slug.
func StepOf(slug string) (Step, bool) {
	for _, s := range steps {
		if s.Slug == slug {
			return s, true
		}
	}
	return Step{}, false
}

// kindSteps are the steps whose cautions stand on a recipe of that kind.
var kindSteps = map[Kind][]string{
	Collodion: {"mix", "pour"},
	Bath:      {"mix", "sensitise", "load", "maintain"},
	Developer: {"mix", "develop", "stop"},
	Fixer:     {"mix", "stop", "fix", "wash"},
	Varnish:   {"mix", "varnish"},
}
