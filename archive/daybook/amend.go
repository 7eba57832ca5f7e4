package daybook

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"

	"sandarac/archive/record"
	"sandarac/archive/swap"
)

// Later is what is said of a plate after its record was written: how it was
// judged, when it was varnished.
type Later struct {
	Changes []LaterChange
	Notes   string // a paragraph to add below the notes
}

// LaterChange is one key's new value. Was is the value that whoever asked had
// seen; where the record holds neither that nor the new one, somebody changed it
// meanwhile and the change is refused. Nil takes whatever is there.
type LaterChange struct {
	Key, Text string
	Was       *string
}

// Amendment is a record with what was said later written into it. Keys that were
// not named, their order, comments, line ends and notes are as they were.
type Amendment struct {
	ID, File      string
	Before, After []byte
	Changed       []string // paths of keys, "notes"; none if the record said so already
	Was, Is       []string // their values as texts, "" for none
}

// Amend writes what was said later into the record of a plate, as the file is on
// the disk now. It changes nothing there: Apply does. The errors are *Refusal.
func (b *Book) Amend(id string, l Later) (*Amendment, []error) {
	p, ok := b.Archive.Plate(id)
	if !ok {
		return nil, []error{refuse("plate", id, b.likeID(id))}
	}
	data, err := os.ReadFile(b.Archive.Path(p.File))
	if err != nil {
		return nil, []error{refuse("plate", id, p.File+", which cannot be read now: "+reasonOf(err))}
	}
	now, faults, err := b.Archive.PlateOf(p.File, data)
	switch {
	case err != nil:
		return nil, []error{refuse("plate", id, p.File+" as a record, but "+err.Error()+": mend it first (check says how)")}
	case len(faults) > 0:
		f := faults[0]
		return nil, []error{refuse("plate", id, fmt.Sprintf("a record without errors; %s:%d: %s (%s): mend it first", p.File, f.Line, f.Message, f.Remedy))}
	case now.ID != id:
		return nil, []error{refuse("plate", id, p.File+" holds the plate "+now.ID+" now")}
	}
	return b.amend(now, data, l)
}

func (b *Book) amend(p *record.Plate, data []byte, l Later) (*Amendment, []error) {
	out := &Amendment{ID: p.ID, File: p.File, Before: data, After: data}
	before := Of(b.Archive, p)
	want := before.Clone()
	var errs []error
	for _, c := range l.Changes {
		path, err := want.later(c)
		switch {
		case err != nil:
			errs = append(errs, err)
		case path != "":
			out.Changed = append(out.Changed, path)
		}
	}
	note := paragraph(l.Notes)
	if note != "" && !strings.Contains("\n\n"+want.Notes+"\n\n", "\n\n"+note+"\n\n") {
		if err := want.AddNote(note); err != nil {
			errs = append(errs, err)
		}
		out.Changed = append(out.Changed, "notes")
	}
	if len(errs) == 0 && len(out.Changed) > 0 {
		errs = b.judgeLater(p, want, out.Changed)
	}
	if len(errs) > 0 || len(out.Changed) == 0 {
		return out, errs
	}
	after, err := inPlace(data, want, out.Changed, note)
	if err == nil {
		err = b.same(p, data, after, want, out.Changed)
	}
	if err != nil {
		return out, []error{refuse("plate", p.ID, fmt.Sprintf("a record in which this can be changed in place; in %s it cannot (%v), so write by hand: %s", p.File, err, byHand(want, out.Changed)))}
	}
	out.After = after
	for _, path := range out.Changed {
		out.Was, out.Is = append(out.Was, before.Text(path)), append(out.Is, want.Text(path))
	}
	return out, nil
}

// paragraph is a note as it is put below others. A rule of dashes would read as
// the end of the record: it is written with spaces, the same rule in Markdown.
func paragraph(note string) string {
	lines := strings.Split(strings.TrimSpace(strings.ReplaceAll(note, "\r\n", "\n")), "\n")
	for i, l := range lines {
		if strings.TrimSpace(l) == "---" {
			lines[i] = "- - -"
		}
	}
	return strings.Join(lines, "\n")
}

