package chemistry

import (
	"fmt"
	"slices"
	"strings"

	"sandarac/archive/chemistry/logbook"
	"sandarac/archive/chemistry/substance"
)

// reader goes through one bottle's log with what the bottle holds by then.
type reader struct {
	bottle Bottle
	holds  []substance.Substance
	said   []string // pairs warned of already
	acid   bool
	out    []Problem
}

// entries warns of what was done to a bottle.
func (b Bottle) entries() []Problem {
	r := reader{bottle: b}
	r.refill()
	for i, e := range b.Log {
		start := len(r.out)
		r.entry(e)
		for j := range r.out[start:] {
			r.out[start+j].Entry = i
		}
	}
	return r.out
}

// refill sets the bottle back to its recipe; the recipe's own pairs are
// reported by Read and are not said twice.
func (r *reader) refill() {
	r.holds = slices.Clone(r.bottle.Recipe.Substances())
	r.acid = r.bottle.Recipe.Has(substance.Acid)
	r.said = nil
	for _, m := range Meetings(r.holds) {
		r.said = append(r.said, m.Slug)
	}
}

func (r *reader) say(p Problem) { r.out = append(r.out, p) }

func (r *reader) entry(e Event) {
	meaning, known := logbook.Find(e.Word)
	if !known {
		r.say(problem(Remark, "log-action-unknown", Whole, fmt.Sprintf("%q is not a word of the log: kept as a note", e.Word),
			"write one of "+strings.Join(logbook.Slugs(), ", ")))
	}
	if meaning.Action == logbook.Replaced {
		r.refill()
	}
	added, found := ReadAdded(e.Added)
	r.out = append(r.out, found...)
	r.holds = append(r.holds, added.Substances()...)
	for _, m := range Meetings(r.holds) {
		if !slices.Contains(r.said, m.Slug) {
			r.said = append(r.said, m.Slug)
			r.say(problem(m.severity(), "incompatible", Whole, m.message(), m.Rule))
		}
	}
	if r.bottle.Recipe.Has(substance.Silver) && speaksOfAmmonia(e.Note) && !slices.Contains(r.said, "silver-ammonia") {
		p := pairOf("silver-ammonia")
		r.say(problem(Warning, "ammonia-near-silver", Whole, "the note speaks of ammonia. "+p.Danger, p.Rule))
	}
	r.follow(meaning.Action, added, e)
	if meaning.Action == logbook.Evaporated && r.bottle.Recipe.Kind == Bath && r.acid {
		r.say(problem(Warning, "warming-acid-bath", Whole,
			"evaporated while acid: a bath that has taken plates holds alcohol, and alcohol with nitric acid and silver can form silver fulminate",
			"neutralise with bicarbonate first, never ammonia; no flame, no lid, never dry; or send the bath for refining"))
	}
}

// follow keeps track of whether the bath is acid.
func (r *reader) follow(a logbook.Action, added Addition, e Event) {
	sour := Recipe{Lines: added.Lines}.Has(substance.Acid)
	switch {
	case e.PH != nil:
		r.acid = *e.PH < 6
	case a == logbook.Acidified || sour:
		r.acid = true
	case a == logbook.Neutralised:
		r.acid = false
	}
}

func pairOf(slug string) Pair {
	return pairs[slices.IndexFunc(pairs, func(p Pair) bool { return p.Slug == slug })]
}

// speaksOfAmmonia reads a note for ammonia that was used, not refused.
func speaksOfAmmonia(note string) bool {
	text := strings.ToLower(note)
	if !strings.Contains(text, "ammonia") {
		return false
	}
	for _, no := range []string{"no ammonia", "never ammonia", "not ammonia", "without ammonia", "instead of ammonia", "not with ammonia"} {
		text = strings.ReplaceAll(text, no, "")
	}
	return strings.Contains(text, "ammonia")
}
