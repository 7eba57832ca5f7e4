package benchbook

import (
	"sandarac/archive/chemistry"
	"sandarac/archive/flaw"
	"sandarac/archive/record"
)

// flawView is one flaw of a plate: how it looks, and its causes, those that the
// plate's own record speaks for first.
type flawView struct {
	Term   string      `json:"term"`
	Slug   string      `json:"slug"`
	Look   string      `json:"look"`
	Likely []causeView `json:"likely"` // the record speaks for them
	Others []causeView `json:"others"`
}

type causeView struct {
	Text    string   `json:"text"`
	Remedy  string   `json:"remedy"`
	For     []string `json:"for"`
	Against []string `json:"against"`
	Source  string   `json:"source"`
}

func (s *stage) flawViews(p *record.Plate) []flawView {
	if len(p.Flaws) == 0 {
		return nil
	}
	var more chemistry.Facts
	if stops, ok := s.overAim(p); ok {
		more = chemistry.Facts{chemistry.StopsOverAim: stops}
	}
	var out []flawView
	for _, d := range flaw.Plate(s.Archive, p, s.stock, more) {
		v := flawView{Term: d.Term, Slug: d.Slug, Look: d.Look}
		for _, r := range d.Readings {
			c := causeView{Text: r.Text, Remedy: r.Remedy, For: r.For, Against: r.Against, Source: r.Source}
			if r.Supported() {
				v.Likely = append(v.Likely, c)
			} else {
				v.Others = append(v.Others, c)
			}
		}
		out = append(out, v)
	}
	return out
}
