package recipe

import (
	"errors"
	"fmt"

	"sandarac/archive/chemistry"
	"sandarac/archive/chemistry/logbook"
	"sandarac/archive/chemistry/silverbath"
	"sandarac/archive/record"
)

// Errors of Bath.
var (
	ErrNotABath = errors.New("not a silver bath of this archive")
	ErrNoSilver = errors.New("the account cannot start: the batch needs silver nitrate with its amount, and a volume")
)

// BathAccount is a bath's account with what the studio does about it.
type BathAccount struct {
	silverbath.Account
	Batch           *record.Batch
	TargetPercentWV float64 // as made
	TopUp           silverbath.TopUp
	Advice          []silverbath.Advice
	// PlatesToFloor is the forecast, nil when nothing tells.
	PlatesToFloor *int
	// Uncounted lists the plates whose silver could not be counted, and why.
	Uncounted []Uncounted
	// Assumptions go with every figure.
	Assumptions []string
}

// Uncounted is one plate left out of the silver count.
type Uncounted struct{ Plate, Why string }

// Bath keeps the account of a bath up to and with a day. The floor is the
// studio's; where its record sets none, the default, but at most half a per cent
// under what the bath was made at, or a weak bath would start under it.
// The error wraps ErrNotABath or ErrNoSilver.
func Bath(a *record.Archive, id string, today record.Date) (BathAccount, error) {
	b, ok := a.Batch("bath", id)
	if !ok {
		return BathAccount{}, fmt.Errorf("%q: %w", id, ErrNotABath)
	}
	r, _ := read(b)
	made := silverbath.Made{On: start(a, b.Mixed), VolumeMl: r.VolumeMl, SilverNitrateG: r.SilverNitrateG()}
	if made.VolumeMl <= 0 || made.SilverNitrateG <= 0 {
		return BathAccount{}, fmt.Errorf("bath %s (%s): %w", id, b.File, ErrNoSilver)
	}
	out := BathAccount{Batch: b, TargetPercentWV: made.PercentWV()}
	plates := out.plates(a, today)
	out.Account = silverbath.Run(made, entries(a, b, today), plates, floor(a, made))
	out.TopUp = out.ToTarget(out.TargetPercentWV)
	out.Advice = out.Advise(today.Start(zone(a)), out.TargetPercentWV, silverbath.DefaultTriggers)
	if n, ok := out.Account.PlatesToFloor(); ok {
		out.PlatesToFloor = &n
	}
	out.Assumptions = append(r.Assumptions, out.Account.Assumptions()...)
	return out, nil
}

func floor(a *record.Archive, made silverbath.Made) float64 {
	if a.Studio == nil {
		return silverbath.DefaultFloor(made.PercentWV())
	}
	studio := a.Studio.BathFloorPercentWV
	if a.Studio.Has("bath_floor_percent_wv") {
		return studio
	}
	return min(studio, max(made.PercentWV()-0.5, 0))
}

// plates gathers what passed through the bath. Where size or collodion is not
// known nothing is guessed: the plate counts as one plate and is listed.
func (out *BathAccount) plates(a *record.Archive, today record.Date) []silverbath.Plate {
	var list []silverbath.Plate
	silver := map[string]float64{}
	for _, p := range a.Plates {
		if p.Batches.Bath != out.Batch.ID || p.MadeOn().After(today) {
			continue
		}
		uncounted := func(why string) { out.Uncounted = append(out.Uncounted, Uncounted{p.ID, why}) }
		if p.Made.IsZero() {
			uncounted("the plate has no date")
			continue
		}
		plate := silverbath.Plate{ID: p.ID, At: p.Made, AreaDm2: p.Format.AreaDM2(),
			RetainedMlPerDm2: silverbath.DefaultRetainedMlPerDm2, DragOutMlPerDm2: silverbath.DefaultDragOutMlPerDm2}
		c, ok := a.Batch("collodion", p.Batches.Collodion)
		switch {
		case plate.AreaDm2 <= 0:
			uncounted("the plate's size is not known")
		case !ok:
			uncounted("its collodion is not known")
		default:
			if _, done := silver[c.ID]; !done {
				r, _ := read(c)
				silver[c.ID] = r.Halides().SilverMgPerMl
			}
			plate.RetainedMlPerDm2, plate.SilverMgPerMl = c.RetainedMLPerDM2, silver[c.ID]
			if plate.SilverMgPerMl == 0 {
				uncounted("the halides of collodion " + c.ID + " are not known")
			}
		}
		list = append(list, plate)
	}
	return list
}

func entries(a *record.Archive, b *record.Batch, today record.Date) []silverbath.Entry {
	var out []silverbath.Entry
	for _, e := range b.Log {
		if e.Date.IsZero() || e.Date.After(today) {
			continue
		}
		action := logbook.Noted // an unknown word changes nothing but what was read with it
		if m, ok := logbook.Find(e.Action); ok {
			action = m.Action
		}
		added, _ := chemistry.ReadAdded(parts(e.Added))
		out = append(out, silverbath.Entry{At: start(a, e.Date), Action: action, Gravity: e.SpecificGravity, PercentWV: e.PercentWV, TemperatureC: e.TemperatureC,
			PH: e.PH, VolumeMl: e.VolumeML, AddedSilverNitrateG: added.SilverNitrateG, AddedLiquidMl: added.LiquidMl, AddedHalideG: added.HalideG})
	}
	return out
}
