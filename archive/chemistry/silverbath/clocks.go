package silverbath

import (
	"maps"
	"time"

	"sandarac/archive/chemistry/logbook"
)

// Clock counts since an action was last done.
type Clock struct {
	On     time.Time
	Plates int
}

// Clocks count plates since each action of the log, and since any of them.
type Clocks struct {
	since map[logbook.Action]Clock
	made  int
	last  int
}

// Since returns the clock of an action, and false when it was never done: then
// Plates counts from the making of the bath.
func (c Clocks) Since(a logbook.Action) (Clock, bool) {
	clock, ok := c.since[a]
	if !ok {
		clock.Plates = c.made
	}
	return clock, ok
}

// PlatesSinceTended counts plates since something was last done to the bath, or
// since mixing; a reading does nothing to it.
func (c Clocks) PlatesSinceTended() int { return c.last }

func (c Clocks) clone() Clocks {
	c.since = maps.Clone(c.since)
	return c
}

func (c *Clocks) plate() {
	for a, clock := range c.since {
		clock.Plates++
		c.since[a] = clock
	}
	c.made++
	c.last++
}

func (c *Clocks) entry(e Entry) {
	if e.Action == logbook.Noted {
		return
	}
	if e.Action.Tends() {
		c.last = 0
	}
	if e.Action == logbook.Replaced { // a new bath has been nothing yet
		clear(c.since)
		c.made = 0
	}
	c.since[e.Action] = Clock{On: e.At}
}
