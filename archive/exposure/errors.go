package exposure

import (
	"errors"
	"fmt"
	"math"
)

// Kinds of refusal, met with errors.Is.
var (
	// ErrNotPositive: a quantity that must be above zero is not.
	ErrNotPositive = errors.New("must be above zero")
	// ErrNotFinite: a quantity is missing, infinite or not a number.
	ErrNotFinite = errors.New("must be a number")
	// ErrMagnification: the magnification is -1 or less, so the plate
	// would stand in or before the lens.
	ErrMagnification = errors.New("magnification must be above -1")
)

func positive(name string, v float64) error {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return fmt.Errorf("%s: found %v: %w", name, v, ErrNotFinite)
	}
	if v <= 0 {
		return fmt.Errorf("%s: found %v: %w", name, v, ErrNotPositive)
	}
	return nil
}

func finite(name string, v float64) error {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return fmt.Errorf("%s: found %v: %w", name, v, ErrNotFinite)
	}
	return nil
}

func magnification(m float64) error {
	if err := finite("magnification", m); err != nil {
		return err
	}
	if m <= -1 {
		return fmt.Errorf("magnification: found %v: %w", m, ErrMagnification)
	}
	return nil
}

func first(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
