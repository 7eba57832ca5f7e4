package benchbook

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"sandarac/archive/consent"
	"sandarac/archive/record"
)

// concern is one matter of consent with the plates it is about.
type concern struct {
	Kind   string `json:"kind"`
	Text   string `json:"text"`
	Remedy string `json:"remedy"`
	Plates []said `json:"plates"`
	More   int    `json:"more"`
}

// consentKinds in the order of their weight, with their words.
var consentKinds = []struct{ kind, title string }{
	{"withdrawn", "Withdrawn"}, {"ended", "Ended"}, {"ending", "Ending soon"}, {"missing", "Missing"},
}

// endingDays is how far ahead an end is told of.
const endingDays = 60

// kindOf sorts the reasons of consent; the others are no matter of consent.
var kindOf = map[string]string{
	"consent-withdrawn": "withdrawn", "consent-expired": "ended", "sitters-missing": "missing", "sitter-unknown": "missing",
	"consent-undated": "missing", "consent-future": "missing", "guardian-missing": "missing", "sitter-broken": "missing",
}

// consentsView is a page of consents that want a word.
type consentsView struct {
	Parts []consentPart `json:"parts"`
	Total int           `json:"total"`
	Turn  turn          `json:"turn"`
}

type consentPart struct {
	Kind  string    `json:"kind"`
	Title string    `json:"title"`
	Rows  []concern `json:"rows"`
}

const (
	consentSize   = 50
	concernPlates = 8
)

// concerns gathers them over the plates that would be shown otherwise: kept, no
// tests, with a record that can be read.
func (s *stage) concerns() []concern {
	type key struct{ kind, text, remedy string }
	at := map[key]int{}
	var out []concern
	add := func(k key, p *record.Plate) {
		i, ok := at[k]
		if !ok {
			i = len(out)
			at[k] = i
			out = append(out, concern{Kind: k.kind, Text: k.text, Remedy: k.remedy})
		}
		if len(out[i].Plates) == concernPlates {
			out[i].More++
			return
		}
		out[i].Plates = append(out[i].Plates, said{Text: p.ID, To: s.platePath(p)})
	}
	for _, p := range s.plates {
		if p.Broken || p.Outcome != "keeper" || p.Purpose == "test" {
			continue
		}
		for _, r := range s.hidden[p] {
			if kind, ok := kindOf[r.Code]; ok {
				add(key{kind, capital(r.Sentence) + ".", capital(r.Remedy) + "."}, p)
			}
		}
		for _, sitting := range p.Sitters {
			x, ok := s.Archive.Sitter(sitting)
			if !ok {
				continue
			}
			name := sitterName(x, sitting)
			switch {
			case nothingRecorded(x.Consent):
				add(key{"missing", capital(name) + ": no consent is recorded.", "Ask, and record what they agreed to, or did not."}, p)
			case s.ending(x):
				add(key{"ending", fmt.Sprintf("%s: consent ends after %s, %s.", capital(name), dayWords(x.Consent.Until), daysFrom(s.Today, x.Consent.Until)), "Ask in good time; without an answer the plates come down that night."}, p)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b concern) int { return cmp.Compare(consentPlace(a.Kind), consentPlace(b.Kind)) })
	return out
}

func consentPlace(kind string) int {
	for i, k := range consentKinds {
		if k.kind == kind {
			return i
		}
	}
	return len(consentKinds)
}

func nothingRecorded(c record.Consent) bool { return c == record.Consent{Minor: c.Minor} }

func (s *stage) ending(x *record.Sitter) bool {
	until := x.Consent.Until
	return consent.Portfolio(x, s.Today) && !until.IsZero() && until.DaysSince(s.Today) <= endingDays
}

func (s *stage) writeConsents(context.Context) error {
	all := s.concerns()
	return s.series("consents", len(all), consentSize, func(lo, hi int, at turn) page {
		return page{Title: "Consents", Layout: "consents", Params: consentsView{Parts: consentParts(all[lo:hi]), Total: len(all), Turn: at}}
	})
}

func consentParts(rows []concern) []consentPart {
	var out []consentPart
	for _, c := range rows {
		if n := len(out); n == 0 || out[n-1].Kind != c.Kind {
			out = append(out, consentPart{Kind: c.Kind, Title: consentKinds[consentPlace(c.Kind)].title})
		}
		out[len(out)-1].Rows = append(out[len(out)-1].Rows, c)
	}
	return out
}
