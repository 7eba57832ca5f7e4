package silverbath

import (
	"fmt"

	"gonum.org/v1/gonum/interp"
)

// table is the density of aqueous silver nitrate at 20 °C. Rows 1, 5, 10, 20,
// 30 and 40 % w/w: Engineering ToolBox, Density of aqueous solutions of some
// inorganic substances (opened), the values of the CRC Handbook section
// Concentrative properties of aqueous solutions. Rows 6 to 9, 12 and 14: the
// CRC table, from memory; they lie within 0.0002 of a polynomial through the
// others. Row 0 is water.
var table = struct{ percentWW, gramsPerMl []float64 }{
	[]float64{0, 1, 5, 6, 7, 8, 9, 10, 12, 14, 20, 30, 40},
	[]float64{0.9982, 1.0070, 1.0417, 1.0506, 1.0597, 1.0690, 1.0785, 1.0882, 1.1079, 1.1284, 1.1942, 1.3204, 1.4743},
}

// SourceDensity names the table.
const SourceDensity = "Engineering ToolBox, density of aqueous solutions at 20 °C (CRC Handbook, concentrative properties)"

// curve is the monotone cubic of Fritsch and Butland (1984) through the table:
// no straight line, no overshoot, and the tabulated values exactly.
var curve = func() interp.Predictor {
	var fb interp.FritschButland
	if err := fb.Fit(table.percentWW, table.gramsPerMl); err != nil {
		panic(err) // the table is a constant
	}
	return &fb
}()

const strongest = 40 // % w/w, last row

// OutsideTable is a value the density table does not reach.
type OutsideTable struct {
	What     string // "density", "specific gravity", "strength" or "temperature"
	Value    float64
	Min, Max float64
	Unit     string
}

func (e *OutsideTable) Error() string {
	return fmt.Sprintf("%s %.4g%s is outside the table (%.4g to %.4g%s)", e.What, e.Value, e.Unit, e.Min, e.Max, e.Unit)
}

// Strength is one solution in the three ways it is written, at 20 °C.
type Strength struct {
	PercentWV  float64 // grams of AgNO3 in 100 ml of solution
	PercentWW  float64 // grams of AgNO3 in 100 g of solution
	GramsPerMl float64 // density
}

// Gravity20 is the specific gravity 20/20 °C.
func (s Strength) Gravity20() float64 { return s.GramsPerMl / WaterDensity(20) }

// FromPercentWW reads the density table at a strength by weight, 0 to 40 %.
func FromPercentWW(percent float64) (Strength, error) {
	if !(percent >= 0 && percent <= strongest) {
		return Strength{}, &OutsideTable{"strength", percent, 0, strongest, " % w/w"}
	}
	d := curve.Predict(percent)
	return Strength{PercentWV: percent * d, PercentWW: percent, GramsPerMl: d}, nil
}

// FromDensity returns the strength of a pure solution of the given density at
// 20 °C in g/ml.
func FromDensity(gramsPerMl float64) (Strength, error) {
	low, high := table.gramsPerMl[0], table.gramsPerMl[len(table.gramsPerMl)-1]
	if !(gramsPerMl >= low && gramsPerMl <= high) {
		return Strength{}, &OutsideTable{"density", gramsPerMl, low, high, " g/ml"}
	}
	return invert(gramsPerMl, func(s Strength) float64 { return s.GramsPerMl }), nil
}

// FromPercentWV returns the solution of a strength by volume.
func FromPercentWV(percent float64) (Strength, error) {
	top, _ := FromPercentWW(strongest)
	if !(percent >= 0 && percent <= top.PercentWV) {
		return Strength{}, &OutsideTable{"strength", percent, 0, top.PercentWV, " % w/v"}
	}
	return invert(percent, func(s Strength) float64 { return s.PercentWV }), nil
}

// invert finds the strength at which a rising property has a value, by
// bisection; 60 halvings of 40 % reach the last bit.
func invert(value float64, property func(Strength) float64) Strength {
	low, high := 0.0, float64(strongest)
	var s Strength
	for range 60 {
		mid := low + (high-low)/2
		s, _ = FromPercentWW(mid) // mid stays inside the table
		if property(s) < value {
			low = mid
		} else {
			high = mid
		}
	}
	return s
}
