package benchbook

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"sandarac/archive/record"
	"sandarac/archive/search"
)

// indexDir is where the search index of the plates lies in the site.
const indexDir = "plates/index"

func (s *stage) writeIndex(context.Context) error {
	docs := make([]search.Doc, 0, len(s.plates))
	for i, p := range s.plates {
		docs = append(docs, s.document(i, p))
	}
	index, err := search.Build(docs, search.Options{})
	if err != nil {
		return err
	}
	return index.WriteTo(filepath.Join(s.dir, "static", filepath.FromSlash(indexDir)))
}

// document is what a plate is found by: everything on its page, its number and
// title first.
func (s *stage) document(i int, p *record.Plate) search.Doc {
	doc := search.Doc{URL: s.platePath(p), Title: s.plateTitle(p), Caption: s.plateLine(p), Date: p.MadeOn().String(),
		Sort: fmt.Sprintf("%08d", len(s.plates)-i), Data: map[string]string{"outcome": outcomeKey(p), "judged": p.Judged},
		Facets: map[string][]string{}}
	doc.Fields = s.fields(p)
	for _, rel := range p.Scans {
		if im, ok := s.image(p, rel, 0); ok {
			doc.Thumb = search.Thumb{Src: im.Small.Src, Width: im.Small.W, Height: im.Small.H, Alt: im.Alt}
			break
		}
	}
	for facet, values := range s.facets(p) {
		if len(values) > 0 {
			doc.Facets[facet] = values
		}
	}
	return doc
}

func (s *stage) fields(p *record.Plate) []search.Field {
	var out []search.Field
	add := func(weight int, texts ...string) {
		for _, t := range texts {
			if t = strings.TrimSpace(t); t != "" {
				out = append(out, search.Field{Text: t, Weight: weight})
			}
		}
	}
	add(20, p.ID)
	add(16, p.Title)
	add(10, p.Light.Kind, p.Client)
	if c, ok := s.Archive.Clients[p.Client]; ok {
		add(10, c.Name)
	}
	for _, at := range p.Sitters {
		if x, ok := s.Archive.Sitter(at); ok {
			add(12, x.Name)
		}
		add(8, at.Ref)
	}
	p.Batches.Each(func(_, id string) { add(8, id) })
	add(8, p.Tags...)
	for _, f := range p.Flaws {
		add(8, spelled(f))
	}
	add(4, outcomeWords(p), p.Judged, spelled(p.Support), spelled(p.Purpose), p.Format.Name, p.Lens, p.Camera, p.MadeOn().String())
	add(3, p.Alt, p.Light.Note)
	add(2, p.Body)
	return out
}

func outcomeKey(p *record.Plate) string {
	if p.Outcome == "" {
		return "none"
	}
	return p.Outcome
}

// facets are the values a plate is filtered by.
func (s *stage) facets(p *record.Plate) map[string][]string {
	one := func(v string) []string {
		if v == "" {
			return nil
		}
		return []string{v}
	}
	out := map[string][]string{
		"outcome": {outcomeKey(p)}, "judged": one(p.Judged), "support": one(p.Support), "format": one(formatKey(p)),
		"light": one(s.lightSlug[oneLine(p.Light.Kind)]), "client": one(s.clientSlug[p.Client]), "year": one(yearOf(p)), "flaw": p.Flaws,
		"lens": one(s.lensSlug[oneLine(p.Lens)]), "month": one(monthOf(p)),
	}
	p.Batches.Each(func(kind, id string) {
		if _, ok := s.Archive.Batch(kind, id); ok {
			out["batch"] = append(out["batch"], s.batchSlug[id])
		}
	})
	return out
}

func formatKey(p *record.Plate) string {
	switch {
	case p.Format.Slug != "":
		return p.Format.Slug
	case p.Format.WidthMM > 0:
		return "other"
	}
	return ""
}

func yearOf(p *record.Plate) string {
	if p.Made.IsZero() {
		return ""
	}
	return fmt.Sprintf("%04d", p.Made.Year())
}

func monthOf(p *record.Plate) string {
	if p.Made.IsZero() {
		return ""
	}
	return p.Made.Format("2006-01")
}
