package main

import (
	"path"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// layTraps puts into an archive what tempts a gate to show too much, or an
// audit to cry wolf.
func (w *world) layTraps() {
	if len(w.plates) < 2 {
		return
	}
	for _, trap := range []struct {
		often float64
		lay   func()
	}{
		{0.6, w.trapMention}, {0.4, w.trapMention}, {0.15, w.trapSameTitle}, {0.15, w.trapUITitle}, {0.15, w.trapAlikeScans},
		{0.08, w.trapSameScan}, {0.1, w.trapFileName}, {0.12, w.trapNotesQuotePage}, {0.06, w.trapEmailInTitle}, {0.1, w.trapIDInTitle},
		{0.05, w.trapCreditNamesClient}, {0.04, w.trapReleaseInAlt}, {0.06, w.trapNamedByBatch}, {0.06, w.trapNoteInAlt}, {0.06, w.trapClientIDInTag},
		{0.05, w.trapNamedByLight}, {0.08, w.trapNameInID}, {0.12, w.trapIDInID}, {0.12, w.trapTwoFormats}, {0.08, w.trapLongerName},
	} {
		if w.chance(trap.often) {
			trap.lay()
		}
	}
}

// known is someone whose name the archive holds, with whether it is a common one.
type known struct {
	name   string
	common bool
}

func (w *world) everyone() []known {
	var out []known
	add := func(name string, common bool) {
		if strings.TrimSpace(name) != "" {
			out = append(out, known{name, common})
		}
	}
	for _, p := range w.people {
		add(p.name, p.common)
		add(p.guardian, isCommonName(p.guardian))
	}
	for _, c := range w.clients {
		add(c.name, c.common)
	}
	for _, p := range w.plates {
		for _, s := range p.sitters {
			if s.inline != nil {
				add(s.inline.name, s.inline.common)
				add(s.inline.guardian, isCommonName(s.inline.guardian))
			}
		}
	}
	return out
}

func isCommonName(name string) bool {
	for _, list := range [][]string{oneWordNames, twoWordNames} {
		for _, n := range list {
			if n == name {
				return true
			}
		}
	}
	return false
}

// trapMention writes a name into a text of a plate, half the time its own
// sitter's.
func (w *world) trapMention() {
	p := pick(w, w.plates...)
	all := w.everyone()
	if len(all) == 0 {
		return
	}
	who := pick(w, all...)
	if len(p.sitters) > 0 && w.chance(0.5) {
		s := pick(w, p.sitters...)
		if s.inline != nil {
			who = known{s.inline.name, s.inline.common}
		} else if q := w.person(s.ref); q != nil {
			who = known{q.name, q.common}
		}
	}
	m := mention{name: who.name, common: who.common, form: pick(w, spellings...), field: pick(w, "title", "alt", "tag")}
	text := spell(who.name, m.form)
	if m.field != "tag" {
		p.unsay(m.field) // the text before is gone
	}
	switch m.field {
	case "title":
		p.title = pick(w, "Portrait of "+text, text, text+" at the bench", "For "+text+", with thanks")
		if runs(who.name) {
			p.title = text + "的手"
		}
	case "alt":
		p.alt = "A bench, and " + text + " behind it, " + p.altTok + "."
	case "tag":
		p.tags = append(p.tags, text)
	}
	p.mentions = append(p.mentions, m)
	w.trap("plate %s: %s says %q (%s)", p.id, m.field, text, m.form)
}

// unsay forgets what was said in a text that is written anew.
func (p *worldPlate) unsay(field string) {
	p.mentions = slices.DeleteFunc(p.mentions, func(m mention) bool { return m.field == field })
}

// spell writes a name as people and programs do.
func spell(name, form string) string {
	parts := strings.Fields(name)
	last := parts[len(parts)-1]
	switch form {
	case "capitals":
		return strings.ToUpper(name)
	case "decomposed":
		return norm.NFD.String(name)
	case "no accents":
		return strings.Map(func(r rune) rune {
			if unicode.IsMark(r) {
				return -1
			}
			return r
		}, norm.NFD.String(name))
	case "two spaces":
		return strings.Join(parts, "  ")
	case "possessive":
		return name + "’s"
	case "hyphenated":
		return strings.Join(parts, "-")
	case "surname first":
		if len(parts) > 1 {
			return last + ", " + strings.Join(parts[:len(parts)-1], " ")
		}
	case "joined":
		return strings.Join(parts, "")
	case "zero width":
		first := []rune(parts[0])
		return string(first[:1]) + "\u200b" + string(first[1:]) + strings.TrimPrefix(name, parts[0])
	}
	return name
}

func (w *world) trapSameTitle() {
	a, b := pick(w, w.plates...), pick(w, w.plates...)
	if a == b || len(a.mentions)+len(b.mentions) > 0 {
		return
	}
	a.title, a.titled, a.alt, a.altTok = b.title, b.titled, b.alt, b.altTok
	w.trap("plates %s and %s say the same", a.id, b.id)
}

func (w *world) trapUITitle() {
	p := pick(w, w.plates...)
	p.unsay("title")
	p.title, p.titled = pick(w, uiTitles...), ""
	w.trap("plate %s is called %q", p.id, p.title)
}

// trapAlikeScans makes two plates of one sitting: the same scene, a little
// different.
func (w *world) trapAlikeScans() {
	a, b := pick(w, w.plates...), pick(w, w.plates...)
	if a == b || len(a.scans) == 0 || len(b.scans) == 0 || b.scans[0].alike != 0 {
		return
	}
	s := a.scans[0]
	s.seed, s.alike, s.w, s.h, s.turn = b.scans[0].seed, 1+w.rng.Uint64()%1000, b.scans[0].w, b.scans[0].h, b.scans[0].turn
	w.trap("plates %s and %s look alike", a.id, b.id)
}

// trapSameScan gives two plates copies of one file.
func (w *world) trapSameScan() {
	a, b := pick(w, w.plates...), pick(w, w.plates...)
	if a == b || len(a.scans) == 0 || len(b.scans) == 0 || a.broken+b.broken != "" || a.scans[0].alike != 0 || b.scans[0].alike != 0 || a.scans[0].matches != nil || b.scans[0].matches != nil {
		return
	}
	file, secret := a.scans[0].file, a.scans[0].secret
	if path.Ext(file) == ".png" != (path.Ext(b.scans[0].file) == ".png") {
		return
	}
	*a.scans[0] = *b.scans[0]
	a.scans[0].file, a.scans[0].secret, a.scans[0].matches, b.scans[0].matches = file, secret, b, a
	w.trap("plates %s and %s have the same picture", a.id, b.id)
}

func (w *world) trapFileName() {
	p := pick(w, w.plates...)
	if len(p.scans) == 0 || p.namesScans {
		return
	}
	name := pick(w, "default", "index", "portrait", "plate", "manifest", "icon", "catalogue")
	for _, q := range w.plates {
		if path.Base(q.file) == name {
			return
		}
	}
	p.file = path.Join(path.Dir(p.file), name)
	p.scans[0].file = p.file + path.Ext(p.scans[0].file)
	w.trap("plate %s is kept in %s", p.id, p.scans[0].file)
}

func (w *world) trapNotesQuotePage() {
	p, q := pick(w, w.plates...), pick(w, w.plates...)
	p.notes = q.title + ". " + q.alt
	w.trap("the notes of plate %s say what plate %s says", p.id, q.id)
}

func (w *world) trapEmailInTitle() {
	if p := pick(w, w.plates...); len(w.clients) > 0 {
		c := pick(w, w.clients...)
		p.title += ", for " + c.email
		p.mentions = append(p.mentions, mention{name: c.email, form: "email", field: "title"})
		w.trap("the title of plate %s holds %s", p.id, c.email)
	}
}

func (w *world) trapIDInTitle() {
	a, b := pick(w, w.plates...), pick(w, w.plates...)
	a.unsay("title")
	a.title = "Remake of " + b.id + " " + a.titled
	a.mentions = append(a.mentions, mention{name: b.id, form: "plate id", field: "title"})
	w.trap("the title of plate %s holds the id of plate %s", a.id, b.id)
}

func (w *world) trapCreditNamesClient() {
	if len(w.clients) > 0 {
		c := pick(w, w.clients...)
		w.studio.credit += " with " + c.name
		w.trap("the credit names client %s", c.name)
	}
}

func (w *world) trapReleaseInAlt() {
	p := pick(w, w.plates...)
	p.alt += " MR-UMR"
	p.mentions = append(p.mentions, mention{form: "release code", field: "alt"})
	w.trap("the alt of plate %s holds a release code", p.id)
}

// trapNamedByBatch names a batch after someone.
func (w *world) trapNamedByBatch() {
	all := w.everyone()
	if len(all) == 0 {
		return
	}
	who := pick(w, all...)
	b := w.batches[0]
	id := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) && r < 0x250 || r == '-' {
			return r
		}
		return '-'
	}, norm.NFC.String(who.name))
	if id = strings.Trim(id, "-"); id == "" {
		return
	}
	for _, p := range w.plates {
		if p.collodion == b.id {
			p.collodion = id
			p.mentions = append(p.mentions, mention{name: who.name, common: who.common, form: "hyphenated", field: "batch"})
		}
	}
	b.id = id
	w.trap("a batch is called %q", id)
}

