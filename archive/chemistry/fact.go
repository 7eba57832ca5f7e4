package chemistry

import (
	"fmt"
	"math"
	"strconv"
)

// Fact is one figure a plate's own record gives.
type Fact string

const (
	BathPH                Fact = "bath-ph"
	BathStrength          Fact = "bath-strength"         // % w/v by the account
	BathUnderFloor        Fact = "bath-under-floor"      // floor − strength, % w/v
	PlatesSinceFiltered   Fact = "plates-since-filtered" // of the bath
	DaysSinceFiltered     Fact = "days-since-filtered"   // of the bath
	PlatesSinceSunned     Fact = "plates-since-sunned"   // of the bath
	PlatesSinceEvaporated Fact = "plates-since-evaporated"
	CollodionAge          Fact = "collodion-age"     // days since mixed
	CollodionSalts        Fact = "collodion-salts"   // g in 100 ml
	Pyroxylin             Fact = "pyroxylin"         // g in 100 ml
	DevelopedSeconds      Fact = "developed-seconds" // s
	DeveloperWarmth       Fact = "developer-warmth"  // °C
	AirWarmth             Fact = "air-warmth"        // °C
	Humidity              Fact = "humidity"          // %
	ExposedSeconds        Fact = "exposed-seconds"   // s
	Overexposure          Fact = "overexposure"      // 1 judged over, 0 right, −1 under
	StopsOverAim          Fact = "stops-over-aim"    // dose against the aim of its batch and light
	PlatesInFixer         Fact = "plates-in-fixer"   // since the batch was mixed
	HolderWaitMinutes     Fact = "holder-wait"       // bath to developer
)

var factWords = map[Fact]struct{ name, unit string }{
	BathPH: {"the bath's last pH", ""}, BathStrength: {"the bath by its account", " % w/v"}, BathUnderFloor: {"the bath under its floor by", " % w/v"},
	PlatesSinceFiltered: {"plates since the bath was filtered", ""}, DaysSinceFiltered: {"days since the bath was filtered", ""},
	PlatesSinceSunned: {"plates since the bath was sunned", ""}, PlatesSinceEvaporated: {"plates since alcohol was driven off", ""},
	CollodionAge: {"age of the collodion", " days"}, CollodionSalts: {"salts in the collodion", " g/100 ml"}, Pyroxylin: {"pyroxylin", " g/100 ml"},
	DevelopedSeconds: {"developed for", " s"}, DeveloperWarmth: {"developer at", " °C"}, AirWarmth: {"air at", " °C"}, Humidity: {"humidity", " %"},
	ExposedSeconds: {"exposed for", " s"}, Overexposure: {"judged", ""}, StopsOverAim: {"dose against the aim", " stops"},
	PlatesInFixer: {"plates in the fixer", ""}, HolderWaitMinutes: {"bath to developer", " min"},
}

// Facts are the figures known of one plate; a fact that is missing is not
// known.
type Facts map[Fact]float64

// Sign is a figure that speaks for a cause: above, or below, a limit. Limits
// are the ends of the usual ranges of the trade.
type Sign struct {
	Fact  Fact
	Below bool
	Limit float64
}

func above(f Fact, limit float64) Sign { return Sign{Fact: f, Limit: limit} }
func below(f Fact, limit float64) Sign { return Sign{Fact: f, Limit: limit, Below: true} }

// Verdict is what a record says of a sign.
type Verdict int

const (
	Silent  Verdict = iota // the fact is not known
	For                    // the figure speaks for the cause
	Against                // the figure is on the other side
)

// Read sets a sign against the facts, with a sentence for the page.
func (s Sign) Read(facts Facts) (Verdict, string) {
	x, ok := facts[s.Fact]
	if !ok || math.IsNaN(x) {
		return Silent, ""
	}
	if s.Below == (x < s.Limit) && x != s.Limit {
		return For, s.sentence(x)
	}
	return Against, s.sentence(x)
}

func (s Sign) sentence(x float64) string {
	switch {
	case s.Fact == Overexposure && x > 0:
		return "judged over"
	case s.Fact == Overexposure && x < 0:
		return "judged under"
	case s.Fact == Overexposure:
		return "judged right"
	case s.Fact == BathUnderFloor && x > 0:
		return "the bath " + figure(x) + " % w/v under its floor, by its account"
	case s.Fact == BathUnderFloor:
		return "the bath not under its floor, by its account"
	}
	w := factWords[s.Fact]
	side := "above"
	if x <= s.Limit {
		side = "not above"
	}
	if s.Below {
		side = "below"
		if x >= s.Limit {
			side = "not below"
		}
	}
	return fmt.Sprintf("%s %s%s, %s %s", w.name, figure(x), w.unit, side, figure(s.Limit))
}

func figure(x float64) string { return strconv.FormatFloat(math.Round(x*100)/100, 'f', -1, 64) }
