package record

import (
	"fmt"
	"strings"
	"time"
)

// The words a plate record may use.
var (
	Purposes = []string{"portrait", "test", "still-life", "landscape", "workshop", "copy"}
	Supports = []string{"tin", "aluminium", "glass", "glass-negative"}
	Grades   = []string{"under", "right", "over"}
	Outcomes = []string{"keeper", "remake", "scrapped"}
	// Flaws are the trade's terms for what goes wrong on a plate.
	Flaws = []string{
		"fog", "comets", "oysters", "curtains", "crepe", "ridges", "pinholes", "black-spots", "streaks", "oily-lines",
		"vertical-lines", "scum", "fantasy", "lifting", "thin", "flat", "solarised", "cut-off", "developer-marks", "unfixed",
		"reticulation", "varnish", "light-leak", "movement", "stains", "rust", "dust", "scratch",
	}
)

// Plate is one plate, the sidecar beside its scans.
type Plate struct {
	Source
	ID          string
	Made        time.Time // in the studio's zone
	Timed       bool      // the record gives the hour, not the day alone
	Purpose     string
	Scans       []string // relative to the archive, with slashes; the first is the face
	Support     string
	Format      Format
	Batches     PlateBatches
	Lens        string
	Camera      string
	Exposure    Exposure
	Light       Light
	Air         Air
	Development Development
	Varnished   time.Time
	Judged      string
	Outcome     string
	Flaws       []string
	Sitters     []Sitting
	// SittersGiven tells `sitters: []` (nobody is in it) from a missing key.
	SittersGiven bool
	Client       string
	Title, Alt   string
	Tags         []string
	Featured     bool
}

// PlateBatches are the ids of the batches that made a plate.
type PlateBatches struct{ Collodion, Bath, Developer, Fixer, Varnish string }

// Each calls f for every batch that is named, with its kind.
func (b PlateBatches) Each(f func(kind, id string)) {
	for i, id := range []string{b.Collodion, b.Bath, b.Developer, b.Fixer, b.Varnish} {
		if id != "" {
			f(BatchKinds[i], id)
		}
	}
}

// Exposure is what the camera did. Zero seconds or stop mean not recorded.
type Exposure struct {
	Seconds       float64
	Stop          float64 // f-number
	Magnification *float64
	ExtensionMM   *float64 // lens to plate
}

// Light is the light as the studio calls it, and as a meter read it.
type Light struct {
	Kind  string
	EV100 *float64 // incident, ISO 100
	Lux   *float64
	Note  string
}

// Air is the room the plate was poured in.
type Air struct {
	TemperatureC *float64
	HumidityPct  *float64
}

// Development is the developer's time and warmth.
type Development struct {
	Seconds      float64
	TemperatureC *float64
}

// Sitting is one person in a plate: the id of a sitter record, or a sitter
// written into the plate's own record.
type Sitting struct {
	Ref    string
	Inline *Sitter
	Line   int
}

// MadeOn is the calendar day on which the plate was made.
func (p *Plate) MadeOn() Date {
	if p.Made.IsZero() {
		return Date{}
	}
	return DateOf(p.Made)
}

// Face is the scan that stands for the plate, or "".
func (p *Plate) Face() string {
	if len(p.Scans) == 0 {
		return ""
	}
	return p.Scans[0]
}

// tagsMost is how many tags a plate may have: each makes a page, and the index
// holds no more than 255 for one plate.
const tagsMost = 100

func decodePlate(d *decoder) *Plate {
	p := &Plate{Purpose: "portrait"}
	d.id("plate", &p.ID)
	d.plate = p.ID
	d.moment("made", &p.Made, &p.Timed)
	d.oneOf("purpose", &p.Purpose, Purposes...)
	d.texts("scans", &p.Scans)
	d.oneOf("support", &p.Support, Supports...)
	p.Format = d.format()
	d.group("batches", func(in *decoder) {
		in.text("collodion", &p.Batches.Collodion)
		in.text("bath", &p.Batches.Bath)
		in.text("developer", &p.Batches.Developer)
		in.text("fixer", &p.Batches.Fixer)
		in.text("varnish", &p.Batches.Varnish)
	})
	d.text("lens", &p.Lens)
	d.text("camera", &p.Camera)
	d.group("exposure", func(in *decoder) { p.Exposure = in.exposure() })
	d.group("light", func(in *decoder) {
		in.text("kind", &p.Light.Kind)
		in.maybe("ev100", &p.Light.EV100, bounds{-10, 25, "an EV at ISO 100 from -10 to 25"})
		in.maybe("lux", &p.Light.Lux, positive)
		in.text("note", &p.Light.Note)
	})
	d.group("air", func(in *decoder) {
		in.maybe("temperature_c", &p.Air.TemperatureC, airC)
		in.maybe("humidity_pct", &p.Air.HumidityPct, percent)
	})
	d.group("development", func(in *decoder) {
		in.float("seconds", &p.Development.Seconds, positive)
		in.maybe("temperature_c", &p.Development.TemperatureC, liquidC)
	})
	var timed bool
	d.moment("varnished", &p.Varnished, &timed)
	d.oneOf("judged", &p.Judged, Grades...)
	d.oneOf("outcome", &p.Outcome, Outcomes...)
	d.flaws(p)
	d.sittings(p)
	d.text("client", &p.Client)
	d.text("title", &p.Title)
	d.text("alt", &p.Alt)
	d.texts("tags", &p.Tags)
	if len(p.Tags) > tagsMost {
		d.fault(d.src.Line("tags"), "too-many", fmt.Sprintf("tags holds %d texts", len(p.Tags)), fmt.Sprintf("accepted: up to %d; keep those that somebody would look for", tagsMost))
	}
	d.truth("featured", &p.Featured)
	d.require("made", p.Made.IsZero(), "when the plate was exposed, such as 2026-05-03T10:20")
	return p
}

