package flaw

import (
	"sandarac/archive/chemistry"
	"sandarac/archive/chemistry/logbook"
	"sandarac/archive/chemistry/silverbath"
	"sandarac/archive/record"
)

// bathAge counts the plates in the bath before this one; no flaw's signs use it.
const bathAge chemistry.Fact = "bath-age"

// Diagnosis is one flaw of one plate.
type Diagnosis struct {
	chemistry.Flaw
	// Readings are its causes: those the plate's own record speaks for first.
	Readings []chemistry.Reading
}

// Plate reads a plate's flaws against its own record, in the order noted. more
// holds figures the analysis knows (the dose against the aim), nil if none.
func Plate(a *record.Archive, p *record.Plate, stock Stock, more chemistry.Facts) []Diagnosis {
	known := facts(a, p, stock)
	for f, x := range more {
		known[f] = x
	}
	var out []Diagnosis
	for _, slug := range p.Flaws {
		if f, ok := chemistry.FlawOf(slug); ok {
			out = append(out, Diagnosis{Flaw: f, Readings: f.Read(known)})
		}
	}
	return out
}

// Facts gathers what a plate's record, its batches and its bath's account give.
func Facts(a *record.Archive, p *record.Plate, stock Stock) chemistry.Facts {
	out := facts(a, p, stock)
	delete(out, bathAge)
	return out
}

func facts(a *record.Archive, p *record.Plate, stock Stock) chemistry.Facts {
	out := chemistry.Facts{}
	set := func(f chemistry.Fact, x *float64) {
		if x != nil {
			out[f] = *x
		}
	}
	set(chemistry.AirWarmth, p.Air.TemperatureC)
	set(chemistry.Humidity, p.Air.HumidityPct)
	set(chemistry.DeveloperWarmth, p.Development.TemperatureC)
	if p.Development.Seconds > 0 {
		out[chemistry.DevelopedSeconds] = p.Development.Seconds
	}
	if p.Exposure.Seconds > 0 {
		out[chemistry.ExposedSeconds] = p.Exposure.Seconds
	}
	if grade, ok := map[string]float64{"under": -1, "right": 0, "over": 1}[p.Judged]; ok {
		out[chemistry.Overexposure] = grade
	}
	if days, ok := a.AgeDays(p); ok {
		out[chemistry.CollodionAge] = float64(days)
	}
	if r, ok := stock.Recipe(p.Batches.Collodion); ok {
		if salts := r.Halides().SaltsG; salts > 0 {
			out[chemistry.CollodionSalts] = salts
		}
		if x := r.GramsPer100ml("pyroxylin"); x > 0 {
			out[chemistry.Pyroxylin] = x
		}
	}
	bathFacts(out, p, stock)
	if n, ok := inFixer(a, p); ok {
		out[chemistry.PlatesInFixer] = n
	}
	return out
}

// bathFacts reads the account as it stood at this plate.
func bathFacts(out chemistry.Facts, p *record.Plate, stock Stock) {
	acc, ok := stock.Account(p.Batches.Bath)
	if !ok {
		return
	}
	at, ok := acc.At(p.ID)
	if !ok {
		return
	}
	out[bathAge] = float64(at.Plates - 1)
	out[chemistry.BathStrength] = at.PercentWV
	out[chemistry.BathUnderFloor] = acc.Floor - at.PercentWV
	if at.PH != nil && !at.PH.Stale {
		out[chemistry.BathPH] = at.PH.Value
	}
	since := func(action logbook.Action, f chemistry.Fact) silverbath.Clock {
		c, _ := at.Clocks.Since(action)
		out[f] = float64(c.Plates)
		return c
	}
	since(logbook.Sunned, chemistry.PlatesSinceSunned)
	since(logbook.Evaporated, chemistry.PlatesSinceEvaporated)
	from := since(logbook.Filtered, chemistry.PlatesSinceFiltered).On
	if from.IsZero() {
		from = acc.Made.On
	}
	if !from.IsZero() {
		out[chemistry.DaysSinceFiltered] = float64(record.DateOf(p.Made).DaysSince(record.DateOf(from.In(p.Made.Location()))))
	}
}

// inFixer counts the plates fixed in the same batch up to this one.
func inFixer(a *record.Archive, p *record.Plate) (float64, bool) {
	if p.Batches.Fixer == "" {
		return 0, false
	}
	n := 0
	for _, q := range a.Plates {
		if q.Batches.Fixer == p.Batches.Fixer {
			n++
		}
		if q == p {
			break
		}
	}
	return float64(n), true
}
