package portfolio

import (
	"cmp"
	"fmt"
	"math"
	"path"
	"slices"
	"strings"
	"unicode"

	"sandarac/archive/consent"
	"sandarac/archive/picture"
)

// plate is a published plate with its addresses and pictures, ready to be
// written. Addresses are relative to the root of the site, without a slash in
// front.
type plate struct {
	consent.Plate
	title      string
	format     string // key of its size: a slug, or "other"
	widthMM    float64
	heightMM   float64 // the way up the picture is
	page       string  // plates/<slug>/
	image      string  // iiif/<token>
	files      []picture.File
	avif       *picture.File // nil if there is none
	tone       int           // 0 to 11
	kindWords  string
	sized      bool   // the record gives the plate's size
	factLine   string // the short second line under a plate
	formatName string
}

// otherFormat is the key of every size without a name.
const otherFormat = "other"

// newPlate gives a published plate its names. The token of the page rests on
// the plate's id, so that the address lasts; the token of the pictures also on
// the scan, so that a new scan has a new address and files may be cached for
// good.
func newPlate(p consent.Plate, set picture.Set, secret []byte, w words) plate {
	out := plate{Plate: p}
	out.files, out.avif = publicFiles(set)
	out.format = cmp.Or(p.Format.Slug, otherFormat)
	out.formatName = p.Format.Name
	if p.Format.Slug != "" {
		out.formatName = w.say("format_" + p.Format.Slug)
	}
	out.Alt = clean(p.Alt)
	out.Names = nil
	for _, n := range p.Names {
		out.Names = append(out.Names, clean(n))
	}
	out.title = clean(p.Title)
	if out.title == "" {
		out.title = strings.Join(out.Names, ", ")
	}
	out.kindWords = w.say("kind_" + key(cmp.Or(p.Support, unknown)))
	if out.title == "" {
		out.title = w.say("plate_untitled", "format", w.inside(cmp.Or(out.formatName, out.kindWords)))
	}
	out.factLine = facts(out, w)
	name := cmp.Or(slug(p.Title), "plate") + "-" + token(secret, "page", p.ID)
	out.page = "plates/" + name + "/"
	sum := out.largest().SHA256
	out.image = "iiif/" + token(secret, "image", p.ID, string(sum[:]))
	out.measure()
	out.tone = toneClass(set.Tone)
	return out
}

// unknown stands for a support that the record does not give, in the keys of
// words.
const unknown = "unknown"

// nominalMM is the longer side that a plate of unknown size is shown at, a
// quarter plate's. Its page does not speak of size.
const nominalMM = 108

// measure gives the plate's sides, the way up that the picture is.
func (p *plate) measure() {
	f := p.largest()
	p.sized = p.Format.WidthMM > 0 && p.Format.HeightMM > 0
	if !p.sized {
		scale := nominalMM / float64(max(f.Width, f.Height))
		p.widthMM, p.heightMM = scale*float64(f.Width), scale*float64(f.Height)
		return
	}
	p.widthMM, p.heightMM = math.Min(p.Format.WidthMM, p.Format.HeightMM), math.Max(p.Format.WidthMM, p.Format.HeightMM)
	if f.Width > f.Height {
		p.widthMM, p.heightMM = p.heightMM, p.widthMM
	}
}

// toneClass sorts a mean grey, 0 to 1 as encoded, into the twelve tones of
// plate.css.
func toneClass(mean float64) int { return min(11, max(0, int(mean*12))) }

// key makes a support or purpose usable in a word's key.
func key(s string) string { return strings.ReplaceAll(s, "-", "_") }

// publicFiles are the pictures of a set made for the public site, narrow ones
// first, each width once. A set may hold other editions: a gallery's are never
// published.
func publicFiles(set picture.Set) (out []picture.File, avif *picture.File) {
	for _, f := range set.Files {
		switch {
		case f.Output.Edition != Edition || f.Width <= 0 || f.Height <= 0:
		case f.Output.AVIF:
			avif = &f
		default:
			out = append(out, f)
		}
	}
	slices.SortFunc(out, func(a, b picture.File) int { return cmp.Compare(a.Width, b.Width) })
	return slices.CompactFunc(out, func(a, b picture.File) bool { return a.Width == b.Width }), avif
}

func (p plate) largest() picture.File { return p.files[len(p.files)-1] }

// address is where a file of the plate lies: the canonical address of a size
// in a static IIIF image service (Image API 3.0, section 4.8).
func (p plate) address(f picture.File) string {
	name := "default.jpg"
	if f.Output.AVIF {
		name = "default.avif"
	}
	return path.Join(p.image, "full", fmt.Sprintf("%d,%d", f.Width, f.Height), "0", name)
}

// atLeast is the smallest file that is as wide as asked, or the largest.
func (p plate) atLeast(width float64) picture.File {
	for _, f := range p.files {
		if float64(f.Width) >= width {
			return f
		}
	}
	return p.largest()
}

// year is the year the plate was made in, or "".
func (p plate) year() string {
	if p.Made.IsZero() {
		return ""
	}
	return fmt.Sprintf("%04d", p.Made.Year)
}

// alt is the text that stands for the picture: the record's, or the title.
func (p plate) alt() string { return cmp.Or(p.Alt, p.title) }

// clean is text on one line, without the control characters that XML forbids.
func clean(text string) string {
	text = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == '\ufffe' || r == '\uffff' {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, "\ufffd"))
	return strings.Join(strings.Fields(text), " ")
}
