package daybook

import (
	"encoding/json"
	"maps"
	"strings"

	"sandarac/archive/record"
)

// Person is one sitter of a plate: the id of a sitter record, or a sitter
// written into the plate's own record.
type Person struct {
	Ref      string
	Name     string
	Guardian string
	// Consent holds if HasConsent; a person without it agreed to nothing.
	Consent    record.Consent
	HasConsent bool

	own map[string]string // own keys: "x_…", "consent.x_…"
}

func (p Person) equal(q Person) bool {
	return p.Ref == q.Ref && p.Name == q.Name && p.Guardian == q.Guardian &&
		p.Consent == q.Consent && p.HasConsent == q.HasConsent && maps.Equal(p.own, q.own)
}

// Nobody is how one says that there is nobody in a plate.
const Nobody = "nobody"

// setPeople reads who is in the plate: ids of sitter records with commas
// between, "nobody", or what FormatPeople wrote.
func (e *Entry) setPeople(text string) error {
	s, err := cleanText("sitters", text)
	if err != nil {
		return err
	}
	e.People, e.PeopleGiven = nil, false
	switch {
	case s == "":
		return nil
	case strings.EqualFold(s, Nobody) || s == "[]":
		e.PeopleGiven = true
		return nil
	case strings.HasPrefix(s, "[{"):
		return e.setWritten(s)
	}
	ids, err := ParseList(s)
	if err != nil {
		return refuse("sitters", s, acceptedPeople)
	}
	var people []Person
	for _, id := range ids {
		if !record.ValidID(id) {
			return refuse("sitters", id, acceptedPeople)
		}
		people = append(people, Person{Ref: id})
	}
	e.People, e.PeopleGiven = people, true
	return nil
}

const acceptedPeople = "ids of sitter records with commas between, or nobody"

// writtenPerson is a person written out in one cell of a table.
type writtenPerson struct {
	Sitter   string            `json:"sitter,omitempty"`
	Name     string            `json:"name,omitempty"`
	Guardian string            `json:"guardian,omitempty"`
	Consent  *writtenConsent   `json:"consent,omitempty"`
	Own      map[string]string `json:"own,omitempty"`
}

type writtenConsent struct {
	Portfolio bool   `json:"portfolio"`
	Name      bool   `json:"name"`
	Promotion bool   `json:"promotion"`
	Given     string `json:"given,omitempty"`
	Until     string `json:"until,omitempty"`
	Withdrawn string `json:"withdrawn,omitempty"`
	Minor     bool   `json:"minor,omitempty"`
	Release   string `json:"release,omitempty"`
}

// FormatPeople writes who is in a plate so that Set reads it back: ids if that
// says all, else a JSON list.
func FormatPeople(people []Person, given bool) string {
	if !given {
		return ""
	}
	if len(people) == 0 {
		return Nobody
	}
	var ids []string
	var written []writtenPerson
	plain := true
	for _, p := range people {
		plain = plain && p.Ref != "" && len(p.own) == 0 && !strings.EqualFold(p.Ref, Nobody)
		ids = append(ids, p.Ref)
		written = append(written, p.written())
	}
	if plain {
		return strings.Join(ids, "; ")
	}
	data, err := json.Marshal(written)
	if err != nil {
		return "" // texts and truths always encode
	}
	return string(data)
}

func (p Person) written() writtenPerson {
	w := writtenPerson{Sitter: p.Ref, Name: p.Name, Guardian: p.Guardian, Own: p.own}
	if p.HasConsent {
		c := p.Consent
		w.Consent = &writtenConsent{c.Portfolio, c.Name, c.Promotion, c.Given.String(), c.Until.String(), c.Withdrawn.String(), c.Minor, c.Release}
	}
	return w
}

func (e *Entry) setWritten(s string) error {
	var list []writtenPerson
	in := json.NewDecoder(strings.NewReader(s))
	in.DisallowUnknownFields()
	if err := in.Decode(&list); err != nil || in.More() {
		return refuse("sitters", s, acceptedPeople)
	}
	var people []Person
	for _, w := range list {
		p, err := w.person()
		if err != nil {
			return err
		}
		people = append(people, p)
	}
	e.People, e.PeopleGiven = people, true
	return nil
}

func (w writtenPerson) person() (Person, error) {
	p := Person{Ref: w.Sitter}
	var err error
	if p.Name, err = cleanText("sitters", w.Name); err != nil {
		return p, err
	}
	if p.Guardian, err = cleanText("sitters", w.Guardian); err != nil {
		return p, err
	}
	for key, text := range w.Own {
		if !IsOwn(strings.TrimPrefix(key, "consent.")) {
			return p, refuse("sitters", key, "own keys that begin with x_")
		}
		if text, err = cleanText("sitters", text); err != nil {
			return p, err
		}
		if p.own == nil {
			p.own = map[string]string{}
		}
		p.own[key] = text
	}
	if w.Consent != nil {
		p.HasConsent = true
		if p.Consent, err = w.Consent.consent(); err != nil {
			return p, err
		}
	}
	return p, p.valid()
}

// valid refuses what record refuses: nobody at all, and two in one.
func (p Person) valid() error {
	inline := p.Name != "" || p.Guardian != "" || p.HasConsent
	switch {
	case p.Ref != "" && inline:
		return refuse("sitters", p.Ref, "the id of a sitter record, or a person written out, not both")
	case p.Ref == "" && !inline:
		return refuse("sitters", "a person of whom nothing is said", acceptedPeople)
	case p.Ref != "" && !record.ValidID(p.Ref):
		return refuse("sitters", p.Ref, acceptedPeople)
	case p.Ref != "" && hasConsentKeys(p.own):
		return refuse("sitters", p.Ref, "own keys of a consent only where the consent is written out")
	case !p.HasConsent && hasConsentKeys(p.own):
		return refuse("sitters", p.Name, "own keys of a consent only where the consent is written out")
	}
	return nil
}

func hasConsentKeys(own map[string]string) bool {
	for key := range own {
		if strings.HasPrefix(key, "consent.") {
			return true
		}
	}
	return false
}

func (w *writtenConsent) consent() (record.Consent, error) {
	c := record.Consent{Portfolio: w.Portfolio, Name: w.Name, Promotion: w.Promotion, Minor: w.Minor, Release: w.Release}
	for _, d := range []struct {
		key, text string
		to        *record.Date
	}{{"given", w.Given, &c.Given}, {"until", w.Until, &c.Until}, {"withdrawn", w.Withdrawn, &c.Withdrawn}} {
		if d.text == "" {
			continue
		}
		day, err := record.ParseDate(d.text)
		if err != nil || day.Year < 1839 || day.Year > 2200 {
			return c, refuse("sitters.consent."+d.key, d.text, "a day such as 2026-05-03")
		}
		*d.to = day
	}
	switch c.Release {
	case "", "MR-NON", "MR-NAP", "MR-UMR", "MR-LMR":
		return c, nil
	}
	return c, refuse("sitters.consent.release", c.Release, "MR-NON, MR-NAP, MR-UMR, MR-LMR")
}
