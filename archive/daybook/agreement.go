package daybook

import (
	"fmt"
	"path"
	"slices"
	"strings"
	"time"

	"sandarac/archive/record"
)

// Agreement is what one person said when the words were read to them.
type Agreement struct {
	Name      string
	Guardian  string // who decided with them, for somebody under age
	Consent   record.Consent
	Signature Signature
	At        time.Time
	Language  string
}

// SitterDraft is a sitter's record and the private file of their signature, each
// with its place.
type SitterDraft struct {
	ID        string
	File      string
	Data      []byte
	Signature string // its file, "" without one
	Signed    []byte
	sitter    *record.Sitter
}

// Sitter makes the record of somebody who agreed, or did not, at the shoot. It
// refuses what could not be relied on later: a yes without a signature, somebody
// under age without a guardian. The errors are *Refusal.
func (b *Book) Sitter(a Agreement) (*SitterDraft, []error) {
	var errs []error
	text := func(key, s string) string {
		clean, err := cleanText(key, strings.Join(strings.Fields(s), " "))
		if err != nil {
			errs = append(errs, err)
		}
		if len([]rune(clean)) > 200 {
			errs = append(errs, refuse(key, clean, "a name of at most 200 letters"))
		}
		return clean
	}
	p := Person{Name: text("name", a.Name), Guardian: text("guardian", a.Guardian), Consent: a.Consent, HasConsent: true}
	day := record.DateOf(a.At)
	p.Consent.Given = day
	agreed := p.Consent.Portfolio || p.Consent.Name || p.Consent.Promotion
	switch {
	case p.Name == "":
		errs = append(errs, refuse("name", "nothing", "the person's name; it is shown only if they agree to that"))
	case p.Consent.Minor && p.Guardian == "":
		errs = append(errs, refuse("guardian", "nothing", "the name of the parent or guardian who agreed for somebody under age"))
	case agreed && a.Signature.empty():
		errs = append(errs, refuse("signature", "nothing", "a signature, typed or drawn, wherever something was agreed to"))
	case day.After(b.Today.AddDays(1)):
		errs = append(errs, refuse("given", day.String(), "a day that has come (today is "+b.Today.String()+")"))
	case !p.Consent.Until.IsZero() && p.Consent.Until.Before(day):
		errs = append(errs, refuse("until", p.Consent.Until.String(), "a day after "+day.String()))
	}
	if err := a.Signature.check(); err != nil {
		errs = append(errs, err)
	}
	if len(errs) > 0 {
		return nil, errs
	}
	return b.sitterDraft(p, a), nil
}

func (b *Book) sitterDraft(p Person, a Agreement) *SitterDraft {
	d := &SitterDraft{ID: b.sitterID(p.Name)}
	d.File = path.Join(b.sitterFolder(), FileName(d.ID)+".md")
	words := ConsentWords(a.Language)
	notes := "Read aloud at the shoot on " + a.At.Format("2006-01-02 15:04") + "."
	if !a.Signature.empty() {
		d.Signature = fmt.Sprintf("%s/signatures/%s-%s", PrivateFolder, FileName(d.ID), p.Consent.Given)
		var ending string
		d.Signed, ending = a.Signature.file(append([]string{p.Name + ", " + a.At.Format("2006-01-02 15:04")}, words.statement(p.Consent)...), p)
		d.Signature += ending
		notes += " The words and the signature are in " + d.Signature + "."
	}
	lines := append([]string{"sitter: " + scalar(d.ID)}, p.lines()...)
	d.Data = []byte("---\n" + strings.Join(lines, "\n") + "\n---\n" + body(notes))
	d.sitter = &record.Sitter{ID: d.ID, Name: p.Name, Consent: p.Consent, Guardian: p.Guardian}
	d.sitter.File = d.File
	return d
}

// Know keeps a sitter as written: plates may name them, and the id is taken.
func (b *Book) Know(d *SitterDraft) { b.Archive.Sitters[d.ID], b.written = d.sitter, true }

// sitterID is an id from a name that no sitter has: two people of one name are
// two records.
func (b *Book) sitterID(name string) string {
	base := slug(name)
	for n := 1; ; n++ {
		id := base
		if n > 1 {
			id = fmt.Sprintf("%s-%d", base, n)
		}
		taken := b.exists(path.Join(b.sitterFolder(), FileName(id)+".md"))
		for other := range b.Archive.Sitters {
			taken = taken || strings.EqualFold(other, id)
		}
		if !taken {
			return id
		}
	}
}

// sitterFolder is where most of the archive's sitters are.
func (b *Book) sitterFolder() string {
	count := map[string]int{}
	for _, s := range b.Archive.Sitters {
		count[path.Dir(s.File)]++
	}
	var dirs []string
	for dir := range count {
		dirs = append(dirs, dir)
	}
	slices.Sort(dirs)
	best := "sitters"
	most := 0
	for _, dir := range dirs {
		if count[dir] > most && CheckFolder(dir) == nil {
			best, most = dir, count[dir]
		}
	}
	return best
}
