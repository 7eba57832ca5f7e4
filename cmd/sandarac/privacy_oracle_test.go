package main

import (
	"slices"
	"strings"
	"time"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// The oracle says what may be seen, from the rules as they are written for
// people (design, section 3: "What may be seen where") and from nothing of the
// program.

// verdict on a plate.
type verdict int

const (
	shown  verdict = iota // it must be public
	hidden                // it must not be
	either                // the rules leave it open: to hide is the safe side
)

func (v verdict) String() string { return [...]string{"shown", "hidden", "either"}[v] }

// inForce says whether what a person agreed to holds on the day of the build.
func inForce(p *person) bool {
	switch {
	case p.given == nil || *p.given > 0: // required; not yet
		return false
	case p.until != nil && *p.until < 0: // until is the last day
		return false
	case p.withdrawn != nil && *p.withdrawn <= 0: // withdrawn is the first day without
		return false
	case p.minor && strings.TrimSpace(p.guardian) == "":
		return false
	}
	return true
}

func mayBeShown(p *person) bool { return p.broken == "" && p.portfolio && inForce(p) }
func mayBeNamed(p *person) bool { return p.broken == "" && p.named && inForce(p) }

// sitterOf is the person of a sitting; nil if nobody can be made out.
func (w *world) sitterOf(s sitting) *person {
	if s.inline != nil {
		return s.inline
	}
	return w.person(s.ref)
}

// sound says whether a plate's record and scans can be relied on. The same id
// twice leaves both out.
func (w *world) sound(p *worldPlate) bool {
	if p.broken != "" || slices.ContainsFunc(p.scans, func(s *worldScan) bool { return s.spoilt != "" }) {
		return false
	}
	for _, s := range p.sitters {
		if s.ref != "" && (w.person(s.ref) == nil || unreadable(w.person(s.ref).broken)) {
			return false // there is no such record
		}
	}
	return p.client == "" || w.client(p.client) != nil && !unreadable(w.client(p.client).broken)
}

// unreadable says of a broken record that not even its id can be read.
func unreadable(how string) bool { return how == "unclosed" }

func (w *world) client(id string) *customer {
	i := slices.IndexFunc(w.clients, func(c *customer) bool { return c.id == id })
	if i < 0 {
		return nil
	}
	return w.clients[i]
}

// judge says whether a plate may be seen in public.
func (w *world) judge(p *worldPlate) verdict {
	if p.outcome != "keeper" || p.purpose == "test" || len(p.scans) == 0 || !w.sound(p) {
		return hidden
	}
	switch {
	case !p.noSittersKey:
	case p.purpose == "still-life" || p.purpose == "landscape":
	default: // who is in it cannot be decided
		return hidden
	}
	for _, s := range p.sitters {
		if q := w.sitterOf(s); q == nil || !mayBeShown(q) {
			return hidden
		}
	}
	return w.judgeTexts(p)
}

// judgeTexts says whether what is written about a plate may be seen.
func (w *world) judgeTexts(p *worldPlate) verdict {
	out := shown
	for _, m := range p.mentions {
		switch v := w.judgeMention(p, m); {
		case v == hidden:
			return hidden
		case v == either:
			out = either
		}
	}
	// Names that are words: whether a text means the person nobody can decide.
	for _, k := range w.everyone() {
		if k.common && w.privateName(k.name) && capitalised(p.texts(), k.name) {
			out = either
		}
	}
	return out
}

func (w *world) judgeMention(p *worldPlate, m mention) verdict {
	switch m.form {
	case "email":
		if m.name == w.studio.email {
			return shown
		}
		return hidden
	case "plate id", "client id", "note", "release code":
		return either
	}
	if m.field == "batch" && !w.studio.recipes {
		return shown // it is not seen
	}
	if m.inside != "" && !w.openName(m.name) && w.privateName(m.inside) {
		return hidden // the shorter name alone cannot be told from it
	}
	// Whoever is in this plate decides for themselves, whatever a namesake says.
	for _, s := range p.sitters {
		if q := w.sitterOf(s); q != nil && (q.name == m.name || m.inside != "" && q.name == m.inside) && !mayBeNamed(q) {
			if m.common || w.studioSays(m.name) {
				return either
			}
			return hidden
		}
	}
	switch {
	case !w.privateName(m.name):
		if w.openName(m.name) && w.alsoPrivate(m.name) {
			return either // a namesake's
		}
		return shown
	case m.common:
		return either
	}
	return hidden
}

func (w *world) studioSays(name string) bool {
	return holdsWords(w.studio.name+" | "+w.studio.credit+" | "+w.studio.copyright, name)
}

// openName says whether someone of this name agreed to be named.
func (w *world) openName(name string) bool {
	for _, p := range w.allPeople() {
		if sameWords(p.name, name) && mayBeNamed(p) && !w.inUnsound(p) {
			return true
		}
	}
	return false
}

// inUnsound says whether a person is written into a plate's record that has
// errors: nothing in it is relied on.
func (w *world) inUnsound(person *person) bool {
	return slices.ContainsFunc(w.plates, func(p *worldPlate) bool {
		return !w.sound(p) && slices.ContainsFunc(p.sitters, func(s sitting) bool { return s.inline == person })
	})
}

// alsoPrivate says whether someone of this name did not.
func (w *world) alsoPrivate(name string) bool {
	for _, p := range w.allPeople() {
		if sameWords(p.name, name) && (!mayBeNamed(p) || w.inUnsound(p)) || sameWords(p.guardian, name) {
			return true
		}
	}
	return slices.ContainsFunc(w.clients, func(c *customer) bool { return sameWords(c.name, name) && !unreadable(c.broken) })
}

// privateName says whether a name may be read nowhere.
func (w *world) privateName(name string) bool {
	return !w.openName(name) && !w.studioSays(name) && w.alsoPrivate(name)
}

// allPeople are the people whose records can be read. What stands in a record
// that cannot be read the program cannot know.
func (w *world) allPeople() []*person {
	var out []*person
	for _, p := range w.people {
		if !unreadable(p.broken) {
			out = append(out, p)
		}
	}
	for _, p := range w.plates {
		if unreadable(p.broken) || p.broken == "nul" {
			continue
		}
		for _, s := range p.sitters {
			if s.inline != nil {
				out = append(out, s.inline)
			}
		}
	}
	return out
}

// texts are what a page would show of a plate.
func (p *worldPlate) texts() []string {
	return append([]string{p.title, p.alt, p.light, p.collodion, p.id}, p.tags...)
}

// words folds a text: lower case, no marks, one space between words.
func words(s string) string {
	var b strings.Builder
	for _, r := range norm.NFKD.String(strings.NewReplacer("ß", "ss", "'", "", "’", "").Replace(s)) {
		switch {
		case unicode.IsMark(r):
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			b.WriteRune(unicode.ToLower(r))
		default:
			b.WriteByte(' ')
		}
	}
	return " " + strings.Join(strings.Fields(b.String()), " ") + " "
}

func holdsWords(text, name string) bool {
	return strings.TrimSpace(name) != "" && strings.Contains(words(text), words(name))
}

func sameWords(a, b string) bool { return strings.TrimSpace(a) != "" && words(a) == words(b) }

// capitalised says whether a text holds a name as a name is written. "may
// blossom" does not hold May.
func capitalised(texts []string, name string) bool {
	return slices.ContainsFunc(texts, func(t string) bool {
		return holdsWords(t, name) && (strings.Contains(name, " ") || strings.Contains(t, name) || strings.Contains(t, strings.ToUpper(name)))
	})
}

// galleryPlates gives the ids of the plates of each client's gallery; a client
// without a gallery is not in it.
func (w *world) galleryPlates() map[string][]string {
	out := map[string][]string{}
	for _, c := range w.clients {
		if c.broken != "" {
			continue
		}
		var ids []string
		var last time.Time
		for _, p := range w.plates {
			if p.client == c.id && w.sound(p) && len(p.scans) > 0 {
				ids = append(ids, p.id)
				if at := w.local(p); at.After(last) {
					last = at
				}
			}
		}
		if len(ids) == 0 {
			continue
		}
		end := last.AddDate(0, 0, w.studio.retention).Format(time.DateOnly)
		if w.studio.retention == 0 {
			end = "9999"
		}
		if c.until != nil {
			end = w.date(*c.until)
		}
		if end >= w.day.Format(time.DateOnly) {
			slices.Sort(ids)
			out[c.id] = ids
		}
	}
	return out
}
