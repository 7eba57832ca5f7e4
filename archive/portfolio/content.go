package portfolio

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"sandarac/archive/orthochrome"
)

// content writes one content file: JSON front matter whose keys are ours, all
// data under params, and a Markdown body of ours or the studio's.
func (s *stage) content(name string, front map[string]any, body string) error {
	head, err := json.MarshalIndent(front, "", " ")
	if err != nil {
		return fmt.Errorf("page %s: %w", name, err)
	}
	text := string(head) + "\n"
	if body != "" {
		text += "\n" + withoutShortcodes(body) + "\n"
	}
	return s.write("content/"+name, []byte(text))
}

// withoutShortcodes keeps {{ in a person's Markdown from being taken for a
// shortcode, which would stop the build or run: a word joiner, which has no
// width, goes between the braces, and between all of several. It works inside
// code spans too, where an entity would show.
func withoutShortcodes(markdown string) string {
	for strings.Contains(markdown, "{{") {
		markdown = strings.ReplaceAll(markdown, "{{", "{\u2060{")
	}
	return markdown
}

// writePlates writes a content file per plate and lists its pictures.
func (s *stage) writePlates(ctx context.Context) error {
	for i, p := range s.plates {
		if err := ctx.Err(); err != nil {
			return err
		}
		front := map[string]any{
			"title": p.title, "weight": i + 1, "formats": []string{p.format}, "supports": one(p.Support), "years": one(p.year()),
			"lights": one(s.lists.lightSlug[s.lists.lightOf(p)]), "tags": s.tagSlugs(p), "params": s.plateParams(i),
		}
		if !p.Made.IsZero() {
			front["date"] = p.Made.String() + "T12:00:00Z"
		}
		if err := s.content(strings.TrimSuffix(p.page, "/")+".md", front, ""); err != nil {
			return err
		}
		for _, f := range p.files {
			s.done.Copies = append(s.done.Copies, Copy{f.Path, p.address(f)})
		}
		if p.avif != nil {
			s.done.Copies = append(s.done.Copies, Copy{p.avif.Path, p.address(*p.avif)})
		}
		s.done.Copies = append(s.done.Copies, Copy{p.largest().Path, p.image + "/full/max/0/default.jpg"})
		s.done.Pages++
	}
	return s.content("plates/_index.md", map[string]any{
		"title": s.words.say("catalogue_title"), "build": map[string]string{"render": "never", "list": "never"},
	}, "")
}

func one(v string) []string {
	if v == "" {
		return []string{}
	}
	return []string{v}
}

func (s *stage) tagSlugs(p plate) []string {
	out := []string{}
	for _, t := range s.lists.tagsOf(p) {
		out = append(out, s.lists.tagSlug[t])
	}
	return out
}

// writeLists writes the heads of the lists and of their terms, so that folders
// are slugs of ours and names are what people wrote.
func (s *stage) writeLists(context.Context) error {
	all := map[string][]term{
		"years": s.lists.Years, "formats": s.lists.Formats, "supports": s.lists.Supports, "lights": s.lists.Lights, "tags": s.lists.Tags,
	}
	for _, t := range taxonomies {
		front := map[string]any{"title": s.words.say("list_" + t.plural), "params": map[string]any{"singular": t.singular}}
		if err := s.content(t.plural+"/_index.md", front, ""); err != nil {
			return err
		}
		for i, term := range all[t.plural] {
			front := map[string]any{"title": term.Name, "weight": i + 1, "params": map[string]any{"singular": t.singular, "slug": term.Slug, "count": term.Count}}
			if err := s.content(t.plural+"/"+term.Slug+"/_index.md", front, ""); err != nil {
				return err
			}
		}
	}
	return nil
}

// The names of the pages whose text may be the studio's own, which are their
// folders too.
const (
	homePage    = "home"
	sittersPage = "before-you-come"
	aboutPage   = "about"
)

