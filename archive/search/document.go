package search

import (
	"fmt"
	"net/url"
	"regexp"
	"strings"
	"unicode/utf8"
)

// MaxWeight is the heaviest a field may be.
const MaxWeight = 63

// Doc is one document: what it is found by and what its card shows.
type Doc struct {
	URL     string // address of its page, relative, unique in the index
	Title   string
	Caption string
	Date    string // day, YYYY-MM-DD, or empty
	Thumb   Thumb
	// WidthMM and HeightMM are the size of the plate in millimetres; 0 if unknown.
	WidthMM, HeightMM float64

	Fields []Field             // the text it is found by; Title and Caption only if given here too
	Facets map[string][]string // facet name to values
	Data   map[string]string   // goes on the card as data-<key>, for the style sheet
	Sort   string              // documents come in descending byte order of it, then ascending by URL
}

// Field is text with the weight of a match in it, 1 to MaxWeight.
type Field struct {
	Text   string
	Weight int
}

// Thumb is the picture on a card.
type Thumb struct {
	Src           string // address, relative
	Src2x         string // address of the same for screens of double density, or empty
	Width, Height int    // pixels of Src
	Width2x       int    // pixels of Src2x; 0 for twice those of Src
	Alt           string
}

// InputError says which document was refused and why.
type InputError struct {
	Doc     string // its URL, or its place in the list if it has none
	Problem string // what was found and what is accepted
}

func (e *InputError) Error() string { return "search index: document " + e.Doc + ": " + e.Problem }

var (
	facetName = regexp.MustCompile(`^[a-z][a-z0-9]*$`)
	dataKey   = regexp.MustCompile(`^[a-z][a-z0-9]*$`)
	day       = regexp.MustCompile(`^[0-9]{4}-[0-9]{2}-[0-9]{2}$`)
)

func (d *Doc) validate(place int) error {
	name := d.URL
	if name == "" {
		name = fmt.Sprintf("number %d", place+1)
	}
	refuse := func(format string, a ...any) error {
		return &InputError{Doc: name, Problem: fmt.Sprintf(format, a...)}
	}
	if d.URL == "" {
		return refuse("has no URL; each needs its own relative address")
	}
	for _, a := range []struct{ what, address string }{
		{"URL", d.URL}, {"Thumb.Src", d.Thumb.Src}, {"Thumb.Src2x", d.Thumb.Src2x},
	} {
		if !withinSite(a.address) {
			return refuse("%s %q is not an address within the site; accepted is a relative one without scheme or host", a.what, a.address)
		}
	}
	if d.Date != "" && !day.MatchString(d.Date) {
		return refuse("Date %q is not a day; accepted is YYYY-MM-DD", d.Date)
	}
	if d.Thumb.Width < 0 || d.Thumb.Height < 0 || d.Thumb.Width2x < 0 || !(d.WidthMM >= 0 && d.WidthMM < 1e5) || !(d.HeightMM >= 0 && d.HeightMM < 1e5) {
		return refuse("a size is negative or not a number; accepted is 0 (unknown) or more")
	}
	for _, f := range d.Fields {
		if f.Weight < 1 || f.Weight > MaxWeight {
			return refuse("a field has weight %d; accepted is 1 to %d", f.Weight, MaxWeight)
		}
	}
	for facet, values := range d.Facets {
		if !facetName.MatchString(facet) || facet == "q" {
			return refuse("facet %q cannot name a form control; accepted are lower-case letters and digits, a letter first, and not q", facet)
		}
		for _, v := range values {
			if v == "" || !utf8.ValidString(v) {
				return refuse("facet %s has the value %q; accepted is text in UTF-8 that is not empty", facet, v)
			}
		}
		if len(values) > 255 {
			return refuse("facet %s has %d values; accepted are up to 255 a document", facet, len(values))
		}
	}
	for key := range d.Data {
		if !dataKey.MatchString(key) {
			return refuse("data key %q; accepted are lower-case letters and digits, a letter first", key)
		}
	}
	return nil
}

// withinSite tells whether an address stays on the host the page came from.
func withinSite(address string) bool {
	u, err := url.Parse(address)
	return err == nil && u.Scheme == "" && u.Host == "" && !strings.HasPrefix(address, "//") &&
		!strings.ContainsAny(address, "\\\t\r\n") && utf8.ValidString(address)
}
