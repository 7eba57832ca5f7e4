package portfolio

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Scales, in CSS pixels a millimetre of plate, at the desk. The style sheets
// set the same on each page kind; on narrow screens both shrink to a phone's
// width over the largest plate.
const (
	catalogueScale = 1.25
	homeScale      = 2.1
	leadScale      = 2.9
	narrowMM       = 300 // millimetres of plate across a phone's screen
	narrowShare    = 90  // per cent of the window that is not margin
)

// source is one file of a srcset.
type source struct {
	Src    string `json:"src"`
	Width  int    `json:"w"`
	Height int    `json:"h"`
}

// scaled is a picture for one scale: the files worth offering and the width it
// will have.
type scaled struct {
	Files []source `json:"files"`
	Sizes string   `json:"sizes"`
	Src   source   `json:"src"`
	AVIF  *source  `json:"avif,omitempty"`
}

// at gives a plate's picture for a scale: every file up to the first that is
// twice as wide as shown.
func (p plate) at(scale float64) scaled {
	shown := p.widthMM * scale
	out := scaled{
		Sizes: fmt.Sprintf("min(%.0fpx, %.1fvw)", math.Ceil(shown), narrowShare*p.widthMM/narrowMM),
		Src:   p.source(shown),
	}
	for _, f := range p.files {
		out.Files = append(out.Files, source{p.address(f), f.Width, f.Height})
		if float64(f.Width) >= 2*shown {
			break
		}
	}
	return out
}

func (p plate) source(width float64) source {
	f := p.atLeast(width)
	return source{p.address(f), f.Width, f.Height}
}

// facts are the short second line under a plate.
func facts(p plate, w words) string {
	parts := []string{w.inside(p.kindWords)}
	if p.formatName != "" {
		parts = slices.Insert(parts, 0, p.formatName)
	}
	if y := p.year(); y != "" {
		parts = append(parts, y)
	}
	return strings.Join(parts, ", ")
}

// tenths names a length in tenths of a millimetre, as the style sheet of sizes
// does.
func tenths(mm float64) string { return fmt.Sprintf("%.0f", math.Round(mm*10)) }

// plateParams is everything the page of a plate and its card show.
func (s *stage) plateParams(i int) map[string]any {
	p := s.plates[i]
	out := map[string]any{
		"id": p.ID, "path": p.page, "alt": p.alt(), "support": p.Support, "purpose": p.Purpose, "people": p.People, "tone": fmt.Sprint(p.tone),
		"format": p.formatName, "kindwords": p.kindWords, "facts": p.factLine, "w": tenths(p.widthMM), "h": tenths(p.heightMM),
		"mm":     map[string]string{"w": s.words.number(p.widthMM, 0), "h": s.words.number(p.heightMM, 0)},
		"sized":  p.sized,
		"exact":  map[string]float64{"w": p.widthMM, "h": p.heightMM},
		"small":  p.at(catalogueScale),
		"medium": p.at(homeScale), "image": p.image, "promotion": p.Promotion,
		"large": s.large(p), "figure": newScaleFigure(p.widthMM, p.heightMM, s.words),
	}
	if !p.Made.IsZero() {
		out["made"] = p.Made.String()
	}
	if i == s.front.lead {
		out["lead"] = p.at(leadScale)
	}
	if len(p.Names) > 0 {
		out["names"] = p.Names
	}
	if l := s.lists.lightOf(p); l != "" {
		out["light"] = term{Slug: s.lists.lightSlug[l], Name: l}
	}
	if tags := s.lists.tagsOf(p); len(tags) > 0 {
		var list []term
		for _, t := range tags {
			list = append(list, term{Slug: s.lists.tagSlug[t], Name: t})
		}
		out["taglist"] = list
	}
	if r := newRecipe(p.Recipe, s.words); r != nil {
		out["recipe"] = r
	}
	if i > 0 {
		out["newer"] = "/" + s.plates[i-1].page
	}
	if i+1 < len(s.plates) {
		out["older"] = "/" + s.plates[i+1].page
	}
	var alike []string
	for _, j := range s.related[i] {
		alike = append(alike, "/"+s.plates[j].page)
	}
	out["alike"] = alike
	return out
}

// large is the picture of a plate's own page: all its files, and the width it
// takes beside or above the text (plate-page.css). Above it, a hair less is said
// than is taken, so that common phones need not fetch the next width up.
func (s *stage) large(p plate) scaled {
	f := p.largest()
	ratio := float64(f.Width) / float64(f.Height)
	out := scaled{
		Sizes: fmt.Sprintf("(min-width: 64rem) min(58vw, calc(88vh * %.3f)), 88vw", ratio),
		Src:   p.source(800),
	}
	for _, f := range p.files {
		out.Files = append(out.Files, source{p.address(f), f.Width, f.Height})
	}
	if f := p.avif; f != nil {
		out.AVIF = &source{p.address(*f), f.Width, f.Height}
	}
	return out
}
