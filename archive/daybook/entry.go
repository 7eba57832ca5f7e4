package daybook

import (
	"maps"
	"slices"
	"strings"
	"time"

	"sandarac/archive/record"
)

// Entry is a plate on its way into a record. Its values are those that a record
// may hold: Set refuses all others.
type Entry struct {
	zone   *time.Location
	values map[string]Value
	// People are who is in it. PeopleGiven tells "nobody" from "not said".
	People      []Person
	PeopleGiven bool
	Notes       string // below the front matter

	own map[string]string // the photographer's x_ keys by path
}

// NewEntry is an empty entry whose local times are in a zone.
func NewEntry(zone *time.Location) *Entry {
	if zone == nil {
		zone = time.UTC
	}
	return &Entry{zone: zone, values: map[string]Value{}, own: map[string]string{}}
}

// Set writes a value, as people write it, under a key: a path, a short name, an
// own key (x_…), "sitters" or "notes". Empty text takes the key out. Of format
// and size_mm, and of magnification and extension_mm, the last one set stands.
// The error is a *Refusal.
func (e *Entry) Set(name, text string) error {
	switch {
	case name == "notes":
		return e.setNotes(text)
	case name == "sitters":
		return e.setPeople(text)
	case IsOwn(name):
		s, err := cleanText(name, text)
		if err == nil && s == "" {
			delete(e.own, name)
		} else if err == nil {
			e.own[name] = s
		}
		return err
	}
	k, ok := KeyOf(name)
	if !ok {
		return refuse(name, text, "a key of the plate record: "+strings.Join(paths(), ", ")+", sitters, notes, or an own key that begins with x_")
	}
	if strings.TrimSpace(text) == "" {
		delete(e.values, k.Path)
		return nil
	}
	v, err := k.Normal(text, e.zone)
	if err != nil {
		return err
	}
	e.put(k.Path, v)
	return nil
}

// SetList writes a list as it is, without reading signs in its texts.
func (e *Entry) SetList(name string, items []string) error {
	k, ok := KeyOf(name)
	if !ok || k.Kind != List {
		return refuse(name, FormatList(items), "a key that holds a list")
	}
	v, err := k.Normal(jsonList(items), e.zone)
	if err != nil {
		return err
	}
	e.put(k.Path, v)
	return nil
}

func (e *Entry) put(path string, v Value) {
	e.values[path] = v
	for _, pair := range [][2]string{{"format", "size_mm"}, {"exposure.magnification", "exposure.extension_mm"}} {
		switch path {
		case pair[0]:
			delete(e.values, pair[1])
		case pair[1]:
			delete(e.values, pair[0])
		}
	}
}

// Text is a value as text, "" if the key is not there.
func (e *Entry) Text(name string) string {
	if name == "notes" {
		return e.Notes
	}
	if name == "sitters" {
		return FormatPeople(e.People, e.PeopleGiven)
	}
	if IsOwn(name) {
		return e.own[name]
	}
	k, _ := KeyOf(name)
	v, ok := e.values[k.Path]
	if ok && k.Kind == List {
		return FormatList(v.List)
	}
	return v.Text
}

// Has reports whether a key is there.
func (e *Entry) Has(name string) bool {
	if name == "sitters" {
		return e.PeopleGiven
	}
	k, _ := KeyOf(name)
	_, ok := e.values[k.Path]
	return ok
}

// Paths lists the keys that are there, in the order of the record.
func (e *Entry) Paths() []string {
	var out []string
	for _, k := range Keys {
		if _, ok := e.values[k.Path]; ok {
			out = append(out, k.Path)
		}
	}
	return out
}

// Own lists the own keys that are there.
func (e *Entry) Own() []string { return slices.Sorted(maps.Keys(e.own)) }

// ID is the plate's id.
func (e *Entry) ID() string { return e.values["plate"].Text }

// Made is when the plate was made, and whether the hour is known; zero if it is
// not said.
func (e *Entry) Made() (t time.Time, timed bool) {
	v, ok := e.values["made"]
	if !ok {
		return time.Time{}, false
	}
	t, timed, err := ParseMoment(v.Text, e.zone)
	if err != nil {
		return time.Time{}, false
	}
	return t, timed
}

// Day is the day the plate was made.
func (e *Entry) Day() record.Date {
	t, _ := e.Made()
	if t.IsZero() {
		return record.Date{}
	}
	return record.DateOf(t)
}

// Clone is a copy that shares nothing.
func (e *Entry) Clone() *Entry {
	c := *e
	c.values, c.own = maps.Clone(e.values), maps.Clone(e.own)
	for path, v := range c.values {
		if v.List != nil {
			v.List = append([]string{}, v.List...)
			c.values[path] = v
		}
	}
	c.People = slices.Clone(e.People)
	return &c
}

// Equal reports whether two entries would make the same record.
func (e *Entry) Equal(f *Entry) bool {
	same := func(v, w Value) bool {
		return v.Text == w.Text && (v.List == nil) == (w.List == nil) && slices.Equal(v.List, w.List)
	}
	return maps.EqualFunc(e.values, f.values, same) && maps.Equal(e.own, f.own) &&
		e.PeopleGiven == f.PeopleGiven && slices.EqualFunc(e.People, f.People, Person.equal) && e.Notes == f.Notes
}

// notesMost bounds notes, in bytes.
const notesMost = 256 << 10

func (e *Entry) setNotes(text string) error {
	if len(text) > notesMost {
		return refuse("notes", text, "at most 256 KB of notes")
	}
	s := strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	s = strings.TrimSpace(s)
	for _, c := range s {
		if c < ' ' && c != '\n' && c != '\t' || c == 0x7f || c == 0xfffd {
			return refuse("notes", s, "text in UTF-8 without control characters")
		}
	}
	e.Notes = s
	return nil
}

// Keep takes a value out of a key that may not hold it and keeps it as an own
// key of the same group, so that nothing is lost: exposure.seconds becomes
// exposure.x_seconds. If that key is taken, the value goes into the notes.
func (e *Entry) Keep(key, text string) error {
	delete(e.values, key)
	if key == "sitters" {
		e.People, e.PeopleGiven = nil, false
	}
	group, name := splitPath(key)
	own := "x_" + name
	if group != "" {
		own = group + ".x_" + name
	}
	if !IsOwn(own) || e.own[own] != "" {
		return e.AddNote(key + ": " + text)
	}
	return e.Set(own, text)
}

// AddNote puts a line below the notes.
func (e *Entry) AddNote(line string) error {
	if e.Notes == "" {
		return e.setNotes(line)
	}
	return e.setNotes(e.Notes + "\n\n" + line)
}

func paths() []string {
	var out []string
	for _, k := range Keys {
		out = append(out, k.Path)
	}
	return out
}
