package daybook

import (
	"path"
	"strconv"
	"strings"

	"sandarac/archive/record"
)

// Of is the entry that a plate's record would be written from. Plates with
// errors give what could be read of them.
func Of(a *record.Archive, p *record.Plate) *Entry {
	e := NewEntry(a.Studio.Zone)
	put := func(key, text string) {
		if text != "" {
			e.values[key] = Value{Text: text}
		}
	}
	put("plate", p.ID)
	if !p.Made.IsZero() {
		put("made", FormatMoment(p.Made, p.Timed))
	}
	if p.Has("purpose") || p.Purpose != "portrait" {
		put("purpose", p.Purpose)
	}
	put("support", p.Support)
	put("format", p.Format.Slug)
	if p.Format.Slug == "" && p.Format.WidthMM > 0 {
		put("size_mm", FormatNumber(p.Format.WidthMM)+" x "+FormatNumber(p.Format.HeightMM))
	}
	p.Batches.Each(func(kind, id string) { put("batches."+kind, id) })
	put("lens", p.Lens)
	put("camera", p.Camera)
	put("light.kind", p.Light.Kind)
	put("light.note", p.Light.Note)
	if !p.Varnished.IsZero() {
		put("varnished", FormatMoment(p.Varnished, true))
	}
	put("judged", p.Judged)
	put("outcome", p.Outcome)
	put("client", p.Client)
	put("title", p.Title)
	put("alt", p.Alt)
	if p.Featured {
		put("featured", "true")
	}
	e.numbers(p)
	e.lists(p)
	e.sittings(p)
	e.ownOf(p.Source)
	e.Notes = strings.TrimSpace(strings.ReplaceAll(p.Body, "\r\n", "\n"))
	return e
}

func (e *Entry) numbers(p *record.Plate) {
	above0 := func(x float64) *float64 {
		if x > 0 {
			return &x
		}
		return nil
	}
	for key, x := range map[string]*float64{
		"exposure.seconds": above0(p.Exposure.Seconds), "exposure.stop": above0(p.Exposure.Stop),
		"exposure.magnification": p.Exposure.Magnification, "exposure.extension_mm": p.Exposure.ExtensionMM,
		"light.ev100": p.Light.EV100, "light.lux": p.Light.Lux,
		"air.temperature_c": p.Air.TemperatureC, "air.humidity_pct": p.Air.HumidityPct,
		"development.seconds": above0(p.Development.Seconds), "development.temperature_c": p.Development.TemperatureC,
	} {
		if x != nil {
			e.values[key] = Value{Text: FormatNumber(*x)}
		}
	}
}

func (e *Entry) lists(p *record.Plate) {
	if p.Has("scans") {
		names := []string{}
		for _, rel := range p.Scans {
			names = append(names, relative(path.Dir(p.File), rel))
		}
		e.values["scans"] = Value{List: names}
	}
	if p.Has("flaws") {
		e.values["flaws"] = Value{List: append([]string{}, p.Flaws...)}
	}
	if p.Has("tags") {
		e.values["tags"] = Value{List: append([]string{}, p.Tags...)}
	}
}

func (e *Entry) sittings(p *record.Plate) {
	e.PeopleGiven = p.SittersGiven
	for i, s := range p.Sitters {
		person := Person{Ref: s.Ref}
		if in := s.Inline; in != nil {
			at := "sitters." + strconv.Itoa(i)
			person.Name, person.Guardian, person.Consent = in.Name, in.Guardian, in.Consent
			person.HasConsent = p.Has(at + ".consent")
		}
		e.People = append(e.People, person)
	}
}

// ownOf takes over the own keys, each with its group or its person.
func (e *Entry) ownOf(s record.Source) {
	for key, text := range s.Extra {
		rest, ofPerson := strings.CutPrefix(key, "sitters.")
		number, own, _ := strings.Cut(rest, ".")
		i, err := strconv.Atoi(number)
		switch {
		case !ofPerson:
			e.own[key] = text
		case err == nil && i >= 0 && i < len(e.People):
			if e.People[i].own == nil {
				e.People[i].own = map[string]string{}
			}
			e.People[i].own[own] = text
		}
	}
}

// relative is a file of the archive named from a folder of it.
func relative(dir, rel string) string {
	if dir == "." {
		return rel
	}
	if inside, ok := strings.CutPrefix(rel, dir+"/"); ok {
		return inside
	}
	up := ""
	for dir != "." && !strings.HasPrefix(rel, dir+"/") {
		up += "../"
		dir = path.Dir(dir)
	}
	if dir == "." {
		return up + rel
	}
	return up + strings.TrimPrefix(rel, dir+"/")
}
