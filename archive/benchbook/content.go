package benchbook

import (
	"encoding/json"
	"fmt"
	"strings"
)

// page is one content file: keys of ours only, all data under params.
type page struct {
	Title  string     `json:"title"`
	Layout string     `json:"layout,omitempty"`
	Weight int        `json:"weight,omitempty"`
	Build  *rendering `json:"build,omitempty"`
	Batch  []string   `json:"batches,omitempty"`
	Client []string   `json:"clients,omitempty"`
	Params any        `json:"params,omitempty"`

	notes string // a person's Markdown
}

type rendering struct {
	Render string `json:"render"`
	List   string `json:"list"`
}

// content writes a content file, name without its ending.
func (s *stage) content(name string, p page) error {
	head, err := json.Marshal(p)
	if err != nil {
		return fmt.Errorf("page %s: %w", name, err)
	}
	text := string(head) + "\n"
	if p.notes != "" {
		text += "\n" + withoutShortcodes(p.notes) + "\n"
	}
	return s.write("content/"+name+".md", []byte(text))
}

// withoutShortcodes keeps {{ in notes from being taken for a shortcode, which
// would stop the build: a word joiner, which has no width, goes between the
// braces. It works inside code spans too, where an entity would show.
func withoutShortcodes(markdown string) string {
	markdown = strings.ToValidUTF8(markdown, "\ufffd")
	for strings.Contains(markdown, "{{") { // three braces are two and two again
		markdown = strings.ReplaceAll(markdown, "{{", "{\u2060{")
	}
	return markdown
}

// series writes a list over as many pages as it takes, size entries each, so
// that no page grows with the archive: at base, base/2, base/3 … make gives the
// page that holds the entries from lo up to hi.
func (s *stage) series(base string, n, size int, make func(lo, hi int, at turn) page) error {
	pages := max(1, (n+size-1)/size)
	for i := range pages {
		at := turn{Page: i + 1, Pages: pages}
		if i > 0 {
			at.Prev = seriesPath(base, i)
		}
		if i+1 < pages {
			at.Next = seriesPath(base, i+2)
		}
		p := make(i*size, min(n, (i+1)*size), at)
		if i > 0 {
			p.Title = fmt.Sprintf("%s, page %d", p.Title, i+1)
		}
		if err := s.content(strings.TrimSuffix(seriesPath(base, i+1), "/"), p); err != nil {
			return err
		}
	}
	return nil
}

func seriesPath(base string, page int) string {
	if page == 1 {
		return base + "/"
	}
	return fmt.Sprintf("%s-%d/", base, page)
}

// turn is the place of a page in its series.
type turn struct {
	Page  int    `json:"page"`
	Pages int    `json:"pages"`
	Prev  string `json:"prev,omitempty"`
	Next  string `json:"next,omitempty"`
}
