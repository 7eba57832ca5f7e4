package silverbath

import (
	"fmt"
	"time"

	"sandarac/archive/chemistry/logbook"
)

// Triggers say when the bath wants attention. The zero value of a field turns
// that trigger off.
type Triggers struct {
	FilterDays    int     // days since filtering, in use
	SunPlates     int     // plates since sunning
	MeasurePlates int     // plates since a reading
	AcidifyAbove  float64 // pH
	TooAcidBelow  float64 // pH
}

// DefaultTriggers are common practice; period books say only that blue litmus
// should redden slightly (Cooley).
var DefaultTriggers = Triggers{FilterDays: 7, SunPlates: 75, MeasurePlates: 50, AcidifyAbove: 5.5, TooAcidBelow: 3}

// Advice is one thing the bath may want.
type Advice struct {
	Action  logbook.Action
	Why     string
	How     string
	Caution string
	Source  string
}

// Advise compares the account with the triggers on a day. It advises to look
// and to test; it does not judge the bath bad.
func (a Account) Advise(today time.Time, targetPercent float64, t Triggers) []Advice {
	var out []Advice
	add := func(action logbook.Action, source, how, why string, args ...any) {
		m, _ := logbook.Find(string(action))
		out = append(out, Advice{Action: action, Why: fmt.Sprintf(why, args...), How: how, Caution: m.Caution, Source: source})
	}
	if a.PercentWV < a.Floor {
		add(logbook.ToppedUp, "Schriever; common practice",
			"read it first; by this account "+a.ToTarget(targetPercent).Said(),
			"the account stands at %.1f %% w/v, under the floor of %.1f %%", a.PercentWV, a.Floor)
	}
	if c, _ := a.Clocks.Since(logbook.Measured); t.MeasurePlates > 0 && c.Plates >= t.MeasurePlates {
		add(logbook.Measured, "common practice", "read specific gravity, temperature, pH and volume, and log them",
			"%s since the last reading: the estimate drifts", plates(c.Plates))
	}
	a.adviseFilter(today, t, add)
	if c, done := a.Clocks.Since(logbook.Sunned); t.SunPlates > 0 && c.Plates >= t.SunPlates {
		since := "since it was made"
		if done {
			since = "since it was sunned"
		}
		add(logbook.Sunned, "Schriever §931-932; common practice", "neutralise with bicarbonate, stand in sunlight until the black settles, filter, restore volume and acid",
			"%s %s; organic matter from the collodion gathers", plates(c.Plates), since)
	}
	if a.PH != nil && !a.PH.Stale {
		switch {
		case t.AcidifyAbove > 0 && a.PH.Value > t.AcidifyAbove:
			add(logbook.Acidified, "common practice; Cooley: litmus should redden slightly", "pure dilute nitric acid by drops to about pH 4 to 4.5",
				"pH %.1f on %s is above %.1f: fog", a.PH.Value, a.PH.At.Format("2 January"), t.AcidifyAbove)
		case a.PH.Value < t.TooAcidBelow:
			add(logbook.Neutralised, "common practice", "bicarbonate by drops until a faint cloud stays, stand, filter",
				"pH %.1f on %s is below %.1f: thin, slow, harsh plates", a.PH.Value, a.PH.At.Format("2 January"), t.TooAcidBelow)
		}
	}
	return out
}

func (a Account) adviseFilter(today time.Time, t Triggers, add func(logbook.Action, string, string, string, ...any)) {
	c, done := a.Clocks.Since(logbook.Filtered)
	if t.FilterDays == 0 || c.Plates == 0 {
		return
	}
	from := c.On
	if !done {
		from = a.Made.On
	}
	if days := int(today.Sub(from).Hours() / 24); days >= t.FilterDays {
		add(logbook.Filtered, "Schriever; common practice", "cotton or paper, into a clean bottle", "%d days and %s since it was filtered or made", days, plates(c.Plates))
	}
}

// Assumptions are printed with every account.
func (a Account) Assumptions() []string {
	return []string{
		"An estimate: collodion left on each plate times the halides in it gives the silver used (stoichiometric).",
		fmt.Sprintf("Collodion left on the plate: %.1f ml/dm² unless the batch says otherwise (0.8 to 2.5 is plausible; weigh the bottle before and after ten plates).", DefaultRetainedMlPerDm2),
		fmt.Sprintf("Bath carried off: %.1f ml/dm² (0.3 to 1), counted apart; it lowers the volume, not the strength.", DefaultDragOutMlPerDm2),
		"Alcohol, ether and water carried in, and water evaporated between entries, are not counted.",
		"A day's log entry counts before the day's plates; a strength noted with an addition was read before it, other readings after the action.",
		WhyApparent,
	}
}

func plates(n int) string {
	if n == 1 {
		return "1 plate"
	}
	return fmt.Sprintf("%d plates", n)
}