// later sets one value and gives the key's path; "" if the record says so
// already.
func (e *Entry) later(c LaterChange) (path string, err error) {
	k, ok := KeyOf(c.Key)
	switch {
	case !ok || k.Path == "plate" || k.Path == "scans":
		return "", refuse(c.Key, c.Text, "a key that is said later, such as varnished, judged, outcome or flaws; who is in a plate, its id and its scans are changed in the record itself")
	case k.Path == "format" && e.Has("size_mm") || k.Path == "size_mm" && e.Has("format"):
		return "", refuse(c.Key, c.Text, "the key that the record has, format or size_mm: change it there")
	}
	was := e.Text(k.Path)
	if err := e.Set(k.Path, c.Text); err != nil {
		return "", err
	}
	if k.Kind == List && strings.TrimSpace(c.Text) == "" && was != "" {
		e.values[k.Path] = Value{List: []string{}}
	}
	is := e.Text(k.Path)
	if same(k, was, is) {
		return "", nil
	}
	if c.Was != nil {
		seen := *c.Was
		if v, err := k.Normal(seen, e.zone); err == nil && k.Kind != List {
			seen = v.Text // a device has the time with its zone
		}
		if !same(k, was, seen) {
			return "", refuse(k.Path, orNothing(was), orNothing(seen)+", as it was when you looked: the record was changed meanwhile; look again and choose")
		}
	}
	return k.Path, nil
}

func orNothing(s string) string {
	if s == "" {
		return "nothing"
	}
	return s
}

// same compares two values of a key as texts; a list's order says nothing.
func same(k Key, a, b string) bool {
	if k.Kind != List {
		return a == b
	}
	x, err1 := ParseList(a)
	y, err2 := ParseList(b)
	slices.Sort(x)
	slices.Sort(y)
	return err1 == nil && err2 == nil && slices.Equal(x, y)
}

// judgeLater refuses what check would call an error, as far as it is about what
// was changed: what the record said before is not this change's to mend.
func (b *Book) judgeLater(p *record.Plate, want *Entry, changed []string) []error {
	d := &Draft{Entry: want.Clone(), File: p.File}
	delete(d.values, "scans")
	var out []error
	for _, err := range b.Judge(d) {
		var r *Refusal
		if errors.As(err, &r) && !slices.Contains(changed, r.Key) && !(r.Key == "batches.varnish" && slices.Contains(changed, "varnished")) {
			continue
		}
		out = append(out, err)
	}
	return out
}

// same reads the changed record back: it holds what was wanted, and nothing else
// of it is different.
func (b *Book) same(p *record.Plate, before, after []byte, want *Entry, changed []string) error {
	paths, err := record.Differences(before, after)
	if err != nil {
		return err
	}
	for _, path := range paths {
		name := path
		if name == "" {
			name = "notes"
		}
		// A group that held nothing is not nothing any more.
		opened := slices.ContainsFunc(changed, func(c string) bool { return strings.HasPrefix(c, name+".") })
		if !opened && !slices.Contains(changed, name) {
			return fmt.Errorf("%s would change too", name)
		}
	}
	q, faults, err := b.Archive.PlateOf(p.File, after)
	if err != nil {
		return err
	}
	if len(faults) > 0 {
		return errors.New(faults[0].Message)
	}
	got := Of(b.Archive, q)
	for _, path := range changed {
		if k, _ := KeyOf(path); path != "notes" && !same(k, got.Text(path), want.Text(path)) {
			return fmt.Errorf("%s would read as %s", path, orNothing(got.Text(path)))
		}
	}
	if slices.Contains(changed, "notes") && got.Notes != want.Notes {
		return errors.New("the notes would read otherwise")
	}
	return nil
}

// byHand is what somebody is to write into the record.
func byHand(e *Entry, changed []string) string {
	var out []string
	for _, path := range changed {
		if path == "notes" {
			out = append(out, "the note below the keys")
			continue
		}
		k, _ := KeyOf(path)
		group, name := splitPath(path)
		line := name + ": " + e.written(k, e.values[path])
		if group != "" {
			line = group + ": {" + line + "}"
		}
		out = append(out, line)
	}
	return strings.Join(out, "; ")
}

// likeID says what ids there are.
func (b *Book) likeID(id string) string {
	var ids []string
	for _, p := range b.Archive.Plates {
		if fold(p.ID) == fold(id) {
			return "the id as the record has it, " + p.ID
		}
		ids = append(ids, p.ID)
	}
	says := among("plates", ids)
	if len(b.Archive.Unreadable) > 0 {
		says += " (some records cannot be read: check says which)"
	}
	return says
}

func reasonOf(err error) string {
	if why, _ := swap.Reason(err); why != "" {
		return why
	}
	if errors.Is(err, os.ErrNotExist) {
		return "it is not there any more"
	}
	return "the system does not give it"
}

// Apply puts an amended record in the place of the one it was made from. If that
// was edited meanwhile, errors.Is(err, swap.ErrChanged) holds and nothing was
// written: amend it anew. The lock of Lock is held.
func (b *Book) Apply(a *Amendment) error {
	if len(a.Changed) == 0 {
		return nil
	}
	return swap.ReplaceIf(b.Archive.Path(a.File), a.Before, a.After)
}
