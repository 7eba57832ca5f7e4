package record

import (
	"fmt"
	"time"
)

// Date is a calendar day in the studio's zone. The zero Date means "not given".
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// DateOf is the calendar day of t in t's own location.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	return Date{y, m, d}
}

// ParseDate reads YYYY-MM-DD and refuses days that no calendar has.
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return Date{}, fmt.Errorf("%q is not a day of the calendar, written YYYY-MM-DD", s)
	}
	return DateOf(t), nil
}

// IsZero reports whether the date was not given.
func (d Date) IsZero() bool { return d == Date{} }

func (d Date) String() string {
	if d.IsZero() {
		return ""
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day)
}

// MarshalText writes YYYY-MM-DD, so that JSON holds dates as text.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

func (d Date) utc() time.Time { return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC) }

// Before reports whether d is an earlier day than e.
func (d Date) Before(e Date) bool { return d.utc().Before(e.utc()) }

// After reports whether d is a later day than e.
func (d Date) After(e Date) bool { return e.Before(d) }

// AddDays is the day n days later (earlier for negative n).
func (d Date) AddDays(n int) Date { return DateOf(d.utc().AddDate(0, 0, n)) }

// DaysSince is the whole number of calendar days from e to d.
func (d Date) DaysSince(e Date) int { return int(d.utc().Sub(e.utc()).Hours() / 24) }

// Start is the first moment of the day in a zone.
func (d Date) Start(zone *time.Location) time.Time {
	return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, zone)
}
