package logbook

import (
	"slices"
	"strings"
)

// Action is the slug of something done to a batch.
type Action string

const (
	Acidified   Action = "acidified"
	Decanted    Action = "decanted"
	Discarded   Action = "discarded"
	Evaporated  Action = "evaporated"
	Filtered    Action = "filtered"
	Iodised     Action = "iodised"
	Measured    Action = "measured"
	Neutralised Action = "neutralised"
	Noted       Action = "noted"
	Opened      Action = "opened"
	Replaced    Action = "replaced"
	Rested      Action = "rested"
	Settled     Action = "settled"
	Skimmed     Action = "skimmed"
	Sunned      Action = "sunned"
	Thinned     Action = "thinned"
	ToppedUp    Action = "topped-up"
)

// Tends reports whether the action did something to the bath: a reading, a note
// and an opened bottle did not.
func (a Action) Tends() bool {
	switch a {
	case Measured, Noted, Opened:
		return false
	}
	return true
}

// Volume says what a smaller volume after the action means when nothing was
// weighed or read with it.
type Volume int

const (
	LiquidLost Volume = iota // bath went with its silver: spilt, soaked up, poured off
	WaterLost                // water and alcohol left, the silver stayed
)

// Meaning is what an action stands for.
type Meaning struct {
	Action   Action
	Synonyms []string
	Means    string // for the account and the clocks
	Caution  string // empty when there is none beyond the batch's own
	Volume   Volume
	// Reading is true when the entry is of little use without a measurement.
	Reading bool
}

const noAmmonia = "Never ammonia: silver and ammonia form fulminating silver, which explodes on standing or drying."

var meanings = []Meaning{
	{Action: Acidified, Synonyms: []string{"acid added", "acidulated"},
		Means:   "acid was added; the last pH stands until the next reading",
		Caution: "Pure dilute nitric acid, by drops, acid into water; goggles and gloves. An acid bath that holds alcohol must not be warmed."},
	{Action: Decanted, Means: "poured off its sediment"},
	{Action: Discarded, Synonyms: []string{"poured off", "retired", "thrown out", "emptied", "disposed"},
		Means:   "bath or batch left the studio with what it held; volume_ml is what stays, nothing if it is not given",
		Caution: "Nothing down the drain: a closed, labelled container, to a licensed contractor."},
	{Action: Evaporated, Synonyms: []string{"boiled", "boiled down", "alcohol driven off", "simmered", "cooked", "warmed"},
		Means: "alcohol and water were driven off; the silver stays and the strength rises with the smaller volume_ml", Volume: WaterLost,
		Caution: "Open evaporation under extraction only: no flame, no lid, never to dryness, and never with acid still in a bath that holds alcohol: neutralise with bicarbonate first. Sending the bath for refining is the safer course."},
	{Action: Filtered, Synonyms: []string{"strained"}, Means: "starts the count of plates and days since filtering; liquid the filter keeps counts as lost",
		Caution: "A filter wet with silver nitrate is silver waste and takes fire when dry: keep it wet."},
	{Action: Iodised, Synonyms: []string{"iodized", "plate left in overnight", "saturated with iodide"},
		Means: "iodide was given to the bath; halide added takes its silver"},
	{Action: Measured, Synonyms: []string{"read", "tested", "assayed", "titrated", "checked"}, Reading: true,
		Means: "a reading; a strength read or assayed replaces the estimate, and the gap is shown"},
	{Action: Neutralised, Synonyms: []string{"neutralized", "acid removed"},
		Means: "acid was taken away; the last pH stands until the next reading", Caution: "Bicarbonate or carbonate by drops until a faint cloud stays; stand, filter. " + noAmmonia},
	{Action: Noted, Synonyms: []string{"note"}, Means: "a note; the account does not change"},
	{Action: Opened, Means: "the bottle was opened; for ether this starts the year"},
	{Action: Replaced, Synonyms: []string{"renewed", "remade", "new bath"},
		Means:   "all of the old was discarded and the batch made anew: from what was added, or as first made",
		Caution: "The old bath is silver waste: a closed, labelled container, to a licensed contractor or refiner."},
	{Action: Rested, Synonyms: []string{"stood", "set aside", "stored"}, Means: "stood unused; the account does not change"},
	{Action: Settled, Means: "left to clear"},
	{Action: Skimmed, Means: "scum was taken off the surface"},
	{Action: Sunned, Synonyms: []string{"stood in sunlight", "sunlight", "solarised"}, Volume: WaterLost,
		Means:   "starts the count of plates since sunning; water that dries off leaves the silver",
		Caution: "Neutralise with soda first, not with ammonia: alcohol, ammonia and silver in sunlight can form fulminating silver. Cover against dust, not airtight; restore volume and acid afterwards."},
	{Action: Thinned, Synonyms: []string{"thinned with ether alcohol"}, Means: "ether and alcohol were added to thickened collodion",
		Caution: "No flame, spark or heater in the room; extraction low down."},
	{Action: ToppedUp, Synonyms: []string{"strengthened", "replenished", "made up"},
		Means: "silver nitrate or water was added; starts the count of plates since topping up; a gravity noted with it was read before the addition"},
}

// All returns the vocabulary in alphabetical order. The caller may keep it.
func All() []Meaning { return slices.Clone(meanings) }

// Find looks a word of a log up by slug or synonym; case, hyphens and
// underscores do not matter.
func Find(word string) (Meaning, bool) {
	m, ok := index[fold(word)]
	return m, ok
}

// Slugs lists the accepted words, for messages.
func Slugs() []string {
	out := make([]string, len(meanings))
	for i, m := range meanings {
		out[i] = string(m.Action)
	}
	return out
}

var index = func() map[string]Meaning {
	m := map[string]Meaning{}
	for _, x := range meanings {
		for _, w := range append([]string{string(x.Action)}, x.Synonyms...) {
			m[fold(w)] = x
		}
	}
	return m
}()

func fold(s string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return r == ' ' || r == '-' || r == '_' || r == '\t' }), " ")
}
