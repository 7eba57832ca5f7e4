// Package calendar writes iCalendar files (RFC 5545) for a photographer's own
// calendar program: when a plate may be touched, when a gallery ends.
//
// In go events, each at a moment or on a day; out comes one VCALENDAR. Times are
// written in UTC, so that no description of a zone is needed and none can be
// wrong. The same events give the same file but for the time it was made. Text
// is escaped and lines are folded at 75 octets without splitting a character.
package calendar
