package daybook

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"sandarac/archive/record"
)

// blockMost bounds the keys of one record, in bytes, under what record reads.
const blockMost = 250 << 10

// ErrTooLong says that an entry holds more than a record may.
var ErrTooLong = errors.New("the record's keys would fill more than 250 KB")

// Markdown writes an entry as a plate record: YAML front matter with keys in
// the order of Keys, then the notes.
func (e *Entry) Markdown() ([]byte, error) {
	var b strings.Builder
	b.WriteString("---\n")
	done := map[string]bool{}
	for i, k := range Keys {
		if group, _ := splitPath(k.Path); group != "" {
			if !done[group] {
				done[group] = true
				e.writeGroup(&b, group, i)
			}
			continue
		}
		if v, ok := e.values[k.Path]; ok {
			fmt.Fprintf(&b, "%s: %s\n", k.Path, e.written(k, v))
		}
		if k.Path == "flaws" {
			e.writePeople(&b)
		}
	}
	for _, own := range e.Own() {
		if group, name := splitPath(own); group == "" {
			fmt.Fprintf(&b, "%s: %s\n", name, ownScalar(e.own[own]))
		}
	}
	if b.Len() > blockMost {
		return nil, ErrTooLong
	}
	b.WriteString("---\n")
	b.WriteString(body(e.Notes))
	return []byte(b.String()), nil
}

// writeGroup writes a group with the keys that are there; from is the index of
// its first key.
func (e *Entry) writeGroup(b *strings.Builder, group string, from int) {
	var lines []string
	for _, k := range Keys[from:] {
		g, name := splitPath(k.Path)
		if v, ok := e.values[k.Path]; ok && g == group {
			lines = append(lines, name+": "+e.written(k, v))
		}
	}
	for _, own := range e.Own() {
		if g, name := splitPath(own); g == group {
			lines = append(lines, name+": "+ownScalar(e.own[own]))
		}
	}
	if len(lines) == 0 {
		return
	}
	fmt.Fprintf(b, "%s:\n  %s\n", group, strings.Join(lines, "\n  "))
}

func (e *Entry) written(k Key, v Value) string {
	switch k.Kind {
	case List:
		return flow(v.List)
	case Number, Truth, Moment:
		return v.Text
	case Size:
		return "[" + strings.ReplaceAll(v.Text, " x ", ", ") + "]"
	}
	return scalar(v.Text)
}

// ownScalar writes an own key's value; an empty one is text, not nothing.
func ownScalar(s string) string { return scalar(s) }

func (e *Entry) writePeople(b *strings.Builder) {
	if !e.PeopleGiven {
		return
	}
	if len(e.People) == 0 {
		b.WriteString("sitters: []\n")
		return
	}
	b.WriteString("sitters:\n")
	for _, p := range e.People {
		lines := p.lines()
		fmt.Fprintf(b, "  - %s\n", strings.Join(lines, "\n    "))
	}
}

// lines are a person's keys, as they stand in a plate's record or alone.
func (p Person) lines() []string {
	var out []string
	if p.Ref != "" {
		out = append(out, "sitter: "+scalar(p.Ref))
	}
	if p.Name != "" {
		out = append(out, "name: "+scalar(p.Name))
	}
	if p.HasConsent {
		out = append(out, "consent:")
		for _, l := range consentLines(p.Consent) {
			out = append(out, "  "+l)
		}
		for _, key := range slices.Sorted(maps.Keys(p.own)) {
			if name, ok := strings.CutPrefix(key, "consent."); ok {
				out = append(out, "  "+name+": "+scalar(p.own[key]))
			}
		}
	}
	if p.Guardian != "" {
		out = append(out, "guardian: "+scalar(p.Guardian))
	}
	for _, key := range slices.Sorted(maps.Keys(p.own)) {
		if !strings.HasPrefix(key, "consent.") {
			out = append(out, key+": "+scalar(p.own[key]))
		}
	}
	return out
}

func consentLines(c record.Consent) []string {
	out := []string{
		fmt.Sprintf("portfolio: %v", c.Portfolio),
		fmt.Sprintf("name: %v", c.Name),
		fmt.Sprintf("promotion: %v", c.Promotion),
	}
	for _, d := range []struct {
		key string
		day record.Date
	}{{"given", c.Given}, {"until", c.Until}, {"withdrawn", c.Withdrawn}} {
		if !d.day.IsZero() {
			out = append(out, d.key+": "+d.day.String())
		}
	}
	if c.Minor {
		out = append(out, "minor: true")
	}
	if c.Release != "" {
		out = append(out, "release: "+c.Release)
	}
	return out
}

// body writes notes below the front matter. A rule of dashes in notes that
// begin like a key would read as the end of the record: it is written with
// spaces, which is the same rule in Markdown.
func body(notes string) string {
	if notes == "" {
		return ""
	}
	lines := strings.Split(notes, "\n")
	if strings.Contains(lines[0], ":") || strings.Contains(notes, "\n---") {
		for i, l := range lines {
			if strings.TrimRight(l, " \t") == "---" {
				lines[i] = "- - -"
			}
		}
	}
	return "\n" + strings.Join(lines, "\n") + "\n"
}

// Body writes the notes as they stand below the front matter.
func (e *Entry) Body() string { return body(e.Notes) }
