package benchbook

import (
	"context"

	"sandarac/archive/gallery"
	"sandarac/archive/record"
)

// clientView is the page of one client; Hugo lists the plates.
type clientView struct {
	ID       string       `json:"id"`
	Facts    []fact       `json:"facts"`
	Papers   []said       `json:"papers"`
	Findings []findingRow `json:"findings"`
}

// clientRow is a client in the list, with the link of the gallery.
type clientRow struct {
	Name       string `json:"name"`
	ID         string `json:"id"`
	To         string `json:"to"`
	Plates     int    `json:"plates"`
	State      string `json:"state"`
	Until      string `json:"until"`
	Link       string `json:"link"` // only while the gallery is open
	Passphrase string `json:"passphrase"`
	Card       string `json:"card"` // the envelope cards
}

type clientListView struct {
	Rows []clientRow `json:"rows"`
	Turn turn        `json:"turn"`
}

// clientSize is how many clients a page of the list holds.
const clientSize = 40

func (s *stage) clientPath(id string) string { return "clients/" + s.clientSlug[id] + "/" }

func clientName(c *record.Client) string {
	if n := oneLine(c.Name); n != "" {
		return n
	}
	return c.ID
}

func (s *stage) link(id string) (gallery.Link, bool) {
	for _, l := range s.Links {
		if l.Client == id {
			return l, true
		}
	}
	return gallery.Link{}, false
}

func (s *stage) writeClients(context.Context) error {
	for i, c := range s.clients {
		at := page{Title: clientName(c), Weight: i + 1, Params: s.clientView(c), notes: c.Body}
		if err := s.content("clients/"+s.clientSlug[c.ID]+"/_index", at); err != nil {
			return err
		}
	}
	if err := s.content("clients/_index", page{Title: "Clients", Build: &rendering{Render: "never", List: "never"}}); err != nil {
		return err
	}
	return s.series("clients-list", len(s.clients), clientSize, func(lo, hi int, at turn) page {
		v := clientListView{Turn: at}
		for _, c := range s.clients[lo:hi] {
			v.Rows = append(v.Rows, s.clientRow(c))
		}
		return page{Title: "Clients", Layout: "clients", Params: v}
	})
}

func (s *stage) clientRow(c *record.Client) clientRow {
	row := clientRow{Name: clientName(c), ID: c.ID, To: s.clientPath(c.ID), Plates: len(s.ordered[c.ID]), State: "no gallery: the record has errors"}
	if len(leaving(s.ordered[c.ID])) > 0 {
		row.Card = "papers/client-" + s.clientSlug[c.ID] + "-cards/"
	}
	l, ok := s.link(c.ID)
	if !ok {
		return row
	}
	row.State = galleryState(l)
	if l.Until != nil {
		row.Until = *l.Until
	}
	if l.State == "open" {
		row.Link, row.Passphrase = l.URL, l.Passphrase
	}
	return row
}

func galleryState(l gallery.Link) string {
	switch l.State {
	case "open":
		return "open, " + count(l.Plates, "plate")
	case "empty":
		return "empty: no scanned plate yet"
	}
	return l.State
}

func (s *stage) clientView(c *record.Client) clientView {
	g := group{}
	g.note("Client", c.ID)
	g.note("E-mail", oneLine(c.Email))
	g.note("Gallery", oneLine(c.Gallery.Title))
	g.note("Message", oneLine(c.Gallery.Message))
	if l, ok := s.link(c.ID); ok {
		w := said{Text: galleryState(l), Soft: "the link stands on the list of clients and on the envelope cards"}
		g.add("State", w)
		if l.Until != nil {
			g.note("Until", *l.Until)
		}
	}
	g.note("Link number", plain(float64(c.Gallery.Generation)))
	downloads := map[string]string{"full": "the whole scan", "web": "screen size only"}[c.Gallery.Downloads]
	g.note("Downloads", downloads)
	if c.Gallery.PassphraseRequired {
		g.note("Passphrase", "asked for")
	}
	g.note("File", c.File)
	v := clientView{ID: c.ID, Facts: g.Facts}
	if len(leaving(s.ordered[c.ID])) > 0 {
		base := "papers/client-" + s.clientSlug[c.ID]
		v.Papers = []said{{Text: "Envelope cards", To: base + "-cards/"}, {Text: "Box labels", To: base + "-labels/"}}
	}
	for _, f := range s.found[c.File] {
		v.Findings = append(v.Findings, s.findingRow(f, nil))
	}
	return v
}
