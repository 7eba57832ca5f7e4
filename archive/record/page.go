package record

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// Page is a text of the studio's own for a page of the public site: the body of
// its record, in Markdown. Unlike the notes of the other records it is public.
type Page struct {
	Source
	Name  string // one of PageNames
	Title string // "" for the page's usual one
	Lead  string // the sentence below the title; "" for the page's usual one
}

// The pages whose text a studio may write itself.
const (
	HomePage    = "home"            // the text below the studio's name
	SittersPage = "before-you-come" // what people read before they sit
	AboutPage   = "about"           // a page that is there only with such a record
)

// PageNames lists them.
var PageNames = []string{HomePage, SittersPage, AboutPage}

// pageMost bounds a page's text, in bytes: some six thousand words.
const pageMost = 40_000

func decodePage(d *decoder) *Page {
	p := &Page{}
	d.oneOf("page", &p.Name, PageNames...)
	if p.Name == "" && !d.src.Broken {
		d.fault(d.src.Line("page"), "missing-key", "the record does not say which page its text is for", "accepted after page: "+strings.Join(PageNames, ", "))
	}
	d.text("title", &p.Title)
	d.text("lead", &p.Lead)
	if p.Name == HomePage {
		for _, key := range []string{"title", "lead"} {
			if d.src.Has(key) {
				d.fault(d.src.Line(key), "wrong-key", "the front page takes no "+key, "leave "+key+" out: the studio's name is the heading, and the text of this record stands below it")
			}
		}
	}
	if p.Name == AboutPage && p.Title == "" {
		d.fault(d.src.Line("title"), "missing-key", "the page has no title", "add title: the words that head the page and lead to it, such as The studio")
	}
	d.pageText(p)
	return p
}

// pageText judges the body, which is public as it stands.
func (d *decoder) pageText(p *Page) {
	body := d.src.Body
	switch {
	case strings.TrimSpace(body) == "" && (p.Name != SittersPage || p.Lead == ""):
		d.fault(d.src.Line("page"), "missing-text", "the page has no text", "write it below the front matter, in Markdown")
	case len(body) > pageMost:
		d.fault(d.src.BodyLine, "long-text", fmt.Sprintf("the text is %d bytes long", len(body)), fmt.Sprintf("accepted: up to %d bytes, some six thousand words", pageMost))
	}
	line := d.src.BodyLine
	for text := range strings.Lines(body) {
		for _, c := range strings.TrimRight(text, "\r\n") {
			switch {
			case c == utf8.RuneError:
				d.fault(line, "bad-text", "this line holds bytes that are no UTF-8 text", "save the file as UTF-8 and type the text again")
				return
			case Unseen(c) && c != '\t':
				d.fault(line, "bad-text", fmt.Sprintf("this line holds the invisible control character U+%04X", c), "type the text again without it")
				return
			}
		}
		line++
	}
}
