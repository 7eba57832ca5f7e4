package consent

import (
	"fmt"

	"sandarac/archive/record"
)

// Reason is one thing that stands against showing a plate. Code is stable;
// Sentence is for the photographer.
type Reason struct {
	Code     string
	Line     int
	Sentence string
	Remedy   string
}

// holds says whether a consent, given at all, is in force on a day. The reason
// is empty when it is.
func holds(s *record.Sitter, day record.Date) (code, sentence, remedy string) {
	c := s.Consent
	switch {
	case s.Broken:
		return "sitter-broken", "the sitter's record has errors", "mend the sitter's record"
	case c.Given.IsZero():
		return "consent-undated", "no date says when consent was given", "add consent.given, the day on which they agreed"
	case c.Given.After(day):
		return "consent-future", fmt.Sprintf("consent is given only from %s", c.Given), "wait for that day, or correct consent.given"
	case !c.Withdrawn.IsZero() && !c.Withdrawn.After(day):
		return "consent-withdrawn", fmt.Sprintf("consent was withdrawn on %s", c.Withdrawn), "nothing to mend: the plate stays out of what is public"
	case !c.Until.IsZero() && c.Until.Before(day):
		return "consent-expired", fmt.Sprintf("consent ended on %s", c.Until), "ask again, and record the new date"
	case c.Minor && s.Guardian == "":
		return "guardian-missing", "the sitter is a minor and no guardian is named", "add guardian: the name of the person who agreed for them"
	}
	return "", "", ""
}

// Portfolio reports whether a sitter's consent to being shown holds on a day.
func Portfolio(s *record.Sitter, day record.Date) bool {
	code, _, _ := holds(s, day)
	return s.Consent.Portfolio && code == ""
}

// Named reports whether a sitter's own name may be shown on a day.
func Named(s *record.Sitter, day record.Date) bool {
	code, _, _ := holds(s, day)
	return s.Consent.Name && s.Name != "" && code == ""
}

// Promoted reports whether a sitter may stand for the studio in what it sends
// out (link previews of the front page) on a day.
func Promoted(s *record.Sitter, day record.Date) bool {
	code, _, _ := holds(s, day)
	return s.Consent.Promotion && code == ""
}

// against gathers everything that stands against showing a plate in public, but
// for what its texts say.
func against(a *record.Archive, p *record.Plate, day record.Date) []Reason {
	var out []Reason
	add := func(code string, line int, sentence, remedy string) {
		out = append(out, Reason{code, line, sentence, remedy})
	}
	if a.Studio.Broken {
		add("studio-broken", 0, "the studio record has errors", "mend the studio record")
	}
	if p.Broken {
		add("record-broken", 0, "the plate's record has errors", "mend the record")
	}
	switch {
	case p.Purpose == "test":
		add("test-plate", p.Line("purpose"), "it is a test plate", "nothing to mend: test plates are never public")
	case p.Outcome == "":
		add("no-outcome", p.Line("outcome"), "it has no outcome yet", "add outcome: keeper when it may be shown")
	case p.Outcome != "keeper":
		add("not-a-keeper", p.Line("outcome"), "its outcome is "+p.Outcome, "nothing to mend: only keepers are public")
	}
	if p.Face() == "" {
		add("not-scanned", 0, "it has no scan yet", "scan it and put the image beside the record")
	}
	if !p.SittersGiven && needsSitters(p) {
		add("sitters-missing", p.Line("sitters"), "the record does not say who is in it", "add sitters: with each person, or sitters: [] when nobody is in it")
	}
	for i, s := range p.Sitters {
		line := p.Line(fmt.Sprintf("sitters.%d", i))
		sitter, ok := a.Sitter(s)
		if !ok {
			add("sitter-unknown", line, "a sitter of it is not known", "write a sitter record with that id, or correct the id")
			continue
		}
		if !sitter.Consent.Portfolio {
			add("no-consent", line, called(sitter, s)+" did not agree to be shown in the portfolio", "nothing to mend unless they agree; then set consent.portfolio and consent.given")
			continue
		}
		if code, sentence, remedy := holds(sitter, day); code != "" {
			add(code, line, called(sitter, s)+": "+sentence, remedy)
		}
	}
	return out
}

// needsSitters says whether a plate must say who is in it. A still life or a
// landscape without the key is taken at its word; anything that may show a
// person is not.
func needsSitters(p *record.Plate) bool {
	return p.Purpose != "still-life" && p.Purpose != "landscape"
}

func called(s *record.Sitter, at record.Sitting) string {
	if s.Name != "" {
		return s.Name
	}
	if at.Ref != "" {
		return at.Ref
	}
	return "a sitter"
}
