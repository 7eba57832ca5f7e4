package orthochrome

import "math"

// Rise is one change of a reflectance curve: around the wavelength At, over
// about four times Width nanometres, the curve moves to the level To (0 to 1).
type Rise struct{ At, Width, To float64 }

// Reflectance is a smooth curve: it starts at From in the ultraviolet and
// follows its rises, which are in order of wavelength.
type Reflectance struct {
	From  float64
	Rises []Rise
}

// At returns the reflected part, 0 to 1, of light of a wavelength in nanometres.
func (r Reflectance) At(nm float64) float64 {
	value, level := r.From, r.From
	for _, rise := range r.Rises {
		value += (rise.To - level) / (1 + math.Exp(-(nm-rise.At)/rise.Width))
		level = rise.To
	}
	return value
}

// Sample is a thing with a colour. Key is its name in the language files.
type Sample struct {
	Key         string
	Reflectance Reflectance
}

func curve(from float64, rises ...Rise) Reflectance { return Reflectance{From: from, Rises: rises} }

// Cloth lists what people wear, from the colours that turn palest on a plate
// to those that turn darkest, by eye families. The curves are drawn by us to
// give the colour its name stands for; no measured cloth is behind them.
func Cloth() []Sample {
	return []Sample{
		{"white", curve(0.30, Rise{395, 8, 0.86})},
		{"ivory", curve(0.18, Rise{410, 14, 0.58}, Rise{480, 18, 0.80})},
		{"grey", curve(0.24, Rise{390, 10, 0.34})},
		{"black", curve(0.03)},
		{"lilac", curve(0.40, Rise{400, 12, 0.62}, Rise{500, 16, 0.36}, Rise{600, 18, 0.54})},
		{"sky_blue", curve(0.38, Rise{395, 12, 0.68}, Rise{520, 20, 0.42}, Rise{590, 16, 0.26})},
		{"royal_blue", curve(0.16, Rise{400, 12, 0.46}, Rise{490, 12, 0.06}, Rise{680, 12, 0.22})},
		{"denim", curve(0.12, Rise{400, 14, 0.20}, Rise{500, 22, 0.08}, Rise{680, 14, 0.16})},
		{"navy", curve(0.04, Rise{400, 12, 0.085}, Rise{490, 14, 0.025}, Rise{690, 10, 0.06})},
		{"purple", curve(0.12, Rise{400, 12, 0.26}, Rise{480, 14, 0.04}, Rise{620, 14, 0.24})},
		{"pink", curve(0.24, Rise{400, 14, 0.46}, Rise{500, 20, 0.36}, Rise{590, 14, 0.80})},
		{"scarlet", curve(0.04, Rise{598, 9, 0.66})},
		{"burgundy", curve(0.035, Rise{610, 14, 0.20})},
		{"orange", curve(0.04, Rise{555, 14, 0.70})},
		{"mustard", curve(0.04, Rise{520, 16, 0.34}, Rise{560, 14, 0.50})},
		{"lemon", curve(0.06, Rise{492, 12, 0.84})},
		{"olive", curve(0.035, Rise{510, 20, 0.16}, Rise{690, 14, 0.26})},
		{"leaf_green", curve(0.04, Rise{505, 12, 0.24}, Rise{575, 12, 0.07}, Rise{695, 8, 0.4})},
		{"teal", curve(0.07, Rise{430, 16, 0.26}, Rise{540, 16, 0.06})},
		{"tan", curve(0.12, Rise{480, 35, 0.32}, Rise{560, 30, 0.46})},
		{"brown", curve(0.03, Rise{560, 35, 0.15}, Rise{640, 30, 0.22})},
	}
}

// Features lists what people bring with them. Marks on skin follow the usual
// shape of published skin reflectance, low in the violet where melanin and
// blood absorb and rising to the red; drawn, not measured. Skin itself is not
// in the list: the exposure is set for the face, whatever its tone.
func Features() []Sample {
	return []Sample{
		{"freckles", curve(0.07, Rise{440, 26, 0.16}, Rise{520, 24, 0.24}, Rise{595, 14, 0.44})},
		{"sunburn", curve(0.09, Rise{440, 20, 0.22}, Rise{520, 22, 0.23}, Rise{592, 9, 0.56})},
		{"lips", curve(0.06, Rise{440, 20, 0.14}, Rise{600, 12, 0.40})},
		{"fair_hair", curve(0.07, Rise{470, 40, 0.24}, Rise{580, 36, 0.42})},
		{"red_hair", curve(0.025, Rise{560, 28, 0.16}, Rise{620, 26, 0.28})},
		{"brown_hair", curve(0.02, Rise{580, 45, 0.07}, Rise{660, 30, 0.11})},
		{"white_hair", curve(0.22, Rise{400, 16, 0.56}, Rise{480, 30, 0.66})},
		{"blue_eyes", curve(0.20, Rise{400, 14, 0.36}, Rise{500, 26, 0.19}, Rise{600, 20, 0.13})},
		{"brown_eyes", curve(0.02, Rise{580, 30, 0.07}, Rise{650, 20, 0.11})},
		{"gold", curve(0.30, Rise{500, 16, 0.62}, Rise{560, 20, 0.78})},
	}
}
