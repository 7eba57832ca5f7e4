package recipe

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"sandarac/archive/chemistry"
	"sandarac/archive/chemistry/logbook"
	"sandarac/archive/chemistry/silverbath"
	"sandarac/archive/finding"
	"sandarac/archive/record"
)

// Check reads every batch and looks over the shelf on a day: amounts, pairs
// that must not meet, what was done to a bath, what has grown dangerous with
// age, readings off the table, baths under their floor, and collodions too
// strong for the bath they were dipped in. Findings are sorted.
func Check(a *record.Archive, today record.Date) []finding.Finding {
	var out []finding.Finding
	var shelf []chemistry.Bottle
	recipes := map[string]chemistry.Recipe{}
	for _, b := range batches(a) {
		r, found := Of(b)
		recipes[b.ID] = r
		out = append(out, found...)
		out = append(out, readings(b)...)
		shelf = append(shelf, bottle(a, b, r))
	}
	for _, p := range chemistry.Warn(shelf, today.Start(zone(a))) {
		b := a.Batches[p.Bottle]
		out = append(out, findings(b, []chemistry.Problem{p})...)
	}
	out = append(out, floors(a, today)...)
	out = append(out, proportions(a, recipes)...)
	finding.Sort(out)
	return out
}

// batches are all of them, by id.
func batches(a *record.Archive) []*record.Batch {
	out := make([]*record.Batch, 0, len(a.Batches))
	for _, b := range a.Batches {
		out = append(out, b)
	}
	slices.SortFunc(out, func(x, y *record.Batch) int { return cmp.Compare(x.ID, y.ID) })
	return out
}

func zone(a *record.Archive) *time.Location {
	if a.Studio == nil || a.Studio.Zone == nil {
		return time.UTC
	}
	return a.Studio.Zone
}

// bottle hands a batch to the chemistry. Dates not given stay zero.
func bottle(a *record.Archive, b *record.Batch, r chemistry.Recipe) chemistry.Bottle {
	out := chemistry.Bottle{ID: b.ID, Recipe: r, Mixed: start(a, b.Mixed)}
	for _, e := range b.Log {
		out.Log = append(out.Log, chemistry.Event{On: start(a, e.Date), Word: e.Action, Note: e.Note, PH: e.PH, Volume: e.VolumeML, Added: parts(e.Added)})
	}
	return out
}

func start(a *record.Archive, d record.Date) time.Time {
	if d.IsZero() {
		return time.Time{}
	}
	return d.Start(zone(a))
}

// readings judges the hydrometer readings of a bath's log where they stand.
func readings(b *record.Batch) []finding.Finding {
	if b.Kind != string(chemistry.Bath) {
		return nil
	}
	var out []finding.Finding
	bare := 0 // gravities without a temperature: said once, at the first
	for _, e := range b.Log {
		say := func(s chemistry.Severity, code, message, remedy string) {
			out = append(out, at(b, e.Line, chemistry.Problem{Severity: s, Code: code, Message: message, Remedy: remedy}))
		}
		if m, ok := logbook.Find(e.Action); ok && m.Reading && e.SpecificGravity == nil && e.PercentWV == nil && e.PH == nil && e.VolumeML == nil {
			say(chemistry.Remark, "reading-missing", fmt.Sprintf("%s on %s, but no reading is noted", e.Action, e.Date), "add specific_gravity with temperature_c, percent_wv, ph or volume_ml")
		}
		if e.SpecificGravity == nil || e.PercentWV != nil {
			continue // an assay beats the hydrometer
		}
		t := 20.0
		if e.TemperatureC != nil {
			t = *e.TemperatureC
		} else if bare++; bare == 1 {
			say(chemistry.Remark, "reading-without-temperature", fmt.Sprintf("the specific gravity of %s has no temperature: 20 °C is taken, here and in later entries", e.Date), "add temperature_c, the bath's")
		}
		if _, err := (silverbath.Reading{SpecificGravity: *e.SpecificGravity, TemperatureC: t}).Strength(); err != nil {
			say(chemistry.Warning, "reading-outside-table", fmt.Sprintf("the reading of %s is not used: %v", e.Date, err), "read again; the table runs from water to 40 % by weight, 10 to 35 °C")
		}
	}
	return out
}

// floors warns of baths in use that the account puts under their floor.
func floors(a *record.Archive, today record.Date) []finding.Finding {
	var out []finding.Finding
	for _, b := range batches(a) {
		retired := !b.Retire.IsZero() && today.After(b.Retire)
		acc, err := Bath(a, b.ID, today)
		if err != nil || retired || acc.Crossed == nil || acc.VolumeMl <= 0 {
			continue
		}
		since := acc.Crossed.At.Format("2 January 2006")
		if acc.Crossed.Plate != "" {
			since += " (plate " + acc.Crossed.Plate + ")"
		}
		out = append(out, at(b, b.Line("batch"), chemistry.Problem{Severity: chemistry.Warning, Code: "bath-under-floor",
			Message: fmt.Sprintf("the account puts the bath at %.2f %% w/v, under the floor of %.2f %% since %s", acc.PercentWV, acc.Floor, since),
			Remedy:  "read it; by this account " + acc.TopUp.Said()}))
	}
	return out
}

// proportions remarks once on every collodion used in a bath made weaker than
// the rule wants.
func proportions(a *record.Archive, recipes map[string]chemistry.Recipe) []finding.Finding {
	var out []finding.Finding
	seen := map[[2]string]bool{}
	for _, p := range a.Plates {
		pair := [2]string{p.Batches.Collodion, p.Batches.Bath}
		c, isCollodion := a.Batch("collodion", pair[0])
		b, isBath := a.Batch("bath", pair[1])
		if seen[pair] || !isCollodion || !isBath {
			continue
		}
		seen[pair] = true
		made := recipes[b.ID].SilverNitratePercentWV()
		salts := recipes[c.ID].Halides().SaltsG
		if least, ok := chemistry.BathFor(salts); ok && made > 0 && made < least-0.05 {
			out = append(out, at(c, c.Line("parts"), chemistry.Problem{Severity: chemistry.Remark, Code: "collodion-over-bath",
				Message: fmt.Sprintf("%.2f g of salts in 100 ml want a bath of at least %.1f %% w/v by the rule of Estabrooke (1887); bath %s was made at %.1f %%", salts, least, b.ID, made),
				Remedy:  "keep it if the plates are sound; thin plates or a marbled cloud point to the bath"}))
		}
	}
	return out
}
