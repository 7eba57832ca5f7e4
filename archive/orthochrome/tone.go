package orthochrome

import "math"

// RGB is an sRGB colour, 8 bits a channel.
type RGB struct{ R, G, B uint8 }

// Shift says what the plate does to a colour's lightness.
type Shift int

// A colour keeps its lightness, or the plate makes it lighter or darker than
// the eye would have it by more than a tenth of the scale.
const (
	Same Shift = iota
	Lighter
	Darker
)

func (s Shift) String() string {
	return [...]string{"same", "lighter", "darker"}[s]
}

// Tone is one sample twice: as the eye sees it in daylight, and as the plate
// will show it. The two Lightness values run from 0, black cloth, to 100, white
// cloth in the same light: the eye's by CIE L*, the plate's by the L* of its own
// scale from its black to its brightest silver. Each is held to that span.
type Tone struct {
	Key            string
	Eye, Plate     RGB
	EyeLightness   float64
	PlateLightness float64
	Shift          Shift
}

// A plate's scale, as optical densities by reflection, and the range of log10
// exposure it spends it on. Common practice: highlights of a tintype at about
// 0.3–0.6, blacks at 1.5–2.0; a positive is contrasty, so that a sixteenth of
// the light of a white shirt is black.
const (
	densityWhite  = 0.38
	densityBlack  = 1.75
	exposureRange = 1.2
)

// L* of the two cloths that end the eye's scale, reflecting 3 % and 86 %.
var (
	lightnessBlackCloth = cieLightness(0.03)
	lightnessWhiteCloth = cieLightness(0.86)
)

// shiftThreshold is the least difference of lightness that is called a shift.
const shiftThreshold = 10

// Tones computes a table for the usual iodised and bromised collodion.
func Tones(samples []Sample) []Tone { return tones(samples, bromideShare) }

func tones(samples []Sample, share float64) []Tone {
	out := make([]Tone, 0, len(samples))
	for _, s := range samples {
		out = append(out, tone(s, share))
	}
	return out
}

func tone(s Sample, share float64) Tone {
	X, Y, Z := tristimulus(s.Reflectance)
	light := plateLightness(plateExposure(s.Reflectance, share))
	t := Tone{
		Key: s.Key, Eye: sRGB(X, Y, Z), EyeLightness: eyeLightness(Y),
		PlateLightness: light, Plate: silver(light),
	}
	switch d := t.PlateLightness - t.EyeLightness; {
	case d > shiftThreshold:
		t.Shift = Lighter
	case d < -shiftThreshold:
		t.Shift = Darker
	}
	return t
}

// eyeLightness puts a luminance on the scale from black cloth to white cloth.
func eyeLightness(y float64) float64 {
	place := (cieLightness(y) - lightnessBlackCloth) / (lightnessWhiteCloth - lightnessBlackCloth)
	return 100 * math.Min(1, math.Max(0, place))
}

// tristimulus integrates a reflectance under daylight for the eye, scaled so
// that a perfect white has Y = 1.
func tristimulus(r Reflectance) (X, Y, Z float64) {
	white := integrate(func(nm float64) float64 { _, y, _ := observer(nm); return y * illuminant(nm) })
	X = integrate(func(nm float64) float64 { x, _, _ := observer(nm); return x * illuminant(nm) * r.At(nm) }) / white
	Y = integrate(func(nm float64) float64 { _, y, _ := observer(nm); return y * illuminant(nm) * r.At(nm) }) / white
	Z = integrate(func(nm float64) float64 { _, _, z := observer(nm); return z * illuminant(nm) * r.At(nm) }) / white
	return X, Y, Z
}

// plateExposure is the actinic light a sample sends to the plate, as a part of
// what white cloth in the same light sends.
func plateExposure(r Reflectance, share float64) float64 {
	white := Cloth()[0].Reflectance
	seen := func(of Reflectance) float64 {
		return integrate(func(nm float64) float64 { return illuminant(nm) * sensitivity(nm, share) * of.At(nm) })
	}
	return seen(r) / seen(white)
}

// plateLightness puts an exposure relative to white on the plate's own scale,
// 0 to 100: straight in log exposure between the plate's black and white, eased
// at both ends as every plate's curve is, then read as lightness.
func plateLightness(exposure float64) float64 {
	if exposure <= 0 {
		return 0
	}
	place := 1 + math.Log10(exposure)/exposureRange
	place = math.Min(1, math.Max(0, place))
	place = place * place * (3 - 2*place)
	density := densityBlack - place*(densityBlack-densityWhite)
	black, white := cieLightness(math.Pow(10, -densityBlack)), cieLightness(math.Pow(10, -densityWhite))
	return 100 * (cieLightness(math.Pow(10, -density)) - black) / (white - black)
}

// silver is the colour of a plate at a place on its scale: a warm cream grey.
func silver(lightness float64) RGB {
	black, white := cieLightness(math.Pow(10, -densityBlack)), cieLightness(math.Pow(10, -densityWhite))
	y := relativeLuminance(black + lightness/100*(white-black))
	return RGB{gamma(y * 1.06), gamma(y), gamma(y * 0.86)}
}

// cieLightness is CIE 1976 L* of a relative luminance 0 to 1.
func cieLightness(y float64) float64 {
	if y <= 216.0/24389 {
		return y * 24389 / 27
	}
	return 116*math.Cbrt(y) - 16
}

// relativeLuminance undoes cieLightness.
func relativeLuminance(l float64) float64 {
	if l <= 8 {
		return l * 27 / 24389
	}
	return math.Pow((l+16)/116, 3)
}

// sRGB converts D65 tristimulus values by the matrix and curve of IEC 61966-2-1,
// clipping what lies outside.
func sRGB(X, Y, Z float64) RGB {
	return RGB{
		gamma(3.2406*X - 1.5372*Y - 0.4986*Z),
		gamma(-0.9689*X + 1.8758*Y + 0.0415*Z),
		gamma(0.0557*X - 0.2040*Y + 1.0570*Z),
	}
}

func gamma(linear float64) uint8 {
	linear = math.Min(1, math.Max(0, linear))
	if linear <= 0.0031308 {
		return uint8(math.Round(255 * 12.92 * linear))
	}
	return uint8(math.Round(255 * (1.055*math.Pow(linear, 1/2.4) - 0.055)))
}
