package care

import (
	"fmt"
	"math"
	"time"
)

// DefaultCureHours is how long a varnish cures before the plate may be touched
// or enclosed. Common practice; soft films keep hardening for days. The nearest
// printed figures are for other varnishes: an hour after white-lac varnish
// (Archer 1854), twelve hours in warmth for a cold pyroxylin varnish (Henley).
const DefaultCureHours = 24.0

// Clock is when a plate may be touched.
type Clock struct {
	Ready   time.Time // zero when the plate was never varnished
	Hours   float64
	Default bool // the hours are DefaultCureHours, not the varnish batch's own
}

// Cure starts the clock at the time of varnishing. cureHours is the varnish
// batch's; zero, negative or not a number takes the default and says so. The
// hours pass on the clock, not on the calendar: a change to summer time moves
// the wall time of Ready.
func Cure(varnished time.Time, cureHours float64) Clock {
	c := Clock{Hours: cureHours}
	if !(cureHours > 0) || cureHours > 24*365 {
		c.Hours, c.Default = DefaultCureHours, true
	}
	if !varnished.IsZero() {
		c.Ready = varnished.Add(time.Duration(math.Round(c.Hours*3600)) * time.Second)
	}
	return c
}

// Cured reports whether the plate may be touched at a moment. A plate that was
// never varnished is never cured.
func (c Clock) Cured(now time.Time) bool { return !c.Ready.IsZero() && !now.Before(c.Ready) }

// Sentence says when the plate may be touched, in the zone of Ready.
func (c Clock) Sentence() string {
	if c.Ready.IsZero() {
		return "Not varnished yet: do not touch the image or close the envelope."
	}
	basis := ""
	if c.Default {
		basis = ", the usual time"
	}
	return fmt.Sprintf("Varnish cures for %s%s: do not touch the image or close the envelope before %s.", hours(c.Hours), basis, c.Ready.Format("Monday 2 January 2006, 15:04"))
}

func hours(h float64) string {
	if h == 1 {
		return "1 hour"
	}
	return fmt.Sprintf("%g hours", math.Round(h*10)/10)
}
