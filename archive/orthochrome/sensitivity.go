package orthochrome

import "math"

// point is a corner of a curve drawn through handbook values.
type point struct{ nm, value float64 }

// iodide and bromide are the relative sensitivities of the two silver halides
// in a wet film, per unit of energy, as base-ten logarithms.
//
// What is known: silver iodide answers to about 430–440 nm and silver bromide
// to about 480–490 nm, both through all of the near ultraviolet (Mees and
// James, The Theory of the Photographic Process, cited from memory); a wet
// bromide plate's image of the spectrum stopped short of the yellow (Vogel,
// Popular Science Monthly 5, 1874); dry bromide collodion fell off steadily
// from line F, 486 nm, towards the red (Amory, Proc. American Academy of Arts
// and Sciences, 1877). The corners below are drawn through those limits; their
// heights are an estimate.
var (
	iodide = []point{
		{330, 0}, {420, 0}, {430, -0.25}, {440, -0.8}, {450, -1.6}, {465, -3}, {720, -6},
	}
	bromide = []point{
		{330, -0.15}, {430, -0.1}, {460, -0.3}, {475, -0.6}, {488, -1.1}, {505, -1.8}, {530, -2.5}, {580, -4}, {720, -6},
	}
	// lens is the glass of an old portrait lens: clear from the violet on, black
	// below about 350 nm (as for iodide and bromide: a handbook figure).
	lens = []point{{330, -3}, {345, -1.5}, {360, -0.5}, {375, -0.12}, {390, -0.03}, {400, 0}, {720, 0}}
)

// bromideShare is the part of the plate's answer to violet light that comes
// from bromide. A third stands for a usual positive collodion, with about two
// molecules of iodide to one of bromide.
const bromideShare = 1.0 / 3

// through reads a curve of corners at a wavelength, linear in the logarithm,
// and returns the value itself.
func through(corners []point, nm float64) float64 {
	if nm <= corners[0].nm {
		return math.Pow(10, corners[0].value)
	}
	for i := 1; i < len(corners); i++ {
		a, b := corners[i-1], corners[i]
		if nm <= b.nm {
			return math.Pow(10, a.value+(b.value-a.value)*(nm-a.nm)/(b.nm-a.nm))
		}
	}
	return math.Pow(10, corners[len(corners)-1].value)
}

// sensitivity is the relative answer of iodised and bromised collodion behind
// an old lens to light of one wavelength in nanometres. share is the bromide's
// part, 0 to 1.
func sensitivity(nm, share float64) float64 {
	return through(lens, nm) * ((1-share)*through(iodide, nm) + share*through(bromide, nm))
}
