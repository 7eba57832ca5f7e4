package consent

import (
	"cmp"
	"slices"
	"strings"

	"sandarac/archive/record"
)

// Page is a text of the studio's own for a page of the public site, in Markdown.
// An empty Title or Lead, or an empty Text, leaves the site's own.
type Page struct {
	Title, Lead, Text string
}

// HiddenPage is a studio's text that may not be public, and everything that
// stands against it.
type HiddenPage struct {
	Page    *record.Page
	Reasons []Reason
}

func publicPages(a *record.Archive, day record.Date) map[string]Page {
	out := map[string]Page{}
	judgePages(a, day, func(p *record.Page, against []Reason) {
		if len(against) == 0 {
			out[p.Name] = Page{Title: p.Title, Lead: p.Lead, Text: strings.TrimSpace(p.Body)}
		}
	})
	return out
}

// WhyPages lists the studio's texts that do not stand on their pages on a day,
// by file. It is for the photographer's eyes only.
func WhyPages(a *record.Archive, day record.Date) []HiddenPage {
	var out []HiddenPage
	judgePages(a, day, func(p *record.Page, against []Reason) {
		if len(against) > 0 {
			out = append(out, HiddenPage{p, against})
		}
	})
	slices.SortFunc(out, func(a, b HiddenPage) int { return cmp.Compare(a.Page.File, b.Page.File) })
	return out
}

// judgePages gives each text with what stands against it: that its record has
// errors, or that it says what may not be said, ids of hidden plates among that.
func judgePages(a *record.Archive, day record.Date, use func(p *record.Page, against []Reason)) {
	if len(a.Pages) == 0 {
		return
	}
	said, ids := unsayable(a, day), newWordings()
	for i, against := range judge(a, day) {
		switch id := a.Plates[i].ID; {
		case len(against) == 0:
			ids.allow(id)
		case telling(id):
			ids.forbid(id, plateInText)
		}
	}
	for _, p := range a.Pages {
		var against []Reason
		if p.Broken {
			against = append(against, Reason{"record-broken", 0, "the record has errors", "mend the record"})
		}
		for _, list := range []*wordings{said, ids} {
			for _, part := range []struct {
				key, text string
				line      int
			}{{"title", p.Title, p.Line("title")}, {"lead", p.Lead, p.Line("lead")}, {"the text", p.Body, p.BodyLine}} {
				if found, ok := list.in([]string{part.text}); ok {
					against = append(against, found.reason(part.key, part.line+linesBefore(part.text, list)))
				}
			}
		}
		use(p, against)
	}
}

// linesBefore is how many lines of a text stand before the one in which what
// was found is complete.
func linesBefore(text string, list *wordings) int {
	n, end := 0, 0
	for line := range strings.Lines(text) {
		end += len(line)
		if _, ok := list.in([]string{text[:end]}); ok {
			break
		}
		n++
	}
	return n
}