func (w *world) trapNoteInAlt() {
	p, q := pick(w, w.plates...), pick(w, w.plates...)
	q.notes = "Nobody but us shall ever know what she said about the weather that day " + w.word()
	p.unsay("alt")
	p.alt = q.notes
	p.mentions = append(p.mentions, mention{form: "note", field: "alt"})
	w.trap("the alt of plate %s says what the notes of plate %s say", p.id, q.id)
}

func (w *world) trapClientIDInTag() {
	if p := pick(w, w.plates...); len(w.clients) > 0 {
		c := pick(w, w.clients...)
		p.tags = append(p.tags, c.id)
		p.mentions = append(p.mentions, mention{name: c.id, form: "client id", field: "tag"})
		w.trap("a tag of plate %s is the id of client %s", p.id, c.id)
	}
}

func (w *world) trapNamedByLight() {
	all := w.everyone()
	if len(all) == 0 {
		return
	}
	who, old := pick(w, all...), w.studio.lights[1]
	w.studio.lights[1] = "window of " + who.name
	for _, p := range w.plates {
		if p.light == old {
			p.light = w.studio.lights[1]
			p.mentions = append(p.mentions, mention{name: who.name, common: who.common, form: "as it is", field: "light"})
		}
	}
	w.trap("a light is called %q", w.studio.lights[1])
}

