package daybook

import (
	"math"
	"strings"

	"sandarac/archive/record"
)

// Kind is how the value of a key is written.
type Kind int

const (
	Text   Kind = iota // one line of text
	ID                 // a record's id
	Word               // one of Words
	Number             // a number from Min to Max
	Size               // width and height in millimetres
	Moment             // RFC 3339, local time, or a day
	List               // several texts, one of Words each if there are any
	Truth              // true or false
)

// Key is one key of the plate record.
type Key struct {
	Path     string // as in the record, groups with a dot: "exposure.seconds"
	Flag     string // its short name, for flags and at the prompt
	Kind     Kind
	Words    []string // accepted words, empty if any will do
	Min, Max float64  // bounds of a Number, both included
	Help     string   // what it is, with the unit
	Carried  Carried
}

// Carried says how long a key holds from one plate to the next.
type Carried int

const (
	Never   Carried = iota // it belongs to one plate
	Session                // it holds until the day's work ends
	Studio                 // it holds until it is changed
)

const tiny = math.SmallestNonzeroFloat64 // "above 0"

// Keys are the keys of a plate record but sitters, own keys and notes, in the
// order in which they are written. Words and bounds are those that record reads;
// a test holds the two against each other.
var Keys = []Key{
	{Path: "plate", Flag: "plate", Kind: ID, Help: "the plate's id; default: the next one of the studio's pattern"},
	{Path: "made", Flag: "made", Kind: Moment, Help: "when it was exposed: 2026-05-03T10:20, or the day"},
	{Path: "purpose", Flag: "purpose", Kind: Word, Words: record.Purposes, Help: "what it was made for", Carried: Session},
	{Path: "title", Flag: "title", Help: "its title"},
	{Path: "alt", Flag: "alt", Help: "what the picture shows, in a sentence"},
	{Path: "tags", Flag: "tags", Kind: List, Help: "tags, with commas between"},
	{Path: "featured", Flag: "featured", Kind: Truth, Help: "true puts it first in the portfolio"},
	{Path: "scans", Flag: "scans", Kind: List, Help: "its scans, if not those with the record's name"},
	{Path: "support", Flag: "support", Kind: Word, Words: record.Supports, Help: "what it is made of", Carried: Studio},
	{Path: "format", Flag: "format", Kind: Word, Words: record.FormatSlugs(), Help: "its size by name", Carried: Studio},
	{Path: "size_mm", Flag: "size-mm", Kind: Size, Help: "its size if it has no name: width x height in mm", Carried: Studio},
	{Path: "batches.collodion", Flag: "collodion", Help: "batch of collodion", Carried: Studio},
	{Path: "batches.bath", Flag: "bath", Help: "silver bath", Carried: Studio},
	{Path: "batches.developer", Flag: "developer", Help: "batch of developer", Carried: Studio},
	{Path: "batches.fixer", Flag: "fixer", Help: "batch of fixer", Carried: Studio},
	{Path: "batches.varnish", Flag: "varnish", Help: "batch of varnish", Carried: Studio},
	{Path: "lens", Flag: "lens", Help: "lens, as the studio record names it", Carried: Studio},
	{Path: "camera", Flag: "camera", Help: "camera", Carried: Studio},
	{Path: "exposure.seconds", Flag: "seconds", Kind: Number, Min: tiny, Max: math.MaxFloat64, Help: "exposure in seconds", Carried: Session},
	{Path: "exposure.stop", Flag: "stop", Kind: Number, Min: 0.5, Max: 512, Help: "f-number", Carried: Session},
	{Path: "exposure.magnification", Flag: "magnification", Kind: Number, Min: 0, Max: 20, Help: "size on the plate over size of the subject", Carried: Session},
	{Path: "exposure.extension_mm", Flag: "extension-mm", Kind: Number, Min: tiny, Max: math.MaxFloat64, Help: "lens to plate in mm, instead of magnification", Carried: Session},
	{Path: "light.kind", Flag: "light", Help: "the light, in the studio's own words", Carried: Session},
	{Path: "light.ev100", Flag: "ev100", Kind: Number, Min: -10, Max: 25, Help: "incident light, EV at ISO 100", Carried: Session},
	{Path: "light.lux", Flag: "lux", Kind: Number, Min: tiny, Max: math.MaxFloat64, Help: "incident light in lux", Carried: Session},
	{Path: "light.note", Flag: "light-note", Help: "more about the light", Carried: Session},
	{Path: "air.temperature_c", Flag: "air-c", Kind: Number, Min: -40, Max: 60, Help: "air in °C", Carried: Session},
	{Path: "air.humidity_pct", Flag: "humidity", Kind: Number, Min: 0, Max: 100, Help: "humidity in %", Carried: Session},
	{Path: "development.seconds", Flag: "developed", Kind: Number, Min: tiny, Max: math.MaxFloat64, Help: "development in seconds", Carried: Session},
	{Path: "development.temperature_c", Flag: "developer-c", Kind: Number, Min: -10, Max: 100, Help: "developer in °C", Carried: Session},
	{Path: "varnished", Flag: "varnished", Kind: Moment, Help: "when it was varnished"},
	{Path: "judged", Flag: "judged", Kind: Word, Words: record.Grades, Help: "the exposure, judged"},
	{Path: "outcome", Flag: "outcome", Kind: Word, Words: record.Outcomes, Help: "what became of it"},
	{Path: "flaws", Flag: "flaws", Kind: List, Words: record.Flaws, Help: "flaws, with commas between"},
	{Path: "client", Flag: "client", Help: "whose it is: a client's id"},
}

// groups are the keys that hold keys.
var groups = []string{"batches", "exposure", "light", "air", "development"}

var keyIndex = func() map[string]int {
	m := map[string]int{}
	for i, k := range Keys {
		m[k.Path] = i
	}
	return m
}()

// KeyOf finds a key by its path or its short name.
func KeyOf(name string) (Key, bool) {
	if i, ok := keyIndex[name]; ok {
		return Keys[i], true
	}
	for _, k := range Keys {
		if k.Flag == name {
			return k, true
		}
	}
	return Key{}, false
}

// IsOwn reports whether a path names one of the photographer's own keys: x_…,
// at the top or in a group.
func IsOwn(path string) bool {
	group, name := splitPath(path)
	if !strings.HasPrefix(name, "x_") || len(name) > 60 || group != "" && !isGroup(group) {
		return false
	}
	for _, c := range name {
		if c != '_' && c != '-' && (c < 'a' || c > 'z') && (c < 'A' || c > 'Z') && (c < '0' || c > '9') {
			return false
		}
	}
	return true
}

func isGroup(s string) bool {
	for _, g := range groups {
		if g == s {
			return true
		}
	}
	return false
}

func splitPath(path string) (group, name string) {
	if group, name, ok := strings.Cut(path, "."); ok {
		return group, name
	}
	return "", path
}
