package benchbook

import (
	"fmt"
	"slices"
	"strings"

	"sandarac/archive/care"
	"sandarac/archive/consent"
	"sandarac/archive/exposure"
	"sandarac/archive/record"
)

// plateGroups is every recorded value of a plate, in words.
func (s *stage) plateGroups(p *record.Plate) []group {
	groups := []group{s.thing(p), s.exposed(p), s.worked(p), s.people(p), s.kept(p)}
	return slices.DeleteFunc(groups, func(g group) bool { return len(g.Facts) == 0 })
}

// thing is the plate as an object.
func (s *stage) thing(p *record.Plate) group {
	g := group{Title: "The plate"}
	g.note("Made", momentWords(p.Made, p.Timed))
	g.note("Purpose", spelled(p.Purpose))
	g.note("Support", spelled(p.Support))
	g.add("Size", s.sizeWords(p))
	return g
}

func (s *stage) sizeWords(p *record.Plate) said {
	if p.Format.WidthMM <= 0 {
		return said{Text: p.Format.Name}
	}
	mm := fmt.Sprintf("%s × %s mm", upTo(p.Format.WidthMM, 0), upTo(p.Format.HeightMM, 0))
	if p.Format.Slug == "" {
		return said{Text: mm}
	}
	return said{Text: p.Format.Name, Soft: mm}
}

// exposed is what camera and light did.
func (s *stage) exposed(p *record.Plate) group {
	g := group{Title: "Exposure"}
	g.note("Exposure", exposureWords(p))
	s.distance(&g, p)
	if p.Lens != "" {
		if l, ok := s.Archive.Studio.LensByID(p.Lens); ok {
			g.add("Lens", said{Text: p.Lens, Soft: lensWords(l)})
		} else {
			g.add("Lens", said{Text: p.Lens, Soft: "not in the studio record"})
		}
	}
	g.note("Camera", oneLine(p.Camera))
	s.lit(&g, p)
	if set, ok := s.setting(p); ok {
		s.speed(&g, p, set)
	}
	return g
}

func lensWords(l record.Lens) string {
	var parts []string
	if l.FocalMM > 0 {
		parts = append(parts, plain(l.FocalMM)+" mm")
	}
	if l.WidestStop > 0 {
		parts = append(parts, "f/"+plain(l.WidestStop)+" at the widest")
	}
	return strings.Join(parts, ", ")
}

func (s *stage) distance(g *group, p *record.Plate) {
	m, known := s.magnification(p)
	if x := p.Exposure.ExtensionMM; x != nil {
		g.note("Lens to plate", plain(*x)+" mm")
	}
	if !known || p.Exposure.Magnification == nil && p.Exposure.ExtensionMM == nil {
		return
	}
	stops, err := exposure.BellowsStops(m)
	if err != nil {
		return
	}
	g.add("Magnification", said{Text: upTo(m, 2), Soft: "bellows factor " + upTo(stops, 1) + " stop"})
}

func (s *stage) lit(g *group, p *record.Plate) {
	if k := oneLine(p.Light.Kind); k != "" {
		g.note("Light", k)
	}
	switch {
	case p.Light.EV100 != nil:
		g.note("Meter", "EV "+plain(*p.Light.EV100)+" at ISO 100, incident")
	case p.Light.Lux != nil:
		w := said{Text: plain(*p.Light.Lux) + " lux"}
		if ev, ok := s.ev100(p); ok {
			w.Soft = fmt.Sprintf("EV %.1f at ISO 100, with C = %s", ev, plain(s.Archive.Studio.MeterConstant))
		}
		g.add("Meter", w)
	}
	g.note("Of the light", oneLine(p.Light.Note))
}

