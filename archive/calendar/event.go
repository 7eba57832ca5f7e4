package calendar

import (
	"errors"
	"fmt"
	"strings"
	"time"
)

// Event is one thing to be told of.
type Event struct {
	UID         string // the same for the same thing in every file
	At          time.Time
	AllDay      bool // the day of At, in At's own zone
	Length      time.Duration
	Summary     string
	Description string
	// Alarm, if above zero, reminds that long before.
	Alarm time.Duration
}

// errNoUID: an event needs a UID (RFC 5545, section 3.8.4.7) and a time.
var errNoUID = errors.New("an event of a calendar needs a UID and a time")

const (
	utc    = "20060102T150405Z"
	onDay  = "20060102"
	folded = 75 // octets of a line (section 3.1)
)

// File writes a calendar of events. Made is the time of writing, and name is what
// calendar programs call it.
func File(name string, made time.Time, events []Event) ([]byte, error) {
	var b builder
	b.line("BEGIN", "VCALENDAR")
	b.line("VERSION", "2.0")
	b.line("PRODID", "-//Sandarac//Studio//EN")
	b.line("CALSCALE", "GREGORIAN")
	b.line("METHOD", "PUBLISH")
	b.text("X-WR-CALNAME", name)
	for _, e := range events {
		if e.UID == "" || e.At.IsZero() {
			return nil, fmt.Errorf("%w: %q", errNoUID, e.Summary)
		}
		b.event(e, made)
	}
	b.line("END", "VCALENDAR")
	return []byte(b.String()), nil
}

type builder struct{ strings.Builder }

func (b *builder) event(e Event, made time.Time) {
	b.line("BEGIN", "VEVENT")
	b.text("UID", e.UID)
	b.line("DTSTAMP", made.UTC().Format(utc))
	if e.AllDay {
		b.line("DTSTART;VALUE=DATE", e.At.Format(onDay))
		b.line("DTEND;VALUE=DATE", e.At.AddDate(0, 0, 1).Format(onDay))
	} else {
		b.line("DTSTART", e.At.UTC().Format(utc))
		b.line("DURATION", duration(max(e.Length, time.Minute)))
	}
	b.text("SUMMARY", e.Summary)
	if e.Description != "" {
		b.text("DESCRIPTION", e.Description)
	}
	b.line("TRANSP", "TRANSPARENT")
	if e.Alarm > 0 {
		b.line("BEGIN", "VALARM")
		b.line("ACTION", "DISPLAY")
		b.text("DESCRIPTION", e.Summary)
		b.line("TRIGGER", "-"+duration(e.Alarm))
		b.line("END", "VALARM")
	}
	b.line("END", "VEVENT")
}

// duration writes a span (section 3.3.6) in whole seconds.
func duration(d time.Duration) string {
	s := int64(d / time.Second)
	days, s := s/86400, s%86400
	out := "P"
	if days > 0 {
		out += fmt.Sprintf("%dD", days)
	}
	if s > 0 || days == 0 {
		out += "T"
		for _, part := range []struct {
			n    int64
			unit string
		}{{s / 3600, "H"}, {s / 60 % 60, "M"}, {s % 60, "S"}} {
			if part.n > 0 || part.unit == "S" && s == 0 {
				out += fmt.Sprintf("%d%s", part.n, part.unit)
			}
		}
	}
	return out
}

// text writes a property whose value is text (section 3.3.11).
func (b *builder) text(name, value string) {
	value = strings.ToValidUTF8(value, "�")
	value = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(value)
	value = strings.Map(func(c rune) rune {
		if c < ' ' && c != '\n' && c != '\t' || c == 0x7f {
			return -1
		}
		return c
	}, value)
	b.line(name, strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`, "\n", `\n`).Replace(value))
}

// line writes a content line, folded.
func (b *builder) line(name, value string) {
	room := folded
	for _, c := range name + ":" + value {
		n := len(string(c))
		if room < n {
			b.WriteString("\r\n ")
			room = folded - 1
		}
		b.WriteRune(c)
		room -= n
	}
	b.WriteString("\r\n")
}
