package main

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// worldPage is a text of the studio's for a page, with a word that stands
// nowhere else, and perhaps someone's name.
type worldPage struct {
	name, title, text, token string
	mention                  *mention
}

// drawPages draws them apart from the rest, so that the archives of known seeds
// stay as they are.
func (w *world) drawPages() {
	usual := w.rng
	defer func() { w.rng = usual }()
	w.rng = rand.New(rand.NewPCG(w.seed, 1855))
	for _, name := range []string{"home", "before-you-come", "about"} {
		if !w.chance(0.3) {
			continue
		}
		p := &worldPage{name: name, token: w.word()}
		p.text = "We work " + pick(w, "*outdoors*", "on a **boat**", "under the roof") + ", " + p.token + ".\n"
		if all := w.everyone(); len(all) > 0 && w.chance(0.6) {
			who := pick(w, all...)
			m := mention{name: who.name, common: who.common, form: pick(w, spellings...)}
			p.mention = &m
			p.text += pick(w, "\n## Who sat\n\n- ", "\n> ", "\nThanks to\n") + spell(who.name, m.form) + pick(w, "", ", twice", ".") + "\n"
			w.trap("page %s names %q (%s)", name, who.name, m.form)
		}
		if name == "about" {
			p.title = "The rooms"
		}
		w.pages = append(w.pages, p)
	}
}

func (w *world) writePages(t testing.TB, root string) {
	for _, p := range w.pages {
		keys := []entry{{"page", p.name}}
		if p.title != "" {
			keys = append(keys, entry{"title", p.title})
		}
		put(t, root, "texts/"+p.name+".md", recordText("yaml", keys, p.text))
	}
}

// judgePage says whether a text may stand on its page.
func (w *world) judgePage(p *worldPage) verdict {
	out := shown
	if m := p.mention; m != nil {
		switch private := w.privateName(m.name); {
		case private && !m.common:
			return hidden
		case private || w.alsoPrivate(m.name):
			out = either
		}
	}
	for _, k := range w.everyone() { // names that are words, and names inside longer ones
		if w.privateName(k.name) && (k.common && capitalised([]string{p.text}, k.name) || holdsWords(p.text, k.name)) {
			out = either
		}
	}
	return out
}

// comparePages holds the studio's texts against the oracle.
func (w *world) comparePages(site *stranger) (faults []string) {
	for _, p := range w.pages {
		is, want := site.sees(p.token) != "", w.judgePage(p)
		if is && want == hidden || !is && want == shown {
			faults = append(faults, fmt.Sprintf("the text of page %s is shown: %v; it should be %s:\n%s", p.name, is, want, p.text))
		}
	}
	return faults
}