// speed is the exposure index: it belongs to the collodion under that light,
// and means something for a plate judged right.
func (s *stage) speed(g *group, p *record.Plate, set exposure.Setting) {
	ei, err := set.EI()
	if err != nil {
		return
	}
	dose, err := set.Dose()
	if err != nil {
		return
	}
	w := said{Text: "EI " + figures(ei, 2), Soft: fmt.Sprintf("dose %+.1f stop", dose)}
	if p.Judged != "right" {
		w.Soft += "; it was not judged right, so this is no speed of the collodion"
	}
	g.add("Came to", w)
	if stops, ok := s.overAim(p); ok {
		g.add("Against the aim", said{Text: signed(stops, 1) + " stop", Soft: "of its collodion under this light, by the exposure model"})
	}
}

// overAim is how far the plate's dose lies from the aim of its collodion under
// its light, in stops.
func (s *stage) overAim(p *record.Plate) (float64, bool) {
	aim, known := s.aims[[2]string{p.Batches.Collodion, strings.TrimSpace(p.Light.Kind)}]
	set, ok := s.setting(p)
	if !known || !ok {
		return 0, false
	}
	dose, err := set.Dose()
	return dose - aim, err == nil
}

// worked is the chemistry and the room.
func (s *stage) worked(p *record.Plate) group {
	g := group{Title: "Chemistry"}
	p.Batches.Each(func(kind, id string) { g.add(capital(kind), s.batchSaid(p, kind, id)) })
	var air []string
	if t := p.Air.TemperatureC; t != nil {
		air = append(air, plain(*t)+" °C")
	}
	if h := p.Air.HumidityPct; h != nil {
		air = append(air, plain(*h)+" % humidity")
	}
	g.note("Room", strings.Join(air, ", "))
	var dev []string
	if p.Development.Seconds > 0 {
		dev = append(dev, plain(p.Development.Seconds)+" s")
	}
	if t := p.Development.TemperatureC; t != nil {
		dev = append(dev, "at "+plain(*t)+" °C")
	}
	g.note("Developed", strings.Join(dev, " "))
	if !p.Varnished.IsZero() {
		g.note("Varnished", momentWords(p.Varnished, true))
	}
	return g
}

// batchSaid names a batch with its age at the plate.
func (s *stage) batchSaid(p *record.Plate, kind, id string) said {
	b, ok := s.Archive.Batch(kind, id)
	if !ok {
		return said{Text: id, Soft: "no such " + kind + " in the archive"}
	}
	w := said{Text: id, To: s.batchPath(id)}
	if !b.Mixed.IsZero() && !p.Made.IsZero() {
		switch days := p.MadeOn().DaysSince(b.Mixed); {
		case days < 0:
			w.Soft = "mixed after the plate was made"
		case days == 0:
			w.Soft = "mixed that day"
		default:
			w.Soft = count(days, "day") + " old"
		}
		if !b.Retire.IsZero() && b.Retire.Before(p.MadeOn()) {
			w.Soft += ", past its day"
		}
	}
	return w
}

// people is who is in it and who ordered it.
func (s *stage) people(p *record.Plate) group {
	g := group{Title: "People"}
	switch {
	case !p.SittersGiven:
		g.note("Sitters", "the record does not say who is in it")
	case len(p.Sitters) == 0:
		g.note("Sitters", "nobody is in it")
	}
	for _, at := range p.Sitters {
		sitter, ok := s.Archive.Sitter(at)
		if !ok {
			g.add("Sitter", said{Text: at.Ref, Soft: "no such sitter in the archive"})
			continue
		}
		g.add("Sitter", said{Text: sitterName(sitter, at), Soft: s.consentWords(sitter)})
	}
	if p.Client != "" {
		if c, ok := s.Archive.Clients[p.Client]; ok {
			g.add("Client", said{Text: clientName(c), To: s.clientPath(c.ID)})
		} else {
			g.add("Client", said{Text: p.Client, Soft: "no such client in the archive"})
		}
	}
	return g
}

func sitterName(x *record.Sitter, at record.Sitting) string {
	for _, n := range []string{oneLine(x.Name), at.Ref} {
		if n != "" {
			return n
		}
	}
	return "a sitter without a name"
}

