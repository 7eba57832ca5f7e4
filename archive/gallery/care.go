package gallery

import (
	"cmp"
	"slices"

	"sandarac/archive/care"
	"sandarac/archive/consent"
)

// kind is the care of all plates of one make. Without a support it is what
// holds for every plate of a gallery that has several makes.
type kind struct {
	Support   string `json:"support,omitempty"`
	Varnished bool   `json:"varnished"`
	Lines     []line `json:"lines"`
}

// line has a key where the page may say it in its own language; the text is
// English then, for readers that are not the page.
type line struct {
	Key    string `json:"key,omitempty"`
	Text   string `json:"text"`
	Source string `json:"source,omitempty"`
}

// unknown stands for a support that the record does not give.
const unknown = "unknown"

// careOf gives the care lines of a gallery's plates. What all its kinds of
// plate have in common is said once, in front.
func careOf(g consent.Gallery, plates []plate) []kind {
	var kinds []kind
	for _, p := range plates {
		varnished := p.Varnished != ""
		if slices.ContainsFunc(kinds, func(k kind) bool { return k.Support == cmp.Or(p.Support, unknown) && k.Varnished == varnished }) {
			continue
		}
		k := kind{Support: cmp.Or(p.Support, unknown), Varnished: varnished}
		for _, l := range care.Lines(p.Support, varnished, g.Care) {
			k.Lines = append(k.Lines, line(l))
		}
		kinds = append(kinds, k)
	}
	if len(kinds) < 2 {
		return kinds
	}
	isCommon := func(l line) bool {
		return !slices.ContainsFunc(kinds, func(k kind) bool { return !slices.Contains(k.Lines, l) })
	}
	common := kind{Varnished: true, Lines: []line{}}
	for _, l := range kinds[0].Lines {
		if isCommon(l) {
			common.Lines = append(common.Lines, l)
		}
	}
	out := []kind{common}
	for _, k := range kinds {
		k.Lines = slices.DeleteFunc(k.Lines, func(l line) bool { return slices.Contains(common.Lines, l) })
		out = append(out, k)
	}
	return out
}