func (d *decoder) exposure() Exposure {
	var e Exposure
	d.float("seconds", &e.Seconds, positive)
	d.float("stop", &e.Stop, bounds{0.5, 512, "an f-number, such as 4 or 5.6"})
	d.maybe("magnification", &e.Magnification, bounds{0, 20, "a magnification from 0 to 20, where 1 is life size"})
	d.maybe("extension_mm", &e.ExtensionMM, positive)
	if e.Magnification != nil && e.ExtensionMM != nil {
		d.fault(d.src.Line(d.path+"extension_mm"), "wrong-value", "both magnification and extension_mm are given", "keep the one that was measured; the other follows from it")
	}
	return e
}

func (d *decoder) format() Format {
	v, named := d.get("format")
	size, sized := d.get("size_mm")
	if named && sized {
		d.fault(size.line, "wrong-value", "both format and size_mm are given", "keep format for a named size, size_mm for any other")
		return Format{}
	}
	if named {
		if v.kind != scalar {
			d.wrong("format", v, "a plate size such as whole, half, quarter or 4x5")
			return Format{}
		}
		f, ok := FormatNamed(v.text)
		if !ok {
			d.fault(v.line, "wrong-value", fmt.Sprintf("format is “%s”", clip(v.text)), formatRemedy(v.text))
		}
		return f
	}
	if !sized {
		return Format{}
	}
	if size.kind != list || len(size.list) != 2 {
		d.wrong("size_mm", size, "width and height in millimetres, such as [120, 160]")
		return Format{}
	}
	mm := bounds{5, 2000, "millimetres from 5 to 2000"}
	w, ok1 := d.parseNumber("size_mm", size.list[0], mm)
	h, ok2 := d.parseNumber("size_mm", size.list[1], mm)
	if !ok1 || !ok2 {
		return Format{}
	}
	return Format{Name: fmt.Sprintf("%g × %g mm", w, h), WidthMM: w, HeightMM: h}
}

func formatRemedy(found string) string {
	remedy := "accepted: " + strings.Join(FormatSlugs(), ", ") + "; for a size without a name, size_mm: [width, height] in millimetres"
	if near := nearest(found, FormatSlugs()); near != "" {
		remedy = "did you mean “" + near + "”? " + remedy
	}
	return remedy
}

func (d *decoder) flaws(p *Plate) {
	d.texts("flaws", &p.Flaws)
	for i, f := range p.Flaws {
		if !contains(Flaws, f) {
			remedy := "accepted: the trade's terms, such as fog, comets, oysters; put other words into the notes"
			if near := nearest(f, Flaws); near != "" {
				remedy = "did you mean “" + near + "”? " + remedy
			}
			d.fault(d.src.Line(fmt.Sprintf("flaws.%d", i)), "wrong-value", fmt.Sprintf("flaws holds “%s”", clip(f)), remedy)
		}
	}
}

func contains(words []string, w string) bool {
	for _, x := range words {
		if x == w {
			return true
		}
	}
	return false
}

// sittings reads who is in the plate. Each item names a sitter record, or holds
// a sitter's own keys; an item that cannot be read still counts as a person, so
// that a plate never passes for empty.
func (d *decoder) sittings(p *Plate) {
	v, ok := d.get("sitters")
	if !ok {
		return
	}
	if v.kind != list {
		d.wrong("sitters", v, "a list such as [{sitter: id}], or [] when nobody is in it")
		return
	}
	p.SittersGiven = true
	d.groups("sitters", "a sitter, written {sitter: id} or with name and consent", func(i int, in *decoder) {
		s := Sitting{Line: in.table.line}
		in.id("sitter", &s.Ref)
		inline := &Sitter{Source: Source{File: d.src.File, lines: d.src.lines}}
		in.sitterKeys(inline)
		hasOwn := in.src.Has(in.path+"name") || in.src.Has(in.path+"consent") || in.src.Has(in.path+"guardian")
		switch {
		case s.Ref != "" && hasOwn:
			in.fault(s.Line, "wrong-value", "this sitter names a record and also holds keys of its own", "keep sitter: id and write the rest into that record, or leave sitter out")
		case s.Ref == "" && !hasOwn:
			if !in.src.Has(in.path + "sitter") {
				in.fault(s.Line, "wrong-value", "this sitter says nothing", "write sitter: id, or name and consent")
			}
		case hasOwn:
			s.Inline = inline
		}
		p.Sitters = append(p.Sitters, s)
	})
	if len(p.Sitters) < len(v.list) {
		p.Sitters = append(p.Sitters, make([]Sitting, len(v.list)-len(p.Sitters))...)
	}
}
