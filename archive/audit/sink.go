package audit

import (
	"fmt"
	"strings"
	"sync"

	"sandarac/archive/finding"
)

// Codes of the findings.
const (
	codeSecret  = "audit-secret"
	codeRelease = "audit-release"
	codeKind    = "audit-kind"
	codeLink    = "audit-link"
	codeSealed  = "audit-sealed"
	codeMeta    = "audit-metadata"
	codePicture = "audit-picture"
)

var codeOf = map[Kind]string{
	Name: "audit-name", Email: "audit-email", Note: "audit-note", Title: "audit-title",
	Plate: "audit-plate", Person: "audit-id", File: "audit-file", Secret: codeSecret,
}

// most is how many files are named for one and the same thing.
const most = 12

// sink gathers findings from all workers.
type sink struct {
	mu     sync.Mutex
	things []Thing
	found  []finding.Finding
	count  map[string]int
	last   map[string]int // place in found of the last finding for a thing
}

func newSink(s *searcher) *sink {
	return &sink{things: s.things, count: map[string]int{}, last: map[string]int{}}
}

// add takes a finding. All of the audit's are errors.
func (s *sink) add(f finding.Finding) {
	f.Severity = finding.Error
	s.mu.Lock()
	defer s.mu.Unlock()
	s.found = append(s.found, f)
}

// hit makes a finding of a hit. A thing that stands in very many files is named
// for the first of them only.
func (s *sink) hit(file string, h hit) {
	f := finding.Finding{Severity: finding.Error, Code: h.code, File: file, Line: h.line, Message: h.message}
	key := h.code + h.message
	if h.thing >= 0 {
		thing := s.things[h.thing]
		f.Message, f.Remedy, f.Plate = thing.says(), thing.remedy(), thing.Plate
		key = h.code + string(thing.Kind) + thing.Text
	}
	if h.form != "" {
		f.Message += " (" + h.form + ")"
	}
	if f.Remedy == "" {
		f.Remedy = remedyUnknown
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.count[key]++; s.count[key] <= most {
		s.last[key] = len(s.found)
		s.found = append(s.found, f)
	}
}

// findings gives all, sorted.
func (s *sink) findings() []finding.Finding {
	for key, n := range s.count {
		if n > most {
			s.found[s.last[key]].Message += fmt.Sprintf("; and in %d more files", n-most)
		}
	}
	finding.Sort(s.found)
	return s.found
}

const remedyUnknown = "the site was not replaced; if nothing in the archive explains it, report it as a fault of this program"

// says is what is wrong, for the photographer's eyes. Secrets are never printed.
func (t Thing) says() string {
	switch t.Kind {
	case Name:
		return fmt.Sprintf("the name “%s” stands here, and who bears it did not agree to be named in public", t.Text)
	case Email:
		return fmt.Sprintf("the email address %s of a client stands here", t.Text)
	case Note:
		return fmt.Sprintf("words of a private note stand here: “%s”", shortened(t.Text))
	case Title:
		return fmt.Sprintf("the words “%s” of an unpublished plate stand here", shortened(t.Text))
	case Plate:
		return fmt.Sprintf("the id “%s” of an unpublished plate stands here", t.Text)
	case Person:
		return fmt.Sprintf("the id “%s” of a client or of a sitter who may not be named stands here", t.Text)
	case File:
		return fmt.Sprintf("the file name “%s” of the archive stands here", t.Text)
	}
	what := t.What
	if what == "" {
		what = "a secret"
	}
	return what + " stands here"
}

func (t Thing) remedy() string {
	switch t.Kind {
	case Name:
		return "take the name out of titles, tags, light and studio texts of published plates, or record that they agreed"
	case Email:
		return "take the address out of the texts of published plates and of the studio record"
	case Note, Title:
		return "say it otherwise on the published plate, or take it out of the note"
	case Plate, Person:
		return "take the id out of the texts of published plates; if it is a word of them, give it another id"
	case File:
		return "take the name out of the texts of published plates"
	}
	return "the site was not replaced. If these bytes ever were published, raise the generation of the gallery, or make a new secret, before anything else"
}

// shortened gives the beginning of a text in one line.
func shortened(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	if r := []rune(text); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return text
}
