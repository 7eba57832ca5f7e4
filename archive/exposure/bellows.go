package exposure

import "math"

// Magnification gives m = v/f - 1 from the image distance v (lens to plate)
// and the focal length f, both in millimetres, by the thin-lens equation
// (R. E. Jacobson et al., The Manual of Photography). An extension a little
// short of the focal length gives a small negative m, which is kept: the
// light on the plate still falls as 1/v².
func Magnification(extensionMM, focalMM float64) (float64, error) {
	if err := first(positive("extension in mm", extensionMM), positive("focal length in mm", focalMM)); err != nil {
		return 0, err
	}
	return extensionMM/focalMM - 1, nil
}

// ExtensionMM is the inverse of Magnification: v = f(1+m).
func ExtensionMM(m, focalMM float64) (float64, error) {
	if err := first(magnification(m), positive("focal length in mm", focalMM)); err != nil {
		return 0, err
	}
	return focalMM * (1 + m), nil
}

// BellowsFactor is the factor (1+m)² by which the time grows at
// magnification m, for a lens whose pupils are alike in size.
func BellowsFactor(m float64) (float64, error) {
	if err := magnification(m); err != nil {
		return 0, err
	}
	return (1 + m) * (1 + m), nil
}

// BellowsStops is the bellows factor in stops, 2·log2(1+m).
func BellowsStops(m float64) (float64, error) {
	if err := magnification(m); err != nil {
		return 0, err
	}
	return 2 * math.Log2(1+m), nil
}
