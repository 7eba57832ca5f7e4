package silverbath

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"sandarac/archive/chemistry/logbook"
)

// Defaults a studio may override.
const (
	// DefaultRetainedMlPerDm2 is the collodion left on a plate; 0.8 to 2.5 is
	// plausible. Common practice: weigh the bottle before and after ten plates.
	DefaultRetainedMlPerDm2 = 1.5
	// DefaultDragOutMlPerDm2 is the bath carried off, 0.3 to 1. Common practice.
	DefaultDragOutMlPerDm2 = 0.6
)

// Made is the bath as mixed.
type Made struct {
	On             time.Time
	VolumeMl       float64
	SilverNitrateG float64
}

// PercentWV is the strength as made.
func (m Made) PercentWV() float64 { return percent(m.SilverNitrateG, m.VolumeMl) }

func percent(grams, ml float64) float64 {
	if ml <= 0 {
		return 0
	}
	return 100 * grams / ml
}

// Plate is one plate sensitised in the bath.
type Plate struct {
	ID               string
	At               time.Time
	AreaDm2          float64
	RetainedMlPerDm2 float64 // collodion left on it
	SilverMgPerMl    float64 // AgNO3 the halides of 1 ml of that collodion take
	DragOutMlPerDm2  float64 // bath carried off
}

// SilverNitrateMg is the stoichiometric use of the plate in milligrams:
// area · retained · Σ halide.
func (p Plate) SilverNitrateMg() float64 { return p.AreaDm2 * p.RetainedMlPerDm2 * p.SilverMgPerMl }

// Entry is one line of the bath's log. A strength noted with an addition was
// read before it (one reads, then strengthens); every other reading, the pH and
// the volume are those after the action. Nil means not read.
type Entry struct {
	At           time.Time
	Action       logbook.Action
	Gravity      *float64 // specific gravity, hydrometer marked for 20 °C
	TemperatureC *float64 // of the bath, 20 if nil
	PercentWV    *float64 // by assay or titration; beats the gravity
	PH           *float64
	VolumeMl     *float64 // of the bath after the action

	AddedSilverNitrateG float64
	AddedLiquidMl       float64 // water and everything else poured in
	// AddedHalideG is halide put in (iodising), as the silver nitrate it takes.
	AddedHalideG float64
}

// Gap is a reading set against the estimate at that moment.
type Gap struct {
	At                  time.Time
	EstimatedPercent    float64
	MeasuredPercent     float64
	SilverNitrateG      float64 // measured − estimated
	Apparent            bool    // by hydrometer, on a bath that has taken plates
	PlatesBeforeReading int
}

// Ledger is silver nitrate in grams. Made + Added + Corrected =
// Left + Consumed + DraggedOut + Discarded, to rounding.
type Ledger struct {
	Made, Added, Corrected                float64
	Left, Consumed, DraggedOut, Discarded float64
}

// Balance is what the ledger does not explain; zero to rounding.
func (l Ledger) Balance() float64 {
	return l.Made + l.Added + l.Corrected - l.Left - l.Consumed - l.DraggedOut - l.Discarded
}

// Account is the bath at the end of its entries and plates. All of it is an
// estimate.
type Account struct {
	Made      Made
	VolumeMl  float64
	PercentWV float64
	Ledger    Ledger

	Plates  int       // sensitised since it was made (or replaced)
	AreaDm2 float64   // of those plates
	Gaps    []Gap     // oldest first
	Floor   float64   // % w/v under which it wants strengthening
	Crossed *Crossing // the first plate under the floor since the last reset, nil if none
	Series  []Point   // after each plate and entry, oldest first
	Clocks  Clocks
	PH      *PHReading

	// Notes say what could not be counted and why.
	Notes []string

	use   use
	index map[string]int // of plates in the series
}

// Crossing is when the estimate fell under the floor.
type Crossing struct {
	At        time.Time
	Plate     string // empty when an entry did it
	PercentWV float64
}

