package kind

import (
	"fmt"
	"strings"

	"sandarac/archive/gallery"
)

// answered is true once the catalogue has drawn an answer.
const answered = `document.querySelector('form[data-ready]') && !document.querySelector('[data-results]').hidden && document.querySelector('[data-results]').getAttribute('aria-busy') === null`

// portfolioStates are what scripts make of the portfolio's pages.
func portfolioStates(pages []Page) ([]Page, error) {
	var plate string
	for _, p := range pages {
		if plate == "" && strings.HasPrefix(p.Path, "plates/") {
			plate = p.Path
		}
	}
	if plate == "" {
		return nil, fmt.Errorf("the portfolio has no page of a plate")
	}
	catalogue := func(name, query string) Page {
		return Page{Site: Portfolio, Name: name, Path: "catalogue/?" + query, When: answered}
	}
	return []Page{
		catalogue("catalogue-answer", "q=in&support=tin"),
		catalogue("catalogue-misspelt", "q=beekeper"),
		catalogue("catalogue-nothing", "q=xyzzyx"),
		{Site: Portfolio, Name: "plate-close", Path: plate, Close: true, Do: `document.querySelector('[data-viewer-open]').click()`,
			When: `document.querySelector('[data-viewer]').open && document.querySelector('.viewer-picture').naturalWidth > 0`},
	}, nil
}

// opened is true once a gallery shows its first picture and all its tools.
const opened = `document.documentElement.dataset.ready !== undefined && document.querySelector('[data-part=open][data-shown]')`

// galleries are the states of the galleries' one page: open, close, locked, and
// in trouble. An archive without galleries has none of them.
func galleries(links []gallery.Link) ([]Page, error) {
	var out []Page
	have := map[string]bool{}
	add := func(p Page) {
		if !have[p.Name] {
			have[p.Name] = true
			p.Site = Portfolio
			out = append(out, p)
		}
	}
	for _, l := range links {
		if l.State != "open" {
			continue
		}
		_, path, found := strings.Cut(l.URL, "/"+gallery.Folder+"/")
		if !found {
			return nil, fmt.Errorf("the link of client %s has no /%s/ in it", l.Client, gallery.Folder)
		}
		path = gallery.Folder + "/" + path
		if l.Passphrase != "" {
			add(Page{Name: "gallery-locked", Path: path, When: `!document.getElementById('door-form').hidden`})
			continue
		}
		bare, _, _ := strings.Cut(path, "#")
		add(Page{Name: "gallery", Path: path, When: opened, Paper: true})
		add(Page{Name: "gallery-close", Path: path, Close: true, Do: `(async () => { while (document.documentElement.dataset.ready === undefined) await new Promise((r) => setTimeout(r, 20)); document.getElementById('look').click(); })()`,
			When: `document.getElementById('viewer').open && document.getElementById('viewer-picture').naturalWidth > 0`})
		add(Page{Name: "gallery-trouble", Path: bare, When: `!document.getElementById('door-trouble').hidden`})
	}
	return out, nil
}
