package audit

import (
	"maps"
	"path"
	"slices"
	"strings"

	"sandarac/archive/consent"
	"sandarac/archive/record"
)

// Sources are what the records do not hold.
type Sources struct {
	Secrets       []Thing   // of kind Secret
	Hidden, Shown []Picture // see Forbidden
	// Ours are texts that the program itself puts on pages (words of the
	// templates, cautions, care), so that a note that quotes one is no leak.
	Ours []string
	// Frame and Plain are Forbidden's.
	Frame, Plain []string
}

// Gather makes what is forbidden, and what is open, from an archive's records on
// a day. It asks consent which plates are public and who may be named.
func Gather(a *record.Archive, day record.Date, s Sources) Forbidden {
	g := &gatherer{a: a, day: day}
	g.open(s.Ours...)
	g.published(consent.Publish(a, day))
	g.people()
	g.plates()
	for _, b := range a.Batches {
		g.source(b.Source)
		for _, entry := range b.Log {
			g.thing(Note, entry.Note, "")
		}
	}
	for _, h := range consent.WhyPages(a, day) {
		g.thing(Note, h.Page.Body, "")
	}
	for _, p := range a.Pages {
		g.own(p.Source)
	}
	g.source(a.Studio.Source)
	g.thing(File, a.Root, "")
	return Forbidden{Things: append(g.things, s.Secrets...), Open: g.opened, OpenNames: g.openNames, Frame: s.Frame, Plain: append(g.plain, s.Plain...), Hidden: s.Hidden, Shown: s.Shown}
}

type gatherer struct {
	a         *record.Archive
	day       record.Date
	public    map[string]bool // ids of published plates
	things    []Thing
	opened    []string
	openNames []string
	plain     []string
}

func (g *gatherer) thing(kind Kind, text, plate string) {
	if strings.TrimSpace(text) != "" {
		g.things = append(g.things, Thing{Kind: kind, Text: text, Plate: plate})
	}
}

func (g *gatherer) open(texts ...string) { g.opened = append(g.opened, texts...) }

// published opens what consent gives out.
func (g *gatherer) published(site consent.Site) {
	g.public = map[string]bool{}
	studio := site.Studio
	g.openNames = append(g.openNames, consent.OpenNames(g.a, g.day)...)
	g.openNames = append(g.openNames, studio.Name, studio.Credit, studio.Copyright, studio.URL, studio.Email, studio.LicenceURL)
	g.open(studio.Name, studio.Credit, studio.Copyright, studio.URL, studio.Email, studio.LicenceURL, studio.PoisonCentre)
	g.open(record.Purposes...)
	g.open(record.Supports...)
	for _, f := range record.Formats {
		g.open(f.Slug, f.Name)
		g.plain = append(g.plain, f.Name)
	}
	for _, p := range site.Pages {
		g.open(p.Title, p.Lead, p.Text)
	}
	for _, p := range site.Plates {
		g.public[p.ID] = true
		g.open(p.ID, p.Made.String(), p.Title, p.Alt, p.LightKind, p.Format.Name, p.Format.Slug)
		g.open(p.Tags...)
		g.open(p.Names...)
		g.plain = append(g.plain, p.Format.Name, p.LightKind)
		if r := p.Recipe; r != nil {
			made := []string{r.Collodion, r.Bath, r.Developer, r.Fixer, r.Varnish, r.Lens}
			for _, substances := range r.Substances {
				made = append(made, substances...)
			}
			g.open(made...)
			g.plain = append(g.plain, made...)
		}
	}
}

// people forbids the names of those who may not be named, clients, and their ids.
func (g *gatherer) people() {
	for _, name := range consent.PrivateNames(g.a, g.day) {
		g.thing(Name, name, "")
	}
	for _, c := range g.a.Clients {
		if c.Email != g.a.Studio.Email {
			g.thing(Email, c.Email, "")
		}
		g.thing(Person, c.ID, "")
		g.thing(Note, c.Gallery.Title, "")
		g.thing(Note, c.Gallery.Message, "")
		g.source(c.Source)
	}
	for _, c := range g.a.StrayClients {
		if c.Email != g.a.Studio.Email {
			g.thing(Email, c.Email, "")
		}
		g.source(c.Source)
	}
	for _, s := range g.a.Sitters {
		if !consent.Named(s, g.day) {
			g.thing(Person, s.ID, "")
		}
		g.source(s.Source)
	}
	for _, p := range g.a.Plates {
		for _, s := range p.Sitters {
			if s.Inline != nil && s.Inline.ID != "" && !consent.Named(s.Inline, g.day) {
				g.thing(Person, s.Inline.ID, "")
			}
		}
	}
}

// plates forbids what unpublished plates say, and what no plate says in public.
func (g *gatherer) plates() {
	for _, p := range g.a.Plates {
		g.source(p.Source)
		g.thing(Note, p.Light.Note, p.ID)
		for _, scan := range p.Scans {
			g.thing(File, path.Base(scan), p.ID)
		}
		if g.public[p.ID] {
			continue
		}
		g.thing(Plate, p.ID, p.ID)
		g.thing(Title, p.Title, p.ID)
		g.thing(Title, p.Alt, p.ID)
	}
	for _, scan := range g.a.Orphans {
		g.thing(File, path.Base(scan), "")
	}
}

// source forbids a record's file name, its notes and the user's own keys.
func (g *gatherer) source(s record.Source) {
	g.thing(File, path.Base(s.File), "")
	g.thing(Note, s.Body, "")
	g.own(s)
}

// own forbids the keys that are the photographer's own.
func (g *gatherer) own(s record.Source) {
	for _, key := range slices.Sorted(maps.Keys(s.Extra)) {
		g.thing(Note, s.Extra[key], "")
	}
}
