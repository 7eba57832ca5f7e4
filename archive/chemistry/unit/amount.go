package unit

import (
	"fmt"
	"math"
	"strconv"
)

// Amount is how much of a substance a recipe asks for. Exactly one of Grams and
// Millilitres is set and more than zero. PerMillilitres is the volume of
// finished mixture it belongs to, or 0 for an absolute amount.
type Amount struct {
	Grams          float64
	Millilitres    float64
	PerMillilitres float64

	// Unit is the unit as understood, such as "grain" or "US fluid ounce".
	Unit string
	// Note says what was taken for granted, such as the size of a drop; most
	// amounts need none.
	Note string
}

// PerVolume reports whether the amount is a concentration.
func (a Amount) PerVolume() bool { return a.PerMillilitres > 0 }

// In returns the grams or the millilitres needed for a mixture of the given
// volume; an absolute amount is returned as it stands, whatever the volume.
func (a Amount) In(mixtureMl float64) (grams, millilitres float64) {
	if !a.PerVolume() {
		return a.Grams, a.Millilitres
	}
	k := mixtureMl / a.PerMillilitres
	return a.Grams * k, a.Millilitres * k
}

// String writes the amount in grams and millilitres: "0.518 g", "1.75 g/100 ml".
func (a Amount) String() string {
	grams, ml := a.In(100)
	suffix := ""
	if a.PerVolume() {
		suffix = "/100 ml"
	}
	if grams > 0 {
		return Figure(grams) + " g" + suffix
	}
	return Figure(ml) + " ml" + suffix
}

// Figure writes a measured quantity to three significant figures and no more
// than four decimals, without an exponent: 0.8 is "0.800", 1234.5 is "1235".
// What four decimals would make nothing is "under 0.0001".
func Figure(x float64) string {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	if x > 0 && x < 5e-5 {
		return "under 0.0001"
	}
	decimals := 2 - int(math.Floor(math.Log10(math.Abs(x))))
	return strconv.FormatFloat(x, 'f', min(max(decimals, 0), 4), 64)
}

// Ask is an amount that means more than one thing. The caller puts the question
// to whoever wrote it.
type Ask struct {
	Text    string   // the amount as written
	Word    string   // the word that is open, such as "oz"
	Choices []string // what may be written instead, with its size
}

func (e *Ask) Error() string {
	return fmt.Sprintf("%q: which %s is meant? %s", e.Text, e.Word, e.Remedy())
}

// Remedy lists what may be written.
func (e *Ask) Remedy() string { return "write " + orList(e.Choices) }

// Malformed is an amount that cannot be read.
type Malformed struct {
	Text   string
	Reason string
}

func (e *Malformed) Error() string { return fmt.Sprintf("%q: %s", e.Text, e.Reason) }

// Accepted is the grammar in one line, for messages.
const Accepted = `an amount is a number and a unit (g, mg, ml, gr, dr, oz av, oz ap, fl oz US, fl oz imp, fl dr US, minim imp, drop), ` +
	`alone or for a volume: "8 gr/fl oz US", "240 gr in 8 fl oz imp", "9 % w/v"`

func orList(items []string) string {
	out := ""
	for i, item := range items {
		switch {
		case i == 0:
		case i == len(items)-1:
			out += " or "
		default:
			out += ", "
		}
		out += item
	}
	return out
}
