package chemistry

import (
	"cmp"
	"slices"
	"strings"
)

// Flaw is one of the trade's terms for what can be wrong with a plate. It names
// a look; its causes are hypotheses.
type Flaw struct {
	Slug     string
	Term     string
	Synonyms []string
	Look     string
	Causes   []Cause // usual causes, likeliest first
	// Records says what in the archive may confirm one.
	Records string
}

// Cause is one usual cause with its remedy.
type Cause struct {
	Text   string
	Remedy string
	Signs  []Sign
	Source string
}

// Flaws returns the vocabulary in the order of the process. The caller may keep
// the slice.
func Flaws() []Flaw { return slices.Concat(bathFlaws, filmFlaws, exposureFlaws, finishFlaws) }

// FlawOf finds a flaw by slug, term or synonym, whatever the case.
func FlawOf(word string) (Flaw, bool) {
	f, ok := flawIndex[foldFlaw(word)]
	return f, ok
}

var flawIndex = func() map[string]Flaw {
	m := map[string]Flaw{}
	for _, f := range Flaws() {
		for _, w := range append([]string{f.Slug, f.Term}, f.Synonyms...) {
			m[foldFlaw(w)] = f
		}
	}
	return m
}()

func foldFlaw(s string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return r == ' ' || r == '-' || r == '_' }), " ")
}

// Reading is one cause of a flaw set against a plate's own record.
type Reading struct {
	Cause
	For     []string // what in the record speaks for it
	Against []string // what in the record speaks against it
}

// Supported reports whether the record speaks for the cause at all.
func (r Reading) Supported() bool { return len(r.For) > 0 }

// Read sets every cause of the flaw against the facts: first those the record
// speaks for, then those it is silent on, last those it only speaks against;
// within each the usual order.
func (f Flaw) Read(facts Facts) []Reading {
	out := make([]Reading, len(f.Causes))
	for i, c := range f.Causes {
		out[i].Cause = c
		for _, s := range c.Signs {
			switch verdict, text := s.Read(facts); verdict {
			case For:
				out[i].For = append(out[i].For, text)
			case Against:
				out[i].Against = append(out[i].Against, text)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Reading) int {
		return cmp.Or(cmp.Compare(a.rank(), b.rank()), cmp.Compare(len(b.For), len(a.For)))
	})
	return out
}

func (r Reading) rank() int {
	switch {
	case r.Supported():
		return 0
	case len(r.Against) == 0:
		return 1
	}
	return 2
}
