package bench

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"sandarac/archive/daybook"
	"sandarac/archive/record"
)

// PlateEntry is a plate as the form sends it.
type PlateEntry struct {
	ID     string            `json:"id"`     // made on the device, once
	Values map[string]string `json:"values"` // by key of the plate record
	People []EntryPerson     `json:"people,omitempty"`
	Nobody bool              `json:"nobody,omitempty"` // there is nobody in it
	Notes  string            `json:"notes,omitempty"`
}

// EntryPerson is one person in a plate: a sitter of the archive, somebody whose
// consent the form took (and may not have sent yet when the plate was made), or
// a name.
type EntryPerson struct {
	ID    string `json:"id,omitempty"`
	Entry string `json:"entry,omitempty"`
	Name  string `json:"name,omitempty"`
}

// ConsentEntry is what one person said when the words were read to them.
type ConsentEntry struct {
	ID        string            `json:"id"`
	At        string            `json:"at"` // RFC 3339
	Name      string            `json:"name"`
	Guardian  string            `json:"guardian,omitempty"`
	Minor     bool              `json:"minor,omitempty"`
	Portfolio bool              `json:"portfolio,omitempty"`
	ShowName  bool              `json:"show_name,omitempty"`
	Promotion bool              `json:"promotion,omitempty"`
	Until     string            `json:"until,omitempty"`
	Signature daybook.Signature `json:"signature"`
}

// ChangeEntry is what is said of a plate after its record was written: when it
// was varnished, how it was judged.
type ChangeEntry struct {
	ID     string            `json:"id"`
	Plate  string            `json:"plate,omitempty"` // the plate's id,
	Of     string            `json:"of,omitempty"`    // or the entry that it was sent as
	Values map[string]string `json:"values"`
	Was    map[string]string `json:"was,omitempty"` // the values that the device showed; without one, nothing
	Notes  string            `json:"notes,omitempty"`
}

// Answer says what became of an entry.
type Answer struct {
	ID      string   `json:"id"`
	Result  string   `json:"result"` // id of the plate or the sitter
	File    string   `json:"file"`
	Again   bool     `json:"again,omitempty"` // it had been sent before
	Remarks []string `json:"remarks,omitempty"`
}

// Refused is an entry that may not become a record as it is. The device keeps it.
type Refused struct{ Reasons []*daybook.Refusal }

func (r *Refused) Error() string {
	var out []string
	for _, reason := range r.Reasons {
		out = append(out, reason.Error())
	}
	return strings.Join(out, "; ")
}

// errMalformed is what is no entry at all.
var errMalformed = errors.New("this is not an entry of the form")

// errConflict is an id that stands for another entry already.
var errConflict = errors.New("another entry was sent under this id")

// decodeEntry reads exactly one JSON value into an entry, with no key that the
// form does not send.
func decodeEntry(data []byte, to any) error {
	in := json.NewDecoder(bytes.NewReader(data))
	in.DisallowUnknownFields()
	if err := in.Decode(to); err != nil {
		return fmt.Errorf("%w: %v", errMalformed, err)
	}
	if _, err := in.Token(); !errors.Is(err, io.EOF) {
		return fmt.Errorf("%w: something follows it", errMalformed)
	}
	return nil
}

// refusedBy gathers refusals; other errors stay errors.
func refusedBy(errs []error) error {
	out := &Refused{}
	for _, err := range errs {
		var r *daybook.Refusal
		if !errors.As(err, &r) {
			return err
		}
		out.Reasons = append(out.Reasons, r)
	}
	if len(out.Reasons) == 0 {
		return nil
	}
	return out
}

// draft composes the plate of an entry. Nothing is carried over here: the form
// shows what it carries, and sends it. The errors of values come first, so that
// all of them are told at once.
func (l *Logbook) draft(e *PlateEntry) (*daybook.Draft, []string, error) {
	d := &daybook.Draft{Entry: l.book.Entry()}
	var errs []error
	var remarks []string
	for _, key := range sortedKeys(e.Values) {
		if key == "plate" || key == "scans" || key == "sitters" || key == "notes" {
			errs = append(errs, &daybook.Refusal{Key: key, Found: daybook.Clip(e.Values[key]), Accepted: "nothing from the form: the archive gives it"})
			continue
		}
		if err := d.Set(key, e.Values[key]); err != nil {
			errs = append(errs, err)
		}
	}
	if err := d.Set("notes", e.Notes); err != nil {
		errs = append(errs, err)
	}
	people, said, err := l.people(e)
	if err != nil {
		errs = append(errs, err)
	}
	d.People, d.PeopleGiven = people, len(people) > 0 || e.Nobody
	remarks = append(remarks, said...)
	if len(errs) == 0 && d.Has("made") {
		if err := l.book.Place(d, ""); err != nil {
			errs = append(errs, err)
		}
	}
	errs = append(errs, l.book.Judge(d)...)
	return d, remarks, refusedBy(errs)
}

// peopleMost is how many people one plate may hold.
const peopleMost = 60

func (l *Logbook) people(e *PlateEntry) (out []daybook.Person, remarks []string, err error) {
	if len(e.People) > peopleMost || e.Nobody && len(e.People) > 0 {
		return nil, nil, &daybook.Refusal{Key: "sitters", Found: fmt.Sprintf("%d people", len(e.People)), Accepted: fmt.Sprintf("up to %d people, or nobody", peopleMost)}
	}
	for _, p := range e.People {
		switch {
		case p.Entry != "":
			if sitter, done, err := l.journal.Find(p.Entry); err == nil && done && sitter.Kind == "consent" {
				out = append(out, daybook.Person{Ref: sitter.Result})
				continue
			}
			// The consent did not arrive: the person is in the plate and agreed to nothing.
			remarks = append(remarks, fmt.Sprintf("no consent of %s has arrived: written by name, and not shown", daybook.Clip(p.Name)))
			out = append(out, daybook.Person{Name: strings.Join(strings.Fields(p.Name), " ")})
		case p.ID != "":
			out = append(out, daybook.Person{Ref: p.ID})
		default:
			out = append(out, daybook.Person{Name: strings.Join(strings.Fields(p.Name), " ")})
		}
	}
	check := l.book.Entry()
	if len(out) > 0 {
		err = check.Set("sitters", daybook.FormatPeople(out, true))
	}
	return check.People, remarks, err
}

// agreement reads a consent entry.
func (l *Logbook) agreement(e *ConsentEntry) (daybook.Agreement, error) {
	zone := l.book.Archive.Studio.Zone
	at, err := time.Parse(time.RFC3339, e.At)
	if err != nil {
		return daybook.Agreement{}, &daybook.Refusal{Key: "at", Found: daybook.Clip(e.At), Accepted: "a time such as 2026-05-03T10:20:00+02:00"}
	}
	a := daybook.Agreement{Name: e.Name, Guardian: e.Guardian, Signature: e.Signature, At: at.In(zone), Language: l.book.Archive.Studio.Language,
		Consent: record.Consent{Portfolio: e.Portfolio, Name: e.ShowName, Promotion: e.Promotion, Minor: e.Minor}}
	if e.Until != "" {
		if a.Consent.Until, err = record.ParseDate(e.Until); err != nil {
			return a, &daybook.Refusal{Key: "until", Found: daybook.Clip(e.Until), Accepted: "a day such as 2030-05-03"}
		}
	}
	return a, nil
}

func sortedKeys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
