package benchbook

import "encoding/json"

// fact is one recorded value in words: what it is, and what was noted.
type fact struct {
	Term string
	Said []said
}

// MarshalJSON writes a fact as one flat list: its term, then text, page and soft
// words of each thing said. Hugo keeps every page's data in memory, and maps
// would take five times the room.
func (f fact) MarshalJSON() ([]byte, error) {
	flat := []string{f.Term}
	for _, w := range f.Said {
		flat = append(flat, w.Text, w.To, w.Soft)
	}
	return json.Marshal(flat)
}

// said is one word of it, with the page it leads to.
type said struct {
	Text string `json:"text"`
	To   string `json:"to,omitempty"` // from the root of the site
	Soft string `json:"soft,omitempty"`
}

// group is facts under a heading.
type group struct {
	Title string `json:"title"`
	Facts []fact `json:"facts"`
}

func (g *group) add(term string, what ...said) {
	kept := what[:0]
	for _, w := range what {
		if w.Text != "" {
			kept = append(kept, w)
		}
	}
	if len(kept) > 0 {
		g.Facts = append(g.Facts, fact{term, kept})
	}
}

func (g *group) note(term, text string) { g.add(term, said{Text: text}) }
