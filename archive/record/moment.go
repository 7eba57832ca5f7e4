package record

import (
	"fmt"
	"strings"
	"time"
)

func (d *decoder) date(key string, to *Date) {
	v, ok := d.get(key)
	if !ok {
		return
	}
	if v.kind != scalar {
		d.wrong(key, v, "a date, YYYY-MM-DD")
		return
	}
	day, err := ParseDate(v.text)
	if err != nil || day.Year < 1839 || day.Year > 2200 {
		d.fault(v.line, "bad-date", fmt.Sprintf("%s is %s", d.said(key), v.describe()), meantDay(v.text)+"accepted: a day of the calendar from 1839 on, written YYYY-MM-DD")
		return
	}
	*to = day
}

var localTimes = []string{"2006-01-02T15:04:05", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02 15:04"}

// moment reads RFC 3339, local time in the studio's zone, or a day alone. A day
// alone stands at noon, and timed is false.
func (d *decoder) moment(key string, to *time.Time, timed *bool) {
	v, ok := d.get(key)
	if !ok {
		return
	}
	t, isTimed, err := parseMoment(v, d.zone)
	if err != nil || t.Year() < 1839 || t.Year() > 2200 {
		d.fault(v.line, "bad-date", fmt.Sprintf("%s is %s", d.said(key), v.describe()),
			meantDay(v.text)+"accepted: local time such as 2026-05-03T10:20, RFC 3339 such as 2026-05-03T10:20:00+02:00, or a day such as 2026-05-03")
		return
	}
	*to, *timed = t.In(d.zone), isTimed
}

func parseMoment(v value, zone *time.Location) (time.Time, bool, error) {
	if v.kind != scalar {
		return time.Time{}, false, fmt.Errorf("not a time")
	}
	s := strings.TrimSpace(v.text)
	for _, layout := range []string{time.RFC3339, "2006-01-02 15:04:05Z07:00"} {
		if t, err := time.Parse(layout, s); err == nil {
			return t, true, nil
		}
	}
	for _, layout := range localTimes {
		if t, err := time.ParseInLocation(layout, s, zone); err == nil {
			return t, true, nil
		}
	}
	t, err := time.ParseInLocation(time.DateOnly, s, zone)
	return t.Add(12 * time.Hour), false, err
}
