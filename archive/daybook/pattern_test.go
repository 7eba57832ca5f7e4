package daybook

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"sandarac/archive/record"
)

func TestPattern(t *testing.T) {
	day := record.Date{Year: 2026, Month: 5, Day: 3}
	for _, tc := range []struct {
		pattern string
		n       int
		id      string
		day     bool
	}{
		{"{year}-{month}-{day}-{n:2}", 4, "2026-05-03-04", true},
		{"{year}-{month}-{day}-{n:2}", 120, "2026-05-03-120", true},
		{"{yy}-{n:3}", 15, "26-015", false},
		{"{n}", 7, "7", false},
		{"W {n:4}", 7, "W 0007", false},
		{"{n:2}_{day}{month}{yy}", 9, "09_030526", true},
		{"plate.{year}{n}", 12, "plate.202612", false},
	} {
		p, err := ParsePattern(tc.pattern)
		if err != nil {
			t.Fatal(err)
		}
		if id := p.ID(day, tc.n); id != tc.id {
			t.Errorf("%s: %q, want %q", tc.pattern, id, tc.id)
		}
		if n := p.Number(day, tc.id); n != tc.n {
			t.Errorf("%s: %q is number %d", tc.pattern, tc.id, n)
		}
		got, ok := p.Day(tc.id)
		if ok != tc.day || ok && got != day {
			t.Errorf("%s: %q is of %v, %v", tc.pattern, tc.id, got, ok)
		}
	}
}

func TestPatternsThatAreRefused(t *testing.T) {
	for _, tc := range [][2]string{
		{"", "0 counters"}, {"{year}-{month}-{day}", "0 counters"}, {"{n}{n:2}", "2 counters"}, {"{n:0}", "{n:0}"}, {"{n:x}", "{n:x}"},
		{"{plate}-{n}", "{plate}"}, {"{n", "not closed"}, {"{}{n}", "{}"}, {"../{n}", "letters, digits"}, {".{n}", "letters, digits"}, {"{n} ", "letters, digits"}, {strings.Repeat("x", 80) + "{n}", "letters, digits"},
	} {
		if _, err := ParsePattern(tc[0]); err == nil || !strings.Contains(err.Error(), tc[1]) {
			t.Errorf("%q: %v, want %q", tc[0], err, tc[1])
		}
	}
}

// The number of an id is the number it was made from, on its day and no other.
func TestPatternInverts(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		words := rapid.Permutation([]string{"{year}", "{month}", "{day}", "{n:2}", "-", "_"}).Draw(rt, "words")
		p, err := ParsePattern("p" + strings.Join(words, ""))
		if err != nil {
			rt.Skip()
		}
		date := func(label string) record.Date {
			return record.Date{Year: 2000, Month: 1, Day: 1}.AddDays(rapid.IntRange(0, 40000).Draw(rt, label))
		}
		day, other := date("day"), date("other")
		n := rapid.IntRange(1, 99).Draw(rt, "n")
		id := p.ID(day, n)
		if !p.Is(id) || p.Number(day, id) != n {
			rt.Fatalf("%s: %s is number %d, made from %d", p, id, p.Number(day, id), n)
		}
		if got, ok := p.Day(id); !ok || got != day {
			rt.Fatalf("%s: %s is of %s, made for %s", p, id, got, day)
		}
		if other != day && p.ID(other, n) == id {
			rt.Fatalf("%s: %s stands for two days", p, id)
		}
	})
}
