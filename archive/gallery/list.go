package gallery

import (
	"encoding/base64"
	"time"

	"sandarac/archive/care"
	"sandarac/archive/consent"
	"sandarac/archive/picture"
	"sandarac/archive/seal"
)

// listName is the one file of a gallery whose name is known from outside.
const listName = "list.bin"

// version is what a page reads; it refuses others.
const version = "gallery list 1"

// list is the sealed list of a gallery, as JSON. The page's scripts read it.
type list struct {
	Version    string `json:"sandarac"`
	Gallery    string `json:"gallery"`
	Generation int    `json:"generation"`
	// ContentsOf is the day of the newest plate: with the generation it shows
	// which edition this is, should a host keep serving an older one.
	ContentsOf string  `json:"contents_of,omitempty"`
	Locked     *lock   `json:"locked,omitempty"`
	Files      []file  `json:"files"`
	SaveAs     string  `json:"save_as,omitempty"`
	Title      string  `json:"title"`
	Message    string  `json:"message"`
	Until      string  `json:"until,omitempty"`
	Studio     studio  `json:"studio"`
	Plates     []plate `json:"plates"`
	Care       []kind  `json:"care"`
}

// lock says how the rest of a gallery is opened. The list beside it, sealed by
// the link's key alone, tells nothing else.
type lock struct {
	KDF    string `json:"kdf"`
	Rounds int    `json:"rounds"`
	Salt   string `json:"salt"` // base64url
	List   string `json:"list"` // name of the list behind the passphrase
}

// file is a sealed file as it lies on the host.
type file struct {
	Name   string `json:"name"`
	Length int64  `json:"length"`
	SHA256 string `json:"sha256"`
}

type studio struct {
	Name  string `json:"name"`
	Email string `json:"email"`
}

type plate struct {
	ID         string  `json:"id"`
	Title      string  `json:"title"`
	Alt        string  `json:"alt"`
	Made       string  `json:"made"` // RFC 3339
	Support    string  `json:"support"`
	Format     string  `json:"format"`
	FormatSlug string  `json:"format_slug,omitempty"` // of a size that has a name
	WidthMM    float64 `json:"width_mm"`              // as the scan shows it: wider than high if it is
	HeightMM   float64 `json:"height_mm"`
	NoSize     bool    `json:"size_unknown,omitempty"` // the sides are a quarter plate's, for drawing only
	Varnished  string  `json:"varnished,omitempty"`
	HandleFrom string  `json:"handle_from,omitempty"` // RFC 3339; none if not varnished
	CureHours  float64 `json:"cure_hours"`
	CureUsual  bool    `json:"cure_usual"` // the hours are common practice, not the batch's own
	Public     bool    `json:"public"`
	Views      []view  `json:"views"`
}

// view is one scan of a plate.
type view struct {
	Pictures []sized  `json:"pictures"` // narrowest first
	Download download `json:"download"`
}

type sized struct {
	File   string `json:"file"`
	Width  int    `json:"width"`
	Height int    `json:"height"`
}

type download struct {
	sized
	SaveAs string `json:"save_as"`
}

// newList is the list of a gallery without its plates and files.
func newList(g consent.Gallery, keys seal.Gallery) list {
	l := list{
		Version: version, Gallery: keys.Name(), Generation: g.Generation, SaveAs: saveName(g.Title, "plates") + ".zip",
		Title: g.Title, Message: g.Message, Studio: studio{g.StudioName, g.StudioEmail},
		Files: []file{}, Plates: []plate{}, Care: []kind{},
	}
	if !g.Until.IsZero() {
		l.Until = g.Until.String()
	}
	return l
}

// outerList is what the link's key alone opens of a gallery with a passphrase.
func outerList(g consent.Gallery, keys seal.Gallery, inner file) list {
	return list{
		Version: version, Gallery: keys.Name(), Generation: g.Generation, Files: []file{inner}, Plates: []plate{}, Care: []kind{},
		Locked: &lock{
			KDF: "PBKDF2-HMAC-SHA-256", Rounds: seal.Rounds, List: inner.Name,
			Salt: base64.RawURLEncoding.EncodeToString([]byte(seal.PassphraseSalt(keys.Name()))),
		},
	}
}

// nominalMM is the longer side that a plate of unknown size is drawn at: a
// quarter plate's.
const nominalMM = 108

// newPlate is a plate without its views.
func newPlate(p consent.GalleryPlate, face picture.File, zone *time.Location) plate {
	clock := care.Cure(p.Varnished, p.CureHours)
	out := plate{
		ID: p.ID, Title: p.Title, Alt: p.Alt, Made: p.Made.In(zone).Format(time.RFC3339), Support: p.Support, Format: p.Format.Name, FormatSlug: p.Format.Slug,
		WidthMM: p.Format.WidthMM, HeightMM: p.Format.HeightMM, CureHours: clock.Hours, CureUsual: clock.Default || p.CureDefault, Public: p.Public,
	}
	if !p.Varnished.IsZero() {
		out.Varnished, out.HandleFrom = p.Varnished.In(zone).Format(time.RFC3339), clock.Ready.In(zone).Format(time.RFC3339)
	}
	if out.NoSize = !(out.WidthMM > 0 && out.HeightMM > 0); out.NoSize {
		scale := nominalMM / float64(max(face.Width, face.Height))
		out.WidthMM, out.HeightMM = scale*float64(face.Width), scale*float64(face.Height)
	}
	// Sizes are named with the shorter side first, however the plate was held.
	if (face.Width > face.Height) != (out.WidthMM > out.HeightMM) {
		out.WidthMM, out.HeightMM = out.HeightMM, out.WidthMM
	}
	return out
}

// newest is the later of a day and a plate's own days, as YYYY-MM-DD.
func newest(day string, p consent.GalleryPlate, zone *time.Location) string {
	for _, t := range []time.Time{p.Made, p.Varnished} {
		if !t.IsZero() {
			day = max(day, t.In(zone).Format(time.DateOnly))
		}
	}
	return day
}
