package chemistry

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"sandarac/archive/chemistry/logbook"
	"sandarac/archive/chemistry/substance"
)

// Bottle is one batch as it stands on the shelf.
type Bottle struct {
	ID     string
	Recipe Recipe
	Mixed  time.Time
	Log    []Event // in the order written
}

// Event is one entry of a bottle's log.
type Event struct {
	On     time.Time
	Word   string // the action as written
	Note   string
	PH     *float64
	Volume *float64
	Added  []Part
}

// EtherYear is the age past which ether is warned of.
const EtherYear = 365 * 24 * time.Hour

// Warn looks over the whole shelf on a day: what is dangerous in what was done,
// what has grown dangerous with age, and what should not stand together. A
// bottle logged as discarded is gone and is not warned of, though its log is.
func Warn(shelf []Bottle, today time.Time) []Problem {
	var out []Problem
	for _, b := range shelf {
		found := b.entries()
		if b.gone(today) {
			stamp(found, b.ID)
			out = append(out, found...)
			continue
		}
		found = append(found, b.oldEther(today)...)
		stamp(found, b.ID)
		out = append(out, found...)
	}
	present := slices.DeleteFunc(slices.Clone(shelf), func(b Bottle) bool { return b.gone(today) })
	out = append(out, carryOver(present)...)
	return append(out, pregnancy(present)...)
}

func stamp(problems []Problem, id string) {
	for i := range problems {
		problems[i].Bottle = id
	}
}

// gone reports whether the last entry that empties or fills the bottle empties
// it whole.
func (b Bottle) gone(today time.Time) bool {
	out := false
	for _, e := range b.Log {
		if e.On.After(today) {
			continue // written ahead: it is still on the shelf
		}
		switch m, _ := logbook.Find(e.Word); m.Action {
		case logbook.Discarded:
			out = e.Volume == nil || *e.Volume == 0
		case logbook.Replaced:
			out = false
		}
	}
	return out
}

// since is the day the present filling dates from.
func (b Bottle) since(today time.Time) time.Time {
	day := b.Mixed
	for _, e := range b.Log {
		if e.On.After(today) {
			continue
		}
		if m, _ := logbook.Find(e.Word); m.Action == logbook.Replaced || m.Action == logbook.Opened {
			day = e.On
		}
	}
	return day
}

func (b Bottle) oldEther(today time.Time) []Problem {
	if !b.Recipe.Has(substance.Ether) || b.since(today).IsZero() || today.Sub(b.since(today)) <= EtherYear {
		return nil
	}
	months := int(today.Sub(b.since(today)).Hours() / 24 / 30.44)
	return []Problem{problem(Warning, "ether-old", Whole,
		fmt.Sprintf("%s holds ether from %s, %d months old: old ether forms explosive peroxides", b.ID, b.since(today).Format("2 January 2006"), months),
		"do not open a crusted bottle and do not distil; ask a licensed waste contractor, then log it as discarded")}
}

// carryOver warns of a cyanide fixer in a studio whose developer is acid.
func carryOver(present []Bottle) []Problem {
	var acid []string
	for _, b := range present {
		// A developer whose recipe is not recorded is acid until it says otherwise.
		if b.Recipe.Kind == Developer && (b.Recipe.Has(substance.Acid) || len(b.Recipe.Lines) == 0) {
			acid = append(acid, b.ID)
		}
	}
	var out []Problem
	for _, b := range present {
		if b.Recipe.Kind != Fixer || !b.Recipe.Has(substance.Cyanide) || len(acid) == 0 {
			continue
		}
		p := problem(Warning, "cyanide-carry-over", Whole,
			fmt.Sprintf("%s is a cyanide fixer and the developer (%s) is acid: developer carried over on a plate sets free hydrogen cyanide, which kills", b.ID, strings.Join(acid, ", ")),
			"wash every plate until the greasy flow is gone before it meets the fixer; separate sinks, trays and waste; or fix with thiosulfate")
		p.Bottle = b.ID
		out = append(out, p)
	}
	return out
}

// pregnancy is one warning for the whole shelf.
func pregnancy(present []Bottle) []Problem {
	var first string
	var named []string
	for _, b := range present {
		for _, s := range b.Recipe.Substances() {
			if s.HarmsChild() {
				first = cmp.Or(first, b.ID)
				named = union(named, []string{s.Name})
			}
		}
	}
	if len(named) == 0 {
		return nil
	}
	p := problem(Warning, "harmful-in-pregnancy", Whole, "on the shelf: "+strings.Join(named, ", ")+". "+Pregnancy, "tell everyone who works here; see the substitutes on the batch's page")
	p.Bottle = first
	return []Problem{p}
}
