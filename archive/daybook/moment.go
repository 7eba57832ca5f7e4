package daybook

import (
	"fmt"
	"strings"
	"time"
)

// momentLayouts are the notations of a time without a zone of its own.
var momentLayouts = []string{"2006-01-02T15:04:05", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02 15:04"}

// ParseMoment reads RFC 3339, local time in a zone, or a day alone. A day alone
// stands at noon, and timed is false; record reads it so too.
func ParseMoment(s string, zone *time.Location) (t time.Time, timed bool, err error) {
	s = strings.TrimSpace(s)
	for _, layout := range []string{time.RFC3339, "2006-01-02 15:04:05Z07:00"} {
		if t, err = time.Parse(layout, s); err == nil {
			return inRange(t.In(zone), true)
		}
	}
	for _, layout := range momentLayouts {
		if t, err = time.ParseInLocation(layout, s, zone); err == nil {
			return inRange(t, true)
		}
	}
	if t, err = time.ParseInLocation(time.DateOnly, s, zone); err == nil {
		return inRange(t.Add(12*time.Hour), false)
	}
	return time.Time{}, false, fmt.Errorf("%q is not a time", Clip(s))
}

func inRange(t time.Time, timed bool) (time.Time, bool, error) {
	if t.Year() < 1839 || t.Year() > 2200 {
		return time.Time{}, false, fmt.Errorf("%d is no year of photography", t.Year())
	}
	return t, timed, nil
}

// FormatMoment writes a time as a record holds it: the day alone if that is all
// that is known, the local time if it says all, else RFC 3339.
func FormatMoment(t time.Time, timed bool) string {
	if !timed {
		return t.Format(time.DateOnly)
	}
	for _, layout := range []string{"2006-01-02T15:04", "2006-01-02T15:04:05"} {
		s := t.Format(layout)
		if back, err := time.ParseInLocation(layout, s, t.Location()); err == nil && back.Equal(t) {
			return s
		}
	}
	// Sub-seconds, or an hour that a change of summer time makes doubtful.
	return t.Format(time.RFC3339Nano)
}
