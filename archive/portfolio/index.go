package portfolio

import (
	"context"
	"fmt"
	"path/filepath"

	"sandarac/archive/search"
)

// indexDir is where the index of the catalogue lies in the site.
const indexDir = "catalogue/index"

// writeIndex builds the search index of the published plates.
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

// document is what a plate is found by. Weights: the title first, then what
// the studio named it by, then the words of its page.
func (s *stage) document(i int, p plate) search.Doc {
	light := s.lists.lightOf(p)
	tags := s.lists.tagsOf(p)
	shown := p.widthMM * catalogueScale
	small := p.atLeast(shown)
	doc := search.Doc{
		URL: p.page, Title: p.title, Caption: p.factLine, Date: p.Made.String(),
		WidthMM: p.widthMM, HeightMM: p.heightMM,
		Thumb: search.Thumb{Src: p.address(small), Width: small.Width, Height: small.Height, Alt: p.alt()},
		Data:  map[string]string{"w": tenths(p.widthMM), "support": p.Support, "tone": fmt.Sprint(p.tone)},
		// Plates come newest first; equal days keep the order they came in.
		Sort: fmt.Sprintf("%s %08d", p.Made.String(), len(s.plates)-i),
		Fields: []search.Field{
			{Text: p.title, Weight: 16}, {Text: p.formatName, Weight: 4}, {Text: p.kindWords, Weight: 4},
			{Text: s.words.say("surface_" + key(p.Support)), Weight: 2}, {Text: light, Weight: 4}, {Text: p.year(), Weight: 4},
			{Text: p.alt(), Weight: 3}, {Text: p.ID, Weight: 8},
		},
		Facets: map[string][]string{},
	}
	if sharp := p.atLeast(2 * shown); sharp.Width > small.Width {
		doc.Thumb.Src2x, doc.Thumb.Width2x = p.address(sharp), sharp.Width
	}
	for _, t := range tags {
		doc.Fields = append(doc.Fields, search.Field{Text: t, Weight: 8})
	}
	for _, n := range p.Names {
		doc.Fields = append(doc.Fields, search.Field{Text: n, Weight: 12})
	}
	if c := collodionOf(p); c != "" {
		doc.Fields = append(doc.Fields, search.Field{Text: c, Weight: 6})
	}
	for facet, values := range map[string][]string{
		"format": one(p.format), "support": one(p.Support), "year": one(p.year()), "light": one(s.lists.lightSlug[light]),
		"tag": s.tagSlugs(p), "batch": one(s.lists.batchSlug[collodionOf(p)]),
	} {
		if len(values) > 0 {
			doc.Facets[facet] = values
		}
	}
	return doc
}
