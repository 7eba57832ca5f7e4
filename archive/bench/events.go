package bench

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"sandarac/archive/calendar"
	"sandarac/archive/care"
	"sandarac/archive/consent"
	"sandarac/archive/record"
)

// soonDays is how long before its end a consent or a gallery is reminded of.
const soonDays = 60

// Events are what a studio's calendar holds: when each plate that is varnished
// may be touched, if that is not past; the last day of each open gallery; the
// last day of each consent that still holds. They are for the studio's own
// calendar, since they name clients and sitters.
func Events(a *record.Archive, now time.Time) []calendar.Event {
	zone := a.Studio.Zone
	today := record.DateOf(now.In(zone))
	e := &events{host: host(a.Studio.URL), zone: zone, today: today}
	for _, p := range a.Plates {
		if p.Broken || p.Varnished.IsZero() {
			continue
		}
		var batchHours float64
		if b, ok := a.Batch("varnish", p.Batches.Varnish); ok && b.CureHoursGiven {
			batchHours = b.CureHours
		}
		clock := care.Cure(p.Varnished, batchHours)
		if clock.Ready.Before(today.Start(zone)) {
			continue
		}
		what := p.ID
		if p.Title != "" {
			what += ", " + p.Title
		}
		e.add(calendar.Event{UID: e.uid("cure", p.ID), At: clock.Ready, Length: 15 * time.Minute,
			Summary: "Plate " + what + ": the varnish has cured", Description: clock.Sentence()})
	}
	for _, g := range consent.Galleries(a, today) {
		if g.State != "open" || g.Until.IsZero() {
			continue
		}
		e.day("gallery", g.ClientID, g.Until, fmt.Sprintf("Gallery of %s: last day", called(a, g.ClientID)),
			"The gallery is not built after this day. To keep it, change until: in the client's record.")
	}
	for _, s := range a.Sitters {
		c := s.Consent
		if s.Broken || c.Until.IsZero() || !(c.Portfolio || c.Name || c.Promotion) || !c.Withdrawn.IsZero() && !c.Withdrawn.After(today) {
			continue
		}
		e.day("consent", s.ID, c.Until, "Consent of "+cmp.Or(s.Name, s.ID)+": last day", "After this day the plates come down by themselves. Ask again in good time.")
	}
	slices.SortFunc(e.list, func(x, y calendar.Event) int { return cmp.Or(x.At.Compare(y.At), strings.Compare(x.UID, y.UID)) })
	return e.list
}

type events struct {
	host  string
	zone  *time.Location
	today record.Date
	list  []calendar.Event
}

func (e *events) add(x calendar.Event) { e.list = append(e.list, x) }

func (e *events) day(kind, id string, on record.Date, summary, description string) {
	if on.Before(e.today) {
		return
	}
	e.add(calendar.Event{UID: e.uid(kind, id), At: on.Start(e.zone), AllDay: true, Alarm: soonDays * 24 * time.Hour, Summary: summary, Description: description})
}

// uid names a thing the same in every file, without spaces.
func (e *events) uid(kind, id string) string {
	return kind + "-" + strings.Join(strings.Fields(id), "_") + "@" + e.host
}

func host(url string) string {
	_, rest, _ := strings.Cut(url, "://")
	rest, _, _ = strings.Cut(rest, "/")
	return cmp.Or(rest, "sandarac.invalid")
}

func called(a *record.Archive, client string) string {
	if c, ok := a.Clients[client]; ok && c.Name != "" {
		return c.Name
	}
	return client
}