// Point is one step of the account: where the bath stood after a plate or an
// entry. Clocks and PH of a plate count the plate itself.
type Point struct {
	At        time.Time
	Plate     string         // of a plate
	Action    logbook.Action // or of an entry
	PercentWV float64
	VolumeMl  float64
	Plates    int // in the bath so far
	Measured  bool
	Clocks    Clocks
	PH        *PHReading
}

// PHReading is the last pH noted.
type PHReading struct {
	At    time.Time
	Value float64
	Stale bool // acid or alkali was added since
}

// use is what the plates since the last reset took, for the forecast.
type use struct {
	plates            int
	consumed, liquids float64 // g, ml
}

// Run keeps the account. An entry's date stands before the plates of the same
// instant, so a day's entry counts before the day's plates. Floor is % w/v; see
// DefaultFloor.
func Run(made Made, entries []Entry, plates []Plate, floor float64) Account {
	a := Account{Made: made, VolumeMl: made.VolumeMl, Floor: floor, Clocks: Clocks{since: map[logbook.Action]Clock{}}, index: map[string]int{}}
	a.Ledger.Made, a.Ledger.Left = made.SilverNitrateG, made.SilverNitrateG
	a.PercentWV = percent(a.Ledger.Left, a.VolumeMl)

	entries, plates = slices.Clone(entries), slices.Clone(plates)
	slices.SortStableFunc(entries, func(x, y Entry) int { return x.At.Compare(y.At) })
	slices.SortStableFunc(plates, func(x, y Plate) int { return cmp.Or(x.At.Compare(y.At), cmp.Compare(x.ID, y.ID)) })
	for len(entries) > 0 || len(plates) > 0 {
		if len(plates) == 0 || len(entries) > 0 && !entries[0].At.After(plates[0].At) {
			a.enter(entries[0])
			entries = entries[1:]
			continue
		}
		a.sensitise(plates[0])
		plates = plates[1:]
	}
	return a
}

func (a *Account) note(format string, args ...any) {
	a.Notes = append(a.Notes, fmt.Sprintf(format, args...))
}

// sensitise takes the halides' silver first, then the liquid the plate carries
// off at the strength that is left.
func (a *Account) sensitise(p Plate) {
	taken := p.SilverNitrateMg() / 1000
	if taken > a.Ledger.Left {
		a.note("plate %s: the account has run out of silver; a measured entry in the bath's log sets it right", p.ID)
		taken = a.Ledger.Left
	}
	a.Ledger.Left -= taken
	a.Ledger.Consumed += taken

	liquid := min(p.AreaDm2*p.DragOutMlPerDm2, a.VolumeMl)
	carried := 0.0
	if a.VolumeMl > 0 {
		carried = a.Ledger.Left * (liquid / a.VolumeMl)
	}
	a.Ledger.Left -= carried
	a.Ledger.DraggedOut += carried
	a.VolumeMl -= liquid

	a.Plates++
	a.AreaDm2 += p.AreaDm2
	a.use = use{a.use.plates + 1, a.use.consumed + taken, a.use.liquids + liquid}
	a.Clocks.plate()
	a.step(Point{At: p.At, Plate: p.ID})
}

// step records where the account stands and whether the floor was crossed.
func (a *Account) step(p Point) {
	a.PercentWV = percent(a.Ledger.Left, a.VolumeMl)
	p.PercentWV, p.VolumeMl, p.Plates, p.Clocks = a.PercentWV, a.VolumeMl, a.Plates, a.Clocks.clone()
	if a.PH != nil {
		ph := *a.PH
		p.PH = &ph
	}
	if p.Plate != "" {
		a.index[p.Plate] = len(a.Series)
	}
	a.Series = append(a.Series, p)
	switch {
	case a.PercentWV >= a.Floor:
		a.Crossed = nil
	case a.Crossed == nil:
		a.Crossed = &Crossing{At: p.At, Plate: p.Plate, PercentWV: a.PercentWV}
	}
}

// At returns the point of a plate, and false for a plate that did not pass
// through the bath.
func (a Account) At(plate string) (Point, bool) {
	i, ok := a.index[plate]
	if !ok {
		return Point{}, false
	}
	return a.Series[i], true
}
