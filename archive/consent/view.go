package consent

import (
	"slices"
	"time"

	"sandarac/archive/record"
)

// Site is all that the public site may hold.
type Site struct {
	Studio Studio
	Day    record.Date
	Plates []Plate // newest first
	// Pages are the studio's own texts for pages, by the names of record.PageNames.
	Pages map[string]Page
}

// Studio is the public face of the studio record.
type Studio struct {
	Name, URL, Email              string
	Credit, Copyright, LicenceURL string
	Language                      string
	PoisonCentre                  string
	ShowRecipes, AVIF             bool
	Zone                          *time.Location
}

// Plate is a published plate. Master is where its face lies on disk; it is for
// making pictures and is never written anywhere.
type Plate struct {
	ID        string
	Made      record.Date
	Purpose   string
	Title     string
	Alt       string
	Tags      []string
	Featured  bool
	Promotion bool // every sitter agreed to promotion (true when nobody is in it)
	People    int
	Names     []string // of the sitters who agreed to be named
	Support   string
	Format    record.Format
	LightKind string
	Recipe    *Recipe // nil unless the studio shows recipes
	Master    string
}

// Recipe is what made a plate, in the words the site may use. Zero numbers and
// nil mean not recorded.
type Recipe struct {
	Collodion, Bath, Developer, Fixer, Varnish string // batch ids
	Lens                                       string
	FocalMM                                    float64
	Seconds, Stop                              float64
	Magnification                              *float64
	EV100, Lux                                 *float64
	DevelopmentSeconds                         float64
	CollodionAgeDays                           *int
	// Substances of the batches by kind, as the records name them, so that the
	// page can show their cautions.
	Substances map[string][]string
}

// Publish makes the view of everything that may be public on a day.
func Publish(a *record.Archive, day record.Date) Site {
	site := Site{Studio: studioOf(a.Studio), Day: day}
	for i, against := range judge(a, day) {
		if p := a.Plates[i]; len(against) == 0 {
			site.Plates = append(site.Plates, publicPlate(a, p, day))
		}
	}
	slices.Reverse(site.Plates)
	site.Pages = publicPages(a, day)
	return site
}

func studioOf(s *record.Studio) Studio {
	return Studio{Name: s.Name, URL: siteURL(s), Email: s.Email, Credit: s.Credit, Copyright: s.Copyright, LicenceURL: s.LicenceURL,
		Language: s.Language, PoisonCentre: s.PoisonCentre, ShowRecipes: s.ShowRecipes, AVIF: s.AVIF, Zone: s.Zone}
}

func publicPlate(a *record.Archive, p *record.Plate, day record.Date) Plate {
	v := Plate{
		ID: p.ID, Made: p.MadeOn(), Purpose: p.Purpose, Title: p.Title, Alt: p.Alt, Tags: slices.Clone(p.Tags), Featured: p.Featured,
		Promotion: true, People: len(p.Sitters), Support: p.Support, Format: p.Format, LightKind: p.Light.Kind, Master: a.Path(p.Face()),
	}
	for _, s := range p.Sitters {
		sitter, ok := a.Sitter(s)
		if !ok {
			continue // against refused it already
		}
		if Named(sitter, day) {
			v.Names = append(v.Names, sitter.Name)
		}
		v.Promotion = v.Promotion && Promoted(sitter, day)
	}
	if a.Studio.ShowRecipes {
		v.Recipe = recipeOf(a, p)
	}
	return v
}

func recipeOf(a *record.Archive, p *record.Plate) *Recipe {
	r := &Recipe{
		Collodion: p.Batches.Collodion, Bath: p.Batches.Bath, Developer: p.Batches.Developer, Fixer: p.Batches.Fixer, Varnish: p.Batches.Varnish,
		Lens: p.Lens, Seconds: p.Exposure.Seconds, Stop: p.Exposure.Stop, EV100: p.Light.EV100, Lux: p.Light.Lux,
		DevelopmentSeconds: p.Development.Seconds, Substances: map[string][]string{},
	}
	lens, known := a.Studio.LensByID(p.Lens)
	if known {
		r.FocalMM = lens.FocalMM
	}
	switch {
	case p.Exposure.Magnification != nil:
		r.Magnification = p.Exposure.Magnification
	case p.Exposure.ExtensionMM != nil && known && lens.FocalMM > 0:
		m := *p.Exposure.ExtensionMM/lens.FocalMM - 1
		r.Magnification = &m
	}
	if age, ok := a.AgeDays(p); ok {
		r.CollodionAgeDays = &age
	}
	p.Batches.Each(func(kind, id string) {
		if b, ok := a.Batches[id]; ok {
			for _, part := range b.Parts {
				r.Substances[kind] = append(r.Substances[kind], part.Substance)
			}
		}
	})
	return r
}

// Hidden is a plate that is not public, and everything that stands against it.
type Hidden struct {
	Plate   *record.Plate
	Reasons []Reason
}

// Why lists the plates that are not public on a day, in the archive's order.
// It is for the photographer's eyes only.
func Why(a *record.Archive, day record.Date) []Hidden {
	var out []Hidden
	for i, reasons := range judge(a, day) {
		if len(reasons) > 0 {
			out = append(out, Hidden{a.Plates[i], reasons})
		}
	}
	return out
}

// noURL stands in where a studio has not said where its site will live; the
// domain is reserved to name nothing (RFC 2606).
const noURL = "https://site.invalid/"

func siteURL(s *record.Studio) string {
	switch {
	case s.URL == "":
		return noURL
	case s.URL[len(s.URL)-1] != '/':
		return s.URL + "/"
	}
	return s.URL
}