// trapNameInID names a plate after someone.
func (w *world) trapNameInID() {
	all, p := w.everyone(), pick(w, w.plates...)
	if len(all) == 0 || p.broken == "twice" {
		return
	}
	who := pick(w, all...)
	words := strings.Fields(words(who.name))
	if len(words) < 2 || who.common || runs(who.name) {
		return
	}
	p.id = "26-" + strings.Join(words, "-")
	p.mentions = append(p.mentions, mention{name: who.name, form: "hyphenated", field: "id"})
	w.trap("plate id %q holds a name", p.id)
}

// trapIDInID makes one id the beginning of another.
func (w *world) trapIDInID() {
	a, b := pick(w, w.plates...), pick(w, w.plates...)
	if a == b || a.broken+b.broken != "" {
		return
	}
	for _, m := range append(a.mentions, b.mentions...) {
		if m.field == "id" || m.form == "plate id" {
			return
		}
	}
	b.id = a.id + pick(w, "-b", "-2", ".1", " verso")
	for _, p := range w.plates {
		if p != b && p.id == b.id {
			b.id += "-" + w.word()
		}
	}
	w.trap("plate id %q is the beginning of %q", a.id, b.id)
}

// trapTwoFormats keeps a scan as PNG and as JPEG beside each other.
func (w *world) trapTwoFormats() {
	p := pick(w, w.plates...)
	if len(p.scans) != 1 || p.namesScans || p.broken != "" {
		return
	}
	s := p.scans[0]
	s.file, s.turn = p.file+".png", 1
	twin := *s
	twin.file, twin.secret = p.file+".jpg", w.word()
	p.scans = append(p.scans, &twin)
	w.trap("plate %s is kept as PNG and as JPEG", p.id)
}

// trapLongerName lets a name that may be read hold one that may not.
func (w *world) trapLongerName() {
	if len(w.people) < 2 {
		return
	}
	long, short := w.people[0], w.people[1]
	if short.common || runs(short.name) || strings.TrimSpace(short.name) == "" {
		return
	}
	if len(short.name) > 30 { // an address is cut at 48 letters, and a longer name with it
		return
	}
	long.name, long.common = short.name+" "+w.word(), false
	p := pick(w, w.plates...)
	p.unsay("title")
	p.title = long.name
	p.mentions = append(p.mentions, mention{name: long.name, form: "as it is", field: "title", inside: short.name})
	w.trap("plate %s: title says %q, which holds %q", p.id, long.name, short.name)
}

// runs says whether a name is in a script without spaces.
func runs(name string) bool {
	return strings.ContainsFunc(name, func(r rune) bool { return unicode.In(r, unicode.Han) })
}
