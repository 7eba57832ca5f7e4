package consent

import (
	"slices"
	"strings"

	"sandarac/archive/record"
)

// PrivateNames are the names of people who may not be named in public on a day:
// sitters without consent to their name, guardians, and clients. A name that is
// also some sitter's consented name, or part of the studio's own name, credit
// or copyright (the photographer's), is not private.
func PrivateNames(a *record.Archive, day record.Date) []string {
	private, _ := names(a, day)
	return private
}

// OpenNames are the names of the people who agreed to be named, on a day.
func OpenNames(a *record.Archive, day record.Date) []string {
	_, open := names(a, day)
	return open
}

// names gives the names of people who may not be named on a day, and of those
// who may.
func names(a *record.Archive, day record.Date) (private, open []string) {
	each := func(s *record.Sitter, broken bool) {
		switch {
		case s.Name == "":
		case Named(s, day) && !broken:
			open = append(open, s.Name)
		default:
			private = append(private, s.Name)
		}
		private = append(private, s.Guardian)
	}
	for _, s := range a.Sitters {
		each(s, s.Broken)
	}
	for _, s := range a.StraySitters {
		each(s, true)
	}
	for _, p := range a.Plates {
		for _, s := range p.Sitters {
			if s.Inline != nil {
				each(s.Inline, p.Broken) // nothing in a record with errors is relied on
			}
		}
	}
	for _, c := range a.Clients {
		private = append(private, c.Name)
	}
	for _, c := range a.StrayClients {
		private = append(private, c.Name)
	}
	may := map[string]bool{"": true}
	for _, name := range open {
		may[folded(name)] = true
	}
	own := " " + folded(strings.Join([]string{a.Studio.Name, a.Studio.Credit, a.Studio.Copyright}, " | ")) + " "
	private = slices.DeleteFunc(private, func(n string) bool {
		f := folded(n)
		return may[f] || strings.Contains(own, " "+f+" ")
	})
	slices.Sort(private)
	return slices.Compact(private), open
}
