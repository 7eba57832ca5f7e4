package record

import (
	"fmt"
	"net/url"
	"strings"
	"time"
)

// Studio is the one record that says whose archive this is and where its site
// will live.
type Studio struct {
	Source
	Name, URL, Email              string
	Credit, Copyright, LicenceURL string
	Zone                          *time.Location
	Lenses                        []Lens
	MeterConstant                 float64 // C of ISO 2720 for illuminance in lux
	PoisonCentre                  string
	ShowRecipes                   bool
	AVIF                          bool // a plate's page offers its picture as AVIF, too
	Care                          []string
	CardsNameClient               bool // envelope cards bear the client's name
	Retention                     Retention
	Language                      string  // of the sites, "en" or "de"
	PlateIDs                      string  // pattern of new plate ids
	BathFloorPercentWV            float64 // strength below which a bath is to be restored
}

// Lens is a lens of the studio.
type Lens struct {
	ID         string
	FocalMM    float64
	WidestStop float64
}

// LensByID finds a lens.
func (s *Studio) LensByID(id string) (Lens, bool) {
	for _, l := range s.Lenses {
		if l.ID == id {
			return l, true
		}
	}
	return Lens{}, false
}

// Retention is the default end of galleries: a fixed day, or a span after the
// client's last plate. Both empty: galleries stay.
type Retention struct {
	Until Date
	Days  int
}

// Defaults of a studio record, used where it says nothing.
const (
	defaultMeterConstant = 250.0 // lux·s, ISO 2720 for a flat receptor
	defaultPlateIDs      = "{year}-{month}-{day}-{n:2}"
	defaultBathFloor     = 7.5 // % w/v; common practice, no source
)

func newStudio() *Studio {
	return &Studio{Zone: time.UTC, MeterConstant: defaultMeterConstant, ShowRecipes: true,
		Language: "en", PlateIDs: defaultPlateIDs, BathFloorPercentWV: defaultBathFloor}
}

func decodeStudio(d *decoder) *Studio {
	s := newStudio()
	d.text("studio", &s.Name)
	d.text("url", &s.URL)
	if s.URL != "" && !isSiteURL(s.URL) {
		d.fault(d.src.Line("url"), "wrong-value", fmt.Sprintf("url is “%s”", clip(s.URL)), "accepted: the full address of the site, such as https://plates.example/")
		s.URL = ""
	}
	s.Zone = d.timeZone()
	d.text("email", &s.Email)
	d.text("credit", &s.Credit)
	d.text("copyright", &s.Copyright)
	d.text("licence_url", &s.LicenceURL)
	if s.LicenceURL != "" && !isSiteURL(s.LicenceURL) {
		d.fault(d.src.Line("licence_url"), "wrong-value", fmt.Sprintf("licence_url is “%s”", clip(s.LicenceURL)), "accepted: a full address that begins with https://")
		s.LicenceURL = ""
	}
	d.groups("lenses", "a list of lenses, each with id, focal_mm and widest_stop", func(i int, in *decoder) {
		var l Lens
		in.id("id", &l.ID)
		in.float("focal_mm", &l.FocalMM, positive)
		in.float("widest_stop", &l.WidestStop, positive)
		if l.ID == "" {
			in.fault(in.table.line, "missing-key", "this lens has no id", "give it an id that plates can name")
			return
		}
		if _, twice := s.LensByID(l.ID); twice {
			in.fault(in.table.line, "duplicate-id", "a lens named “"+l.ID+"” stands above already", "give each lens an id of its own")
			return
		}
		s.Lenses = append(s.Lenses, l)
	})
	d.float("meter_constant", &s.MeterConstant, bounds{100, 600, "C of ISO 2720 for lux, usually 250 (flat receptor) to 340 (dome)"})
	d.text("poison_centre", &s.PoisonCentre)
	d.truth("show_recipes", &s.ShowRecipes)
	d.truth("avif", &s.AVIF)
	d.texts("care", &s.Care)
	d.truth("cards_name_client", &s.CardsNameClient)
	s.Retention = d.retention()
	d.oneOf("language", &s.Language, "en", "de")
	d.text("plate_ids", &s.PlateIDs)
	d.float("bath_floor_percent_wv", &s.BathFloorPercentWV, bounds{1, 20, "per cent weight in volume from 1 to 20"})
	if s.Name == "" {
		d.fault(d.src.Line("studio"), "missing-key", "the studio has no name", "write the studio's name after studio:")
	}
	return s
}

func (d *decoder) timeZone() *time.Location {
	var name string
	d.text("time_zone", &name)
	if name == "" {
		return time.UTC
	}
	zone, err := time.LoadLocation(name)
	if err != nil || strings.EqualFold(name, "local") {
		d.fault(d.src.Line("time_zone"), "wrong-value", fmt.Sprintf("time_zone is “%s”", clip(name)), "accepted: an IANA zone such as Europe/Dublin or America/Chicago")
		return time.UTC
	}
	return zone
}

// retention reads a day (2030-12-31) or a span (400 days, 18 months, 2 years).
func (d *decoder) retention() Retention {
	var s string
	d.text("retention", &s)
	if s == "" {
		return Retention{}
	}
	if day, err := ParseDate(s); err == nil {
		return Retention{Until: day}
	}
	var n int
	var unit string
	if _, err := fmt.Sscanf(s, "%d %s", &n, &unit); err == nil && n > 0 && n < 40000 {
		switch strings.TrimSuffix(unit, "s") {
		case "day":
			return Retention{Days: n}
		case "month":
			return Retention{Days: n * 30}
		case "year":
			return Retention{Days: n * 365}
		}
	}
	d.fault(d.src.Line("retention"), "wrong-value", fmt.Sprintf("retention is “%s”", clip(s)), "accepted: a day such as 2030-12-31, or a span after the client's last plate such as 400 days, 18 months or 2 years")
	return Retention{}
}

func isSiteURL(s string) bool {
	u, err := url.Parse(s)
	return err == nil && (u.Scheme == "https" || u.Scheme == "http") && u.Host != "" && u.User == nil && u.RawQuery == "" && u.Fragment == ""
}
