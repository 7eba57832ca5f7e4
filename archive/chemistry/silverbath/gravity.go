package silverbath

// The span in which a reading is brought to 20 °C.
const (
	coldestC = 10
	warmestC = 35
)

// Apparent is the label of every strength read by hydrometer on a used bath.
const Apparent = "apparent strength"

// WhyApparent explains it. 1 % w/w of ethanol lowers the density by about
// 0.0019 g/ml: CRC Handbook, concentrative properties of ethanol (from memory).
const WhyApparent = "Only a fresh bath may be read by hydrometer alone: a used one holds alcohol and ether " +
	"(1 % of alcohol reads 0.2 % w/v too weak) and the nitrates the halides left (which read too strong). " +
	"A true figure takes an assay: throw the silver down as chloride, dry, weigh, and multiply by 1.1853; or titrate."

// WaterDensity returns the density of pure water in g/ml at t °C and one
// atmosphere, 0 to 40 °C: Tanaka, Girard, Davis, Peuto and Bignell, Metrologia
// 38 (2001) 301-309, equation 1.
func WaterDensity(t float64) float64 {
	const a1, a2, a3, a4, a5 = -3.983035, 301.797, 522528.9, 69.34881, 999.974950
	return a5 * (1 - (t+a1)*(t+a1)*(t+a2)/(a3*(t+a4))) / 1000
}

// Reading is a hydrometer's.
type Reading struct {
	SpecificGravity float64
	TemperatureC    float64 // of the bath
	// CalibratedC is the temperature the hydrometer is marked for, 20 if zero;
	// old American ones say 60 °F, which is 15.56.
	CalibratedC float64
}

// Strength returns the strength of a pure solution with that reading. The
// hydrometer's own expansion is left out, and the solution is taken to expand
// as water does, which holds to about 0.03 % w/v within 5 °C of 20 °C. The
// error is an *OutsideTable.
func (r Reading) Strength() (Strength, error) {
	t, c, err := r.temperatures()
	if err != nil {
		return Strength{}, err
	}
	atT := r.SpecificGravity * WaterDensity(c)
	s, err := FromDensity(atT * WaterDensity(20) / WaterDensity(t))
	if err != nil {
		return Strength{}, r.outside(t, c)
	}
	return s, nil
}

func (r Reading) temperatures() (t, calibrated float64, err error) {
	calibrated = r.CalibratedC
	if calibrated == 0 {
		calibrated = 20
	}
	for _, x := range []float64{r.TemperatureC, calibrated} {
		if !(x >= coldestC && x <= warmestC) {
			return 0, 0, &OutsideTable{"temperature", x, coldestC, warmestC, " °C"}
		}
	}
	return r.TemperatureC, calibrated, nil
}

func (r Reading) outside(t, c float64) error {
	toGravity := WaterDensity(t) / WaterDensity(20) / WaterDensity(c)
	last := table.gramsPerMl[len(table.gramsPerMl)-1]
	return &OutsideTable{"specific gravity", r.SpecificGravity, table.gramsPerMl[0] * toGravity, last * toGravity, ""}
}

// Gravity returns what a hydrometer marked for calibratedC (20 if zero) shows
// in a pure solution of the given % w/v (made up at 20 °C) at t °C.
func Gravity(percentWV, t, calibratedC float64) (float64, error) {
	r := Reading{TemperatureC: t, CalibratedC: calibratedC}
	t, c, err := r.temperatures()
	if err != nil {
		return 0, err
	}
	s, err := FromPercentWV(percentWV)
	if err != nil {
		return 0, err
	}
	return s.GramsPerMl * WaterDensity(t) / WaterDensity(20) / WaterDensity(c), nil
}
