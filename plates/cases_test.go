package plates

import (
	"testing"
	"time"

	"sandarac/archive/record"
)

// asOf is the day after the season on which the cases below hold; the records never change by themselves.
var asOf = record.Date{Year: 2026, Month: time.November, Day: 25}

// Every way in which a sitter may have agreed, or not, is met on at least one plate that would otherwise be shown.
func TestConsentCases(t *testing.T) {
	a := read(t)
	cases := map[string]func(s *record.Sitter) bool{
		"picture and name":       func(s *record.Sitter) bool { return s.Consent.Portfolio && s.Consent.Name && current(s) },
		"picture without name":   func(s *record.Sitter) bool { return s.Consent.Portfolio && !s.Consent.Name && current(s) },
		"name without picture":   func(s *record.Sitter) bool { return !s.Consent.Portfolio && s.Consent.Name },
		"nothing":                func(s *record.Sitter) bool { return !s.Consent.Portfolio && !s.Consent.Name },
		"ended":                  func(s *record.Sitter) bool { return !s.Consent.Until.IsZero() && s.Consent.Until.Before(asOf) },
		"withdrawn":              func(s *record.Sitter) bool { return !s.Consent.Withdrawn.IsZero() },
		"given for a later day":  func(s *record.Sitter) bool { return s.Consent.Given.Year >= 2038 },
		"minor, guardian named":  func(s *record.Sitter) bool { return s.Consent.Minor && s.Guardian != "" },
		"minor without guardian": func(s *record.Sitter) bool { return s.Consent.Minor && s.Guardian == "" },
	}
	found := map[string]int{}
	for _, p := range a.Plates {
		if p.Outcome != "keeper" || len(p.Scans) == 0 {
			continue
		}
		portfolio := map[bool]bool{}
		for _, who := range p.Sitters {
			s := who.Inline
			if s != nil {
				found["inline sitter"]++
			} else {
				s = a.Sitters[who.Ref]
			}
			if s == nil {
				t.Errorf("%s: no record of sitter %q", p.ID, who.Ref)
				continue
			}
			portfolio[s.Consent.Portfolio] = true
			for name, is := range cases {
				if is(s) {
					found[name]++
				}
			}
		}
		switch {
		case !p.SittersGiven && p.Purpose == "portrait":
			found["portrait without sitters"]++
		case p.SittersGiven && len(p.Sitters) == 0 && p.Purpose == "still-life":
			found["still life of nobody"]++
		case len(portfolio) == 2:
			found["two sitters who differ"]++
		}
		if p.Purpose == "test" {
			found["test plate kept"]++
		}
	}
	for name := range cases {
		if found[name] == 0 {
			t.Errorf("no plate shows the case %q", name)
		}
	}
	for _, name := range []string{"inline sitter", "portrait without sitters", "still life of nobody", "two sitters who differ", "test plate kept"} {
		if found[name] == 0 {
			t.Errorf("no plate shows the case %q", name)
		}
	}
}

func current(s *record.Sitter) bool {
	c := s.Consent
	return !c.Given.After(asOf) && (c.Until.IsZero() || !c.Until.Before(asOf)) && c.Withdrawn.IsZero() && (!c.Minor || s.Guardian != "")
}

// The clients' galleries meet every state: with a passphrase, ended, for screens only, moved to a new link, empty.
func TestGalleryCases(t *testing.T) {
	a := read(t)
	plates := map[string]int{}
	for _, p := range a.Plates {
		plates[p.Client]++
	}
	found := map[string]bool{}
	for id, c := range a.Clients {
		g := c.Gallery
		found["passphrase"] = found["passphrase"] || g.PassphraseRequired
		found["ended"] = found["ended"] || !g.Until.IsZero() && g.Until.Before(asOf)
		found["web downloads"] = found["web downloads"] || g.Downloads == "web"
		found["second generation"] = found["second generation"] || g.Generation == 2
		found["no plates yet"] = found["no plates yet"] || plates[id] == 0
		found["open for years"] = found["open for years"] || g.Until.Year >= 2037
	}
	for _, name := range []string{"passphrase", "ended", "web downloads", "second generation", "no plates yet", "open for years"} {
		if !found[name] {
			t.Errorf("no client shows the case %q", name)
		}
	}
}

// Public words never hold a sitter's or a client's name: titles, descriptions and tags are for everyone.
func TestPublicWordsHoldNoNames(t *testing.T) {
	a := read(t)
	var names []string
	for _, s := range a.Sitters {
		names = append(names, s.Name)
	}
	for _, p := range a.Plates {
		for _, who := range p.Sitters {
			if who.Inline != nil {
				names = append(names, who.Inline.Name)
			}
		}
	}
	for _, p := range a.Plates {
		words := append([]string{p.Title, p.Alt}, p.Tags...)
		for _, w := range words {
			for _, n := range names {
				if holdsName(w, n) {
					t.Errorf("%s: %q holds a part of the name %q", p.ID, w, n)
				}
			}
		}
		if len(p.Scans) > 0 && p.Alt == "" {
			t.Errorf("%s: no alt text", p.ID)
		}
	}
}
