package silverbath

import "sandarac/archive/chemistry/logbook"

// enter applies one log entry. What was poured in comes before what was read,
// but for a strength noted with an addition: that was read first.
func (a *Account) enter(e Entry) {
	meaning, _ := logbook.Find(string(e.Action))
	adds := e.AddedSilverNitrateG > 0 || e.AddedLiquidMl > 0 || e.AddedHalideG > 0
	measured := false
	switch {
	case e.Action == logbook.Replaced:
		a.replace(e)
	case e.Action == logbook.Discarded:
		a.add(e)
		a.discardTo(e.VolumeMl)
	case adds:
		measured = a.read(e)
		a.add(e)
		a.setVolume(e, meaning.Volume)
	default:
		a.setVolume(e, meaning.Volume)
	}
	if !adds || e.Action == logbook.Replaced || e.Action == logbook.Discarded {
		measured = a.read(e)
	}
	a.readPH(e)
	a.Clocks.entry(e)
	if measured || e.Action == logbook.ToppedUp || e.Action == logbook.Replaced {
		a.use = use{}
	}
	a.step(Point{At: e.At, Action: e.Action, Measured: measured})
}

func (a *Account) add(e Entry) {
	a.Ledger.Added += e.AddedSilverNitrateG
	a.Ledger.Left += e.AddedSilverNitrateG
	a.VolumeMl += e.AddedLiquidMl
	thrownDown := min(e.AddedHalideG, a.Ledger.Left)
	a.Ledger.Left -= thrownDown
	a.Ledger.Consumed += thrownDown
}

// setVolume takes a volume noted after an action. More than was thought is
// water; less is water or bath according to the action.
func (a *Account) setVolume(e Entry, smaller logbook.Volume) {
	if e.VolumeMl == nil {
		return
	}
	after := max(*e.VolumeMl, 0)
	if after < a.VolumeMl && smaller == logbook.LiquidLost && e.Gravity == nil && e.PercentWV == nil {
		a.discardTo(e.VolumeMl)
		return
	}
	a.VolumeMl = after
}

// discardTo pours bath off, silver and all, until volume is left.
func (a *Account) discardTo(volume *float64) {
	stays := 0.0
	if volume != nil {
		stays = min(max(*volume, 0), a.VolumeMl)
	}
	share := 1.0
	if a.VolumeMl > 0 {
		share = 1 - stays/a.VolumeMl
	}
	gone := a.Ledger.Left * share
	a.Ledger.Left -= gone
	a.Ledger.Discarded += gone
	a.VolumeMl = stays
}

// replace discards all and starts again from what was added, or from the
// recipe when the entry does not say.
func (a *Account) replace(e Entry) {
	a.discardTo(nil)
	grams, volume := e.AddedSilverNitrateG, e.AddedLiquidMl
	if grams == 0 {
		grams, volume = a.Made.SilverNitrateG, a.Made.VolumeMl
	}
	if e.VolumeMl != nil {
		volume = *e.VolumeMl
	}
	if volume <= 0 {
		volume = a.Made.VolumeMl
	}
	a.Ledger.Added += grams
	a.Ledger.Left += grams
	a.VolumeMl = volume
	a.Plates, a.AreaDm2 = 0, 0
}

// read lets a measured strength replace the estimate.
func (a *Account) read(e Entry) bool {
	var measured float64
	apparent := false
	switch {
	case e.PercentWV != nil:
		measured = *e.PercentWV
	case e.Gravity != nil:
		t := 20.0
		if e.TemperatureC != nil {
			t = *e.TemperatureC
		} else {
			a.note("%s: no temperature with the specific gravity; 20 °C taken", day(e))
		}
		s, err := Reading{SpecificGravity: *e.Gravity, TemperatureC: t}.Strength()
		if err != nil {
			a.note("%s: %v; the reading is not used", day(e), err)
			return false
		}
		measured, apparent = s.PercentWV, a.Plates > 0
	default:
		return false
	}
	grams := measured * a.VolumeMl / 100
	gap := Gap{At: e.At, EstimatedPercent: percent(a.Ledger.Left, a.VolumeMl), MeasuredPercent: measured,
		SilverNitrateG: grams - a.Ledger.Left, Apparent: apparent, PlatesBeforeReading: a.Plates}
	a.Gaps = append(a.Gaps, gap)
	a.Ledger.Corrected += gap.SilverNitrateG
	a.Ledger.Left = grams
	return true
}

func (a *Account) readPH(e Entry) {
	if e.PH != nil {
		a.PH = &PHReading{At: e.At, Value: *e.PH}
		return
	}
	switch e.Action {
	case logbook.Replaced:
		a.PH = nil
	case logbook.Acidified, logbook.Neutralised:
		if a.PH != nil {
			a.PH.Stale = true
		}
	}
}

func day(e Entry) string { return e.At.Format("2 January 2006") }