// consentWords says what a sitter agreed to and whether it holds today.
func (s *stage) consentWords(x *record.Sitter) string {
	c := x.Consent
	var agreed []string
	for _, a := range []struct {
		yes  bool
		what string
	}{{c.Portfolio, "being shown"}, {c.Name, "being named"}, {c.Promotion, "promotion"}} {
		if a.yes {
			agreed = append(agreed, a.what)
		}
	}
	text := "agreed to nothing public"
	if len(agreed) > 0 {
		text = "agreed to " + joined(agreed, "and")
	}
	add := func(d record.Date, what string) {
		if !d.IsZero() {
			text += "; " + what + " " + dayWords(d)
		}
	}
	add(c.Given, "given")
	add(c.Until, "until")
	add(c.Withdrawn, "withdrawn from")
	if c.Minor {
		if x.Guardian == "" {
			text += "; a minor without a guardian"
		} else {
			text += "; a minor, guardian " + oneLine(x.Guardian)
		}
	}
	if c.Release != "" {
		text += "; release " + c.Release
	}
	if len(agreed) > 0 && !consent.Portfolio(x, s.Today) {
		text += "; does not hold today"
	}
	return text
}

// kept is what concerns the pages and the files.
func (s *stage) kept(p *record.Plate) group {
	g := group{Title: "Record"}
	g.note("Title", oneLine(p.Title))
	g.note("Alt text", oneLine(p.Alt))
	g.note("Tags", oneLine(strings.Join(p.Tags, ", ")))
	if p.Featured {
		g.note("Front page", "featured")
	}
	g.note("File", p.File)
	g.note("Scans", strings.Join(p.Scans, ", "))
	for _, key := range sortedKeys(p.Extra) {
		g.note(key, oneLine(p.Extra[key]))
	}
	return g
}

// cure is the sentence of the cure clock.
func (s *stage) cure(p *record.Plate) string {
	c := s.clock(p)
	text := c.Sentence()
	if !c.Ready.IsZero() && !record.DateOf(c.Ready).After(s.Today) && record.DateOf(c.Ready) != s.Today {
		text = "Cured: it could be touched from " + c.Ready.Format("Monday 2 January 2006, 15:04") + "."
	}
	return text
}

func (s *stage) clock(p *record.Plate) care.Clock {
	hours := 0.0 // the trade's default
	if b, ok := s.Archive.Batch("varnish", p.Batches.Varnish); ok && b.CureHoursGiven {
		hours = b.CureHours
	}
	return care.Cure(p.Varnished, hours)
}

// shownView says whether a plate is public, and all that stands against it.
type shownView struct {
	Public  string      `json:"public,omitempty"` // address of its public page
	Said    string      `json:"said"`
	Reasons []reasonRow `json:"reasons,omitempty"`
}

type reasonRow struct {
	Text   string `json:"text"`
	Remedy string `json:"remedy"`
	Line   int    `json:"line"`
}

func (s *stage) shown(p *record.Plate) shownView {
	v := shownView{}
	for _, r := range s.hidden[p] {
		v.Reasons = append(v.Reasons, reasonRow{capital(r.Sentence) + ".", capital(r.Remedy) + ".", r.Line})
	}
	address := s.publicAddress(p)
	switch {
	case len(v.Reasons) > 0:
		v.Said = "Not public."
	case address != "":
		v.Said, v.Public = "Public.", address
	default:
		v.Said = "Nothing stands against showing it, but it is not in the public site of this build."
	}
	return v
}

func (s *stage) publicAddress(p *record.Plate) string {
	address := s.PublicPaths[p.ID]
	if address == "" || strings.Contains(address, "://") {
		return address
	}
	base := s.Archive.Studio.URL
	if base == "" {
		return ""
	}
	return strings.TrimSuffix(base, "/") + "/" + strings.TrimPrefix(address, "/")
}

func sortedKeys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
