package orthochrome

import "math"

// The wavelengths every integral here runs over, in nanometres. Below 330 no
// old lens passes anything; above 720 neither eye nor plate answers.
const (
	firstNanometre = 330
	lastNanometre  = 720
	stepNanometres = 2
)

// daylight is CIE standard illuminant D65, relative spectral power at every
// 10 nm from 330 nm (CIE 15:2004, table T.1; typed from memory and checked by
// the white point it must give, see the test).
var daylight = [...]float64{
	37.0535, 39.9488, 44.9117, 46.6383, 52.0891, 49.9755, 54.6482,
	82.7549, 91.486, 93.4318, 86.6823, 104.865, 117.008, 117.812, 114.861, 115.923, 108.811,
	109.354, 107.802, 104.79, 107.689, 104.405, 104.046, 100, 96.3342, 95.788, 88.6856,
	90.0062, 89.5991, 87.6987, 83.2886, 83.6992, 80.0268, 80.2146, 82.2778, 78.2842, 69.7213,
	71.6091, 74.349, 61.604,
}

// illuminant is daylight at a wavelength in nanometres, linear between the
// tabulated points (the interpolation CIE 15 allows for this table).
func illuminant(nm float64) float64 {
	at := (nm - firstNanometre) / 10
	i := int(math.Floor(at))
	if i < 0 {
		return daylight[0]
	}
	if i >= len(daylight)-1 {
		return daylight[len(daylight)-1]
	}
	return daylight[i] + (at-float64(i))*(daylight[i+1]-daylight[i])
}

// lobe is one two-sided Gaussian of the observer's fit.
func lobe(nm, centre, below, above float64) float64 {
	sigma := above
	if nm < centre {
		sigma = below
	}
	z := (nm - centre) / sigma
	return math.Exp(-z * z / 2)
}

// observer returns the CIE 1931 2° colour matching functions at a wavelength,
// by the multi-lobe fit of Wyman, Sloan and Shirley, "Simple Analytic
// Approximations to the CIE XYZ Color Matching Functions", Journal of Computer
// Graphics Techniques 2(2), 2013, equation 4.
func observer(nm float64) (x, y, z float64) {
	x = 1.056*lobe(nm, 599.8, 37.9, 31.0) + 0.362*lobe(nm, 442.0, 16.0, 26.7) - 0.065*lobe(nm, 501.1, 20.4, 26.2)
	y = 0.821*lobe(nm, 568.8, 46.9, 40.5) + 0.286*lobe(nm, 530.9, 16.3, 31.1)
	z = 1.217*lobe(nm, 437.0, 11.8, 36.0) + 0.681*lobe(nm, 459.0, 26.0, 13.8)
	return x, y, z
}

// integrate sums f over the wavelengths, in steps of stepNanometres.
func integrate(f func(nm float64) float64) float64 {
	sum := 0.0
	for nm := firstNanometre; nm <= lastNanometre; nm += stepNanometres {
		sum += f(float64(nm)) * stepNanometres
	}
	return sum
}
