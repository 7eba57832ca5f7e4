package exposure

import (
	"fmt"
	"math"
)

// Setting is one exposure as made: time in seconds, f-number, magnification
// (0 at infinity) and the incident exposure value at ISO 100.
type Setting struct {
	Seconds       float64
	Stop          float64
	Magnification float64
	EV100         float64
}

func (s Setting) valid() error {
	return first(positive("seconds", s.Seconds), positive("stop", s.Stop),
		magnification(s.Magnification), finite("EV100", s.EV100))
}

// Dose is the exposure the plate received, in stops:
// d = log2(t·2^EV100 / (N²(1+m)²)), so that EI = 100·2^-d. It is 0 where an
// ISO 100 meter would be obeyed, and one higher for twice the light.
func (s Setting) Dose() (float64, error) {
	if err := s.valid(); err != nil {
		return 0, err
	}
	return math.Log2(s.Seconds) + s.EV100 - 2*math.Log2(s.Stop) - 2*math.Log2(1+s.Magnification), nil
}

// EI is the effective exposure index of a plate judged right at this
// setting: EI = 100·N²(1+m)² / (t·2^EV100), from the incident-light equation
// of ISO 2720:1974. It belongs to the collodion and the kind of light
// together: a meter sees green, the plate blue and ultraviolet.
func (s Setting) EI() (float64, error) {
	if err := s.valid(); err != nil {
		return 0, err
	}
	n := s.Stop * (1 + s.Magnification)
	return checked("EI", 100*n*n/(s.Seconds*math.Exp2(s.EV100)))
}

// EIFromDose gives the exposure index of a dose in stops, 100·2^-d.
func EIFromDose(dose float64) float64 { return 100 * math.Exp2(-dose) }

// DoseFromEI is the inverse of EIFromDose, log2(100/EI).
func DoseFromEI(ei float64) (float64, error) {
	if err := positive("EI", ei); err != nil {
		return 0, err
	}
	return math.Log2(100 / ei), nil
}

// SecondsFor gives the time that lets a plate of exposure index ei be right:
// t = 100·N²(1+m)² / (EI·2^EV100).
func SecondsFor(ei, stop, m, ev100 float64) (float64, error) {
	if err := first(positive("EI", ei), positive("stop", stop), magnification(m), finite("EV100", ev100)); err != nil {
		return 0, err
	}
	n := stop * (1 + m)
	return checked("seconds", 100*n*n/(ei*math.Exp2(ev100)))
}

// StopFor gives the f-number for a time in seconds:
// N = sqrt(t·EI·2^EV100/100)/(1+m).
func StopFor(ei, seconds, m, ev100 float64) (float64, error) {
	if err := first(positive("EI", ei), positive("seconds", seconds), magnification(m), finite("EV100", ev100)); err != nil {
		return 0, err
	}
	return checked("stop", math.Sqrt(seconds*ei*math.Exp2(ev100)/100)/(1+m))
}

// EV100For gives the incident exposure value a setting wants:
// EV100 = log2(100·N²(1+m)² / (t·EI)).
func EV100For(ei, seconds, stop, m float64) (float64, error) {
	if err := first(positive("EI", ei), positive("seconds", seconds), positive("stop", stop), magnification(m)); err != nil {
		return 0, err
	}
	n := stop * (1 + m)
	return math.Log2(100 * n * n / (seconds * ei)), nil
}

// checked refuses a result that left the range of numbers on the way, as an
// EV100 of thousands would make it.
func checked(name string, v float64) (float64, error) {
	if math.IsNaN(v) || math.IsInf(v, 0) || v <= 0 {
		return 0, fmt.Errorf("%s: out of range: %w", name, ErrNotFinite)
	}
	return v, nil
}
