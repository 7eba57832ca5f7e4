package main

import (
	"fmt"
	"math/rand/v2"
	"time"
)

// world is a random archive as the test knows it: the program sees only the
// files that are written from it.
type world struct {
	rng     *rand.Rand
	seed    uint64
	day     time.Time // the day of the build, UTC midnight
	studio  worldStudio
	people  []*person // those with a record of their own
	clients []*customer
	batches []*mixture
	plates  []*worldPlate
	pages   []*worldPage
	traps   []string // what was laid on purpose, for the message of a failure
	words   int
}

type worldStudio struct {
	name, url, zone, email, credit, copyright string
	recipes                                   bool
	retention                                 int // days after the last plate; 0 none
	notes                                     string
	lens                                      string
	lights                                    []string
}

// person is a sitter, with a record or written into a plate. Dates are days from
// the day of the build; nil is not written.
type person struct {
	id, name, guardian         string
	portfolio, named, promoted bool
	minor                      bool
	given, until, withdrawn    *int
	release                    string
	notes                      string
	broken                     string // how the record is spoilt, or ""
	common                     bool   // the name is made of words of the language
}

type customer struct {
	id, name, email string
	title, message  string
	notes           string
	until           *int
	generation      int
	web, passphrase bool
	broken          string
	common          bool
}

type mixture struct {
	id, kind, notes string
}

// sitting is a person in a plate: a reference, or a person written inline.
type sitting struct {
	ref    string
	inline *person
}

// worldPlate is a plate.
type worldPlate struct {
	id, file       string // file: path of the sidecar, without ending
	notation       string // "yaml", "toml" or "json"
	made           time.Time
	purpose        string
	outcome        string
	noSittersKey   bool
	sitters        []sitting
	client         string
	title, alt     string
	tags           []string
	light          string
	lightNote      string
	support        string
	format         string
	collodion      string
	varnish        string
	lens           string
	camera         string
	seconds        float64
	notes, own     string // body, and a key of the user's own
	scans          []*worldScan
	namesScans     bool
	broken         string
	mentions       []mention
	titled, altTok string // the words of title and alt that stand nowhere else
}

// mention says that a text of the plate was made to hold a name.
type mention struct {
	name   string
	common bool
	form   string // how it is spelt
	field  string
	inside string // a shorter name in it
}

// worldScan is a picture file.
type worldScan struct {
	file    string // path in the archive
	seed    uint64
	alike   uint64 // when not 0, a few fields differ from the picture of seed
	w, h    int
	turn    int // EXIF orientation
	colour  bool
	secret  string      // a word in its metadata
	spoilt  string      // "", "cut" or "empty"
	matches *worldPlate // for pictures of identical content
}

func (w *world) chance(p float64) bool { return w.rng.Float64() < p }

func pick[T any](w *world, of ...T) T { return of[w.rng.IntN(len(of))] }

func (w *world) trap(format string, args ...any) {
	w.traps = append(w.traps, fmt.Sprintf(format, args...))
}

// word makes a word that is in no language and that no other thing has: found
// anywhere, it tells where it came from.
func (w *world) word() string {
	w.words++
	const consonants, vowels = "bdfgklmnprstvz", "aeiou"
	out := "Q"
	for range 4 {
		out += string(vowels[w.rng.IntN(len(vowels))]) + string(consonants[w.rng.IntN(len(consonants))])
	}
	for n := w.words; n > 0; n /= 14 * 5 {
		out += string(vowels[n%5]) + string(consonants[n/5%14])
	}
	return out
}

// date gives the day n days from the build's.
func (w *world) date(n int) string { return w.day.AddDate(0, 0, n).Format(time.DateOnly) }

func (w *world) zone() *time.Location {
	z, err := time.LoadLocation(w.studio.zone)
	if err != nil {
		panic(err)
	}
	return z
}

// person by id, of those with a record; nil if there is none or more than one.
func (w *world) person(id string) *person {
	var found *person
	for _, p := range w.people {
		if p.id == id {
			if found != nil {
				return nil
			}
			found = p
		}
	}
	return found
}
