package recipe

import (
	"errors"
	"fmt"

	"sandarac/archive/chemistry"
	"sandarac/archive/chemistry/unit"
	"sandarac/archive/record"
)

// ErrNoBatch is returned for a batch the archive does not hold.
var ErrNoBatch = errors.New("no such batch")

// Card makes the bench card of a batch for a volume in millilitres, 0 for the
// batch's own. It refuses a batch whose recipe holds a grave pair: nobody is
// handed a card for that.
func Card(a *record.Archive, id string, ml float64) (chemistry.BenchCard, error) {
	b, ok := a.Batches[id]
	if !ok {
		return chemistry.BenchCard{}, fmt.Errorf("%q: %w", id, ErrNoBatch)
	}
	r, problems := read(b)
	for _, p := range problems {
		if p.Severity == chemistry.Error {
			f := at(b, line(b, p), p)
			return chemistry.BenchCard{}, fmt.Errorf("%s: %s\n  %s", f.Where(), f.Message, f.Remedy)
		}
	}
	centre := ""
	if a.Studio != nil {
		centre = a.Studio.PoisonCentre
	}
	return chemistry.Card(r, problems, ml, centre)
}

// ParseVolume reads the volume of a card in millilitres: "250ml", "0.5 l",
// "8 fl oz US".
func ParseVolume(text string) (float64, error) {
	const accepted = "write for instance 250ml, 0.5 l or 8 fl oz US"
	amount, err := unit.Parse(text)
	if _, open := errors.AsType[*unit.Ask](err); open {
		return 0, err
	}
	if err != nil {
		return 0, fmt.Errorf("%w; %s", err, accepted)
	}
	if amount.PerVolume() || amount.Millilitres == 0 {
		return 0, fmt.Errorf("%q is not a volume: %s", text, accepted)
	}
	return amount.Millilitres, nil
}
