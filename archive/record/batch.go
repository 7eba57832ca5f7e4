package record

import "fmt"

// BatchKinds are the solutions of the process, in the order they meet a plate.
var BatchKinds = []string{"collodion", "bath", "developer", "fixer", "varnish"}

// Batch is one mix of a solution.
type Batch struct {
	Source
	ID, Kind          string
	Mixed             Date
	VolumeML          float64
	Parts             []Part
	ReadyAfterDays    int
	RetireAfterDays   int // 0: never
	CureHours         float64
	RetainedMLPerDM2  float64
	Log               []LogEntry
	CureHoursGiven    bool
	RetainedGiven     bool
	ReadyAfterGiven   bool
	RetireAfterGiven  bool
	ReadyFrom, Retire Date // Mixed plus the days; zero when not given
}

// Part is one substance of a recipe with exactly one amount. Amount holds
// quantities in old units as written ("8 gr/fl oz US"); the chemistry reads them.
type Part struct {
	Substance string
	Grams     *float64
	ML        *float64
	PercentWV *float64
	Amount    string
	Line      int
}

// LogEntry is something done to a batch after it was mixed.
type LogEntry struct {
	Date            Date
	Action, Note    string
	SpecificGravity *float64
	PercentWV       *float64 // strength by assay, silver nitrate of a bath
	PH              *float64
	TemperatureC    *float64
	VolumeML        *float64
	Added           []Part
	Line            int
}

// Defaults of a batch (both common practice, no source).
const (
	DefaultCureHours        = 24.0
	DefaultRetainedMLPerDM2 = 1.5
)

func decodeBatch(d *decoder) *Batch {
	b := &Batch{CureHours: DefaultCureHours, RetainedMLPerDM2: DefaultRetainedMLPerDM2}
	d.id("batch", &b.ID)
	d.oneOf("kind", &b.Kind, BatchKinds...)
	d.date("mixed", &b.Mixed)
	d.float("volume_ml", &b.VolumeML, positive)
	b.Parts = d.parts("parts")
	d.whole("ready_after_days", &b.ReadyAfterDays, 0, 3650)
	d.whole("retire_after_days", &b.RetireAfterDays, 1, 36500)
	d.float("cure_hours", &b.CureHours, notBelow0)
	d.float("retained_ml_per_dm2", &b.RetainedMLPerDM2, positive)
	b.CureHoursGiven, b.RetainedGiven = d.src.Has("cure_hours"), d.src.Has("retained_ml_per_dm2")
	b.ReadyAfterGiven, b.RetireAfterGiven = d.src.Has("ready_after_days"), d.src.Has("retire_after_days")
	d.groups("log", "a list of entries, each with date and action", func(i int, in *decoder) {
		b.Log = append(b.Log, in.logEntry())
	})
	d.require("kind", b.Kind == "", "which solution it is: collodion, bath, developer, fixer or varnish")
	d.require("mixed", b.Mixed.IsZero(), "the day it was mixed, YYYY-MM-DD")
	if !b.Mixed.IsZero() {
		if b.ReadyAfterGiven {
			b.ReadyFrom = b.Mixed.AddDays(b.ReadyAfterDays)
		}
		if b.RetireAfterGiven && b.RetireAfterDays > 0 {
			b.Retire = b.Mixed.AddDays(b.RetireAfterDays)
		}
	}
	return b
}

// require reports a key that must be there, unless its value was faulted
// already.
func (d *decoder) require(key string, missing bool, what string) {
	if missing && !d.src.Has(d.path+key) {
		d.fault(d.src.Line(d.path), "missing-key", d.said(key)+" is missing", "add "+key+": "+what)
	}
}

func (d *decoder) logEntry() LogEntry {
	e := LogEntry{Line: d.table.line}
	d.date("date", &e.Date)
	d.text("action", &e.Action)
	d.text("note", &e.Note)
	d.maybe("specific_gravity", &e.SpecificGravity, bounds{0.6, 2, "a specific gravity, such as 1.075"})
	d.maybe("percent_wv", &e.PercentWV, bounds{positive.min, 40, "per cent weight in volume above 0, up to 40, as assayed"})
	d.maybe("ph", &e.PH, bounds{0, 14, "a pH from 0 to 14"})
	d.maybe("temperature_c", &e.TemperatureC, liquidC)
	d.maybe("volume_ml", &e.VolumeML, notBelow0)
	e.Added = d.parts("added")
	if e.Date.IsZero() && !d.src.Has(d.path+"date") {
		d.fault(d.table.line, "missing-key", "this log entry has no date", "add date: YYYY-MM-DD")
	}
	if e.Action == "" && !d.src.Has(d.path+"action") {
		d.fault(d.table.line, "missing-key", "this log entry has no action", "add action: what was done, such as filtered or topped-up")
	}
	return e
}

func (d *decoder) parts(key string) []Part {
	var out []Part
	d.groups(key, "a list of parts, each a substance with grams, ml, percent_wv or amount", func(i int, in *decoder) {
		p := Part{Line: in.table.line}
		in.text("substance", &p.Substance)
		in.maybe("grams", &p.Grams, positive)
		in.maybe("ml", &p.ML, positive)
		in.maybe("percent_wv", &p.PercentWV, bounds{positive.min, 100, "per cent weight in volume above 0, up to 100"})
		in.text("amount", &p.Amount)
		given := 0
		for _, k := range []string{"grams", "ml", "percent_wv", "amount"} {
			if in.src.Has(in.path + k) {
				given++
			}
		}
		switch {
		case p.Substance == "":
			in.fault(p.Line, "missing-key", "this part has no substance", "name the substance")
		case given != 1:
			in.fault(p.Line, "wrong-parts", fmt.Sprintf("%s has %d amounts", clip(p.Substance), given), "give exactly one of grams, ml, percent_wv, or amount (old units, such as “8 gr/fl oz US”)")
		}
		out = append(out, p)
	})
	return out
}
