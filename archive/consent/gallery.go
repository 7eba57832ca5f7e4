package consent

import (
	"slices"
	"strings"
	"time"

	"sandarac/archive/record"
)

// Gallery is what one client may see: their own plates, whoever is in them.
// It leaves the studio only sealed.
type Gallery struct {
	ClientID           string
	Title, Message     string
	Until              record.Date // zero: no end
	Generation         int
	Downloads          string // "full" or "web"
	PassphraseRequired bool
	State              string // "open", "ended" or "empty"
	StudioName         string
	StudioURL          string
	StudioEmail        string
	Credit             string
	Copyright          string
	LicenceURL         string
	Care               []string // the studio's own lines
	Zone               *time.Location
	Plates             []GalleryPlate // oldest first; none unless it is open
	Held               int            // how many plates the client has, in a gallery or not
}

// GalleryPlate is one plate in its client's gallery.
type GalleryPlate struct {
	ID        string
	Title     string
	Alt       string
	Made      time.Time
	Support   string
	Format    record.Format
	Varnished time.Time // zero: not varnished, or not recorded
	CureHours float64   // of the varnish batch, or the default
	// CureDefault says that CureHours is the trade's default, not the batch's.
	CureDefault bool
	Public      bool     // it is in the portfolio
	Masters     []string // on disk, the face first
}

// Galleries makes the view of every client's gallery on a day, by client id.
// Ended and empty galleries are listed, without plates, so that their state can
// be told. A client whose record has errors has no gallery.
func Galleries(a *record.Archive, day record.Date) []Gallery {
	public := map[string]bool{}
	for _, p := range Publish(a, day).Plates {
		public[p.ID] = true
	}
	byClient := map[string][]*record.Plate{}
	for _, p := range a.Plates {
		if p.Client != "" && !p.Broken && p.Face() != "" {
			byClient[p.Client] = append(byClient[p.Client], p)
		}
	}
	var out []Gallery
	for _, c := range a.Clients {
		if c.Broken || a.Studio.Broken {
			continue
		}
		out = append(out, galleryOf(a, c, byClient[c.ID], public, day))
	}
	slices.SortFunc(out, func(x, y Gallery) int { return strings.Compare(x.ClientID, y.ClientID) })
	return out
}

func galleryOf(a *record.Archive, c *record.Client, plates []*record.Plate, public map[string]bool, day record.Date) Gallery {
	s := a.Studio
	g := Gallery{
		ClientID: c.ID, Title: c.Gallery.Title, Message: c.Gallery.Message, Generation: c.Gallery.Generation,
		Downloads: c.Gallery.Downloads, PassphraseRequired: c.Gallery.PassphraseRequired, Until: galleryEnd(s, c, plates), State: "open",
		StudioName: s.Name, StudioURL: siteURL(s), StudioEmail: s.Email, Credit: s.Credit, Copyright: s.Copyright, LicenceURL: s.LicenceURL, Held: len(plates),
		Care: slices.Clone(s.Care), Zone: s.Zone,
	}
	switch {
	case !g.Until.IsZero() && g.Until.Before(day):
		g.State = "ended"
		return g
	case len(plates) == 0:
		g.State = "empty"
		return g
	}
	for _, p := range plates {
		g.Plates = append(g.Plates, galleryPlate(a, p, public[p.ID]))
	}
	return g
}

// galleryEnd is the last day a gallery stands: the client's own, else the
// studio's retention.
func galleryEnd(s *record.Studio, c *record.Client, plates []*record.Plate) record.Date {
	switch {
	case !c.Gallery.Until.IsZero():
		return c.Gallery.Until
	case !s.Retention.Until.IsZero():
		return s.Retention.Until
	case s.Retention.Days > 0 && len(plates) > 0:
		return plates[len(plates)-1].MadeOn().AddDays(s.Retention.Days)
	}
	return record.Date{}
}

func galleryPlate(a *record.Archive, p *record.Plate, public bool) GalleryPlate {
	v := GalleryPlate{ID: p.ID, Title: p.Title, Alt: p.Alt, Made: p.Made, Support: p.Support, Format: p.Format,
		Varnished: p.Varnished, CureHours: record.DefaultCureHours, CureDefault: true, Public: public}
	if b, ok := a.Batch("varnish", p.Batches.Varnish); ok && b.CureHoursGiven {
		v.CureHours, v.CureDefault = b.CureHours, false
	}
	for _, rel := range p.Scans {
		v.Masters = append(v.Masters, a.Path(rel))
	}
	return v
}