// writePages writes the pages that are not plates: front page, catalogue,
// sitters, and the one about the studio if it wrote one.
func (s *stage) writePages(context.Context) error {
	home := map[string]any{"title": s.site.Studio.Name, "params": s.homeParams()}
	if err := s.content("_index.md", home, s.site.Pages[homePage].Text); err != nil {
		return err
	}
	catalogue := map[string]any{"title": s.words.say("catalogue_title"), "params": map[string]any{"kind": "catalogue"}}
	if err := s.content("catalogue/_index.md", catalogue, ""); err != nil {
		return err
	}
	own := s.site.Pages[sittersPage]
	sitters := map[string]any{"title": cmp.Or(clean(own.Title), s.words.say("sitters_title")), "params": map[string]any{
		"kind": sittersPage, "lead": cmp.Or(clean(own.Lead), s.words.say("sitters_lead")),
		"cloth": tones(orthochrome.Cloth()), "features": tones(orthochrome.Features()), "still": s.still(),
	}}
	if err := s.content(sittersPage+".md", sitters, own.Text); err != nil {
		return err
	}
	about, written := s.site.Pages[aboutPage]
	if !written {
		return nil
	}
	front := map[string]any{"title": clean(about.Title), "layout": aboutPage, "params": map[string]any{"kind": aboutPage, "lead": clean(about.Lead)}}
	return s.content(aboutPage+".md", front, about.Text)
}

// front is what the front page shows: places in the list of plates. lead is the
// one that stands for the studio, large and in link previews, or -1.
type front struct {
	chosen bool // by the studio; otherwise they are the newest
	lead   int
	rail   []int
}

// newFront takes the featured plates, or else the newest. The lead is one of
// them whose sitters all agreed to promotion: a portrait before a plate with
// nobody in it, then the largest; of equals the newest.
func newFront(plates []plate) front {
	const most, fallback = 12, 8
	f := front{lead: -1}
	for i, p := range plates {
		if p.Featured && len(f.rail) < most {
			f.rail = append(f.rail, i)
		}
	}
	f.chosen = len(f.rail) > 0
	for i := 0; !f.chosen && i < min(fallback, len(plates)); i++ {
		f.rail = append(f.rail, i)
	}
	for _, i := range f.rail {
		if plates[i].Promotion && (f.lead < 0 || leads(plates[i], plates[f.lead])) {
			f.lead = i
		}
	}
	f.rail = slices.DeleteFunc(f.rail, func(i int) bool { return i == f.lead })
	return f
}

// leads tells whether a plate stands for a portraitist better than another.
func leads(p, other plate) bool {
	if (p.People > 0) != (other.People > 0) {
		return p.People > 0
	}
	return area(p) > area(other)
}

func area(p plate) float64 { return p.widthMM * p.heightMM }

func (s *stage) homeParams() map[string]any {
	rail := []string{}
	for _, i := range s.front.rail {
		rail = append(rail, "/"+s.plates[i].page)
	}
	out := map[string]any{"chosen": s.front.chosen, "rail": rail}
	if s.front.lead >= 0 {
		out["lead"] = "/" + s.plates[s.front.lead].page
	}
	return out
}

// still says how long people held still for the plates that are shown: the
// median and the ninth decile of the seconds of portraits, written out, or
// nothing when there are fewer than eight.
func (s *stage) still() map[string]string {
	var seconds []float64
	for _, p := range s.plates {
		if p.Recipe != nil && p.Recipe.Seconds > 0 && p.People > 0 {
			seconds = append(seconds, p.Recipe.Seconds)
		}
	}
	if len(seconds) < 8 {
		return nil
	}
	slices.Sort(seconds)
	return map[string]string{
		"median": s.seconds(seconds[(len(seconds)-1)/2]), "most": s.seconds(seconds[(len(seconds)*9-1)/10]),
	}
}

func (s *stage) seconds(v float64) string {
	n := s.words.number(v, 1)
	if n == "1" {
		return s.words.say("seconds_one")
	}
	return s.words.say("seconds", "n", n)
}

// toneRow is a colour of the sitters' page.
type toneRow struct {
	Key   string `json:"key"`
	Eye   string `json:"eye"`
	Plate string `json:"plate"`
}

// toneGroup holds the colours that the plate shifts one way, the palest on the
// plate first.
type toneGroup struct {
	Shift string    `json:"shift"`
	Rows  []toneRow `json:"rows"`
}

func tones(samples []orthochrome.Sample) []toneGroup {
	all := orthochrome.Tones(samples)
	slices.SortStableFunc(all, func(a, b orthochrome.Tone) int {
		return int(10 * (b.PlateLightness - a.PlateLightness))
	})
	var out []toneGroup
	for _, shift := range []orthochrome.Shift{orthochrome.Lighter, orthochrome.Same, orthochrome.Darker} {
		g := toneGroup{Shift: shift.String()}
		for _, t := range all {
			if t.Shift == shift {
				g.Rows = append(g.Rows, toneRow{t.Key, hexColour(t.Eye), hexColour(t.Plate)})
			}
		}
		if len(g.Rows) > 0 {
			out = append(out, g)
		}
	}
	return out
}

func hexColour(c orthochrome.RGB) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }
