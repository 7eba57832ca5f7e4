package benchbook

import (
	"context"
	"fmt"
	"strings"

	"sandarac/archive/exposure"
	"sandarac/archive/picture"
	"sandarac/archive/record"
)

// plateView is what the page of a plate shows; the lists use its head.
type plateView struct {
	ID       string       `json:"id"`
	To       string       `json:"to"`
	Day      string       `json:"day"`
	Outcome  string       `json:"outcome,omitempty"`
	Judged   string       `json:"judged,omitempty"`
	Support  string       `json:"support,omitempty"`
	Broken   bool         `json:"broken,omitempty"`
	Public   bool         `json:"public,omitempty"`
	Alt      string       `json:"alt"`
	Line     string       `json:"line"`            // the short second line
	Thumb    *scanView    `json:"thumb,omitempty"` // nil without a scan
	Why      string       `json:"why,omitempty"`   // there is no picture
	Pictures []scanView   `json:"pictures,omitempty"`
	Verdict  []said       `json:"verdict"`
	Groups   []group      `json:"groups"`
	Flaws    []flawView   `json:"flaws,omitempty"`
	Shown    shownView    `json:"shown"`
	Cure     string       `json:"cure"`
	Findings []findingRow `json:"findings,omitempty"`
	Newer    *said        `json:"newer,omitempty"`
	Older    *said        `json:"older,omitempty"`
	Papers   []said       `json:"papers,omitempty"`
}

// scanView is a picture of a plate in two sizes.
type scanView struct {
	Small  file   `json:"small"`
	Large  file   `json:"large"`
	Alt    string `json:"alt"`
	Master string `json:"master"`
}

type file struct {
	Src string `json:"src"`
	W   int    `json:"w"`
	H   int    `json:"h"`
}

// writePlates writes a page for every plate and lists its pictures.
func (s *stage) writePlates(ctx context.Context) error {
	for i, p := range s.plates {
		if err := ctx.Err(); err != nil {
			return err
		}
		at := page{Title: s.plateTitle(p), Layout: "plate", Weight: i + 1, Params: s.plateView(i), notes: p.Body}
		p.Batches.Each(func(kind, id string) {
			if _, ok := s.Archive.Batch(kind, id); ok {
				at.Batch = append(at.Batch, s.batchSlug[id])
			}
		})
		if slug, ok := s.clientSlug[p.Client]; ok {
			at.Client = []string{slug}
		}
		if err := s.content("plates/"+s.plateSlug[p], at); err != nil {
			return err
		}
		s.done.Pages++
	}
	return s.content("plates/_index", page{Title: "Plates", Params: map[string]any{"listed": len(s.plates)}})
}

func (s *stage) platePath(p *record.Plate) string { return "plates/" + s.plateSlug[p] + "/" }

func (s *stage) plateTitle(p *record.Plate) string {
	if t := oneLine(p.Title); t != "" {
		return p.ID + " " + t
	}
	return p.ID
}

func (s *stage) plateView(i int) plateView {
	p := s.plates[i]
	v := plateView{ID: p.ID, To: s.platePath(p), Day: shortDay(p.MadeOn()), Outcome: p.Outcome, Judged: p.Judged, Support: p.Support,
		Broken: p.Broken, Public: s.PublicPaths[p.ID] != "", Alt: plateAlt(p), Line: s.plateLine(p), Verdict: s.verdict(p),
		Groups: s.plateGroups(p), Flaws: s.flawViews(p), Shown: s.shown(p), Cure: s.cure(p)}
	for _, f := range s.findingsOf(p) {
		v.Findings = append(v.Findings, s.findingRow(f, p))
	}
	for n, rel := range p.Scans {
		if im, ok := s.image(p, rel, n); ok {
			v.Pictures = append(v.Pictures, im)
		}
	}
	switch {
	case len(v.Pictures) > 0:
		v.Thumb = &v.Pictures[0]
	case p.Broken:
		v.Why = "The record has errors, so no picture was made of it."
	case len(p.Scans) == 0:
		v.Why = "Not scanned yet."
	default:
		v.Why = "No picture could be made of the scan."
	}
	v.Papers = s.platePapers(p)
	if i > 0 {
		v.Newer = &said{Text: s.plateTitle(s.plates[i-1]), To: s.platePath(s.plates[i-1])}
	}
	if i+1 < len(s.plates) {
		v.Older = &said{Text: s.plateTitle(s.plates[i+1]), To: s.platePath(s.plates[i+1])}
	}
	return v
}

func plateAlt(p *record.Plate) string {
	if a := oneLine(p.Alt); a != "" {
		return a
	}
	if t := oneLine(p.Title); t != "" {
		return t
	}
	return "Plate " + p.ID
}

// image finds the pictures of a scan and lists them for copying. They are named
// by their content, so that a browser may keep them.
func (s *stage) image(p *record.Plate, rel string, n int) (scanView, bool) {
	set, ok := s.Sets[s.Archive.Path(rel)]
	if !ok || p.Broken {
		return scanView{}, false
	}
	out := scanView{Alt: plateAlt(p), Master: rel}
	if n > 0 {
		out.Alt = fmt.Sprintf("Plate %s, scan %d", p.ID, n+1)
	}
	small, large := widths(set)
	if small == nil {
		return scanView{}, false
	}
	out.Small, out.Large = s.place(*small), s.place(*large)
	return out, true
}

// widths are the narrowest and the widest picture of the bench book in a set.
func widths(set picture.Set) (small, large *picture.File) {
	for i, f := range set.Files {
		if f.Output.Edition != Edition || f.Width <= 0 || f.Height <= 0 {
			continue
		}
		if small == nil || f.Width < small.Width {
			small = &set.Files[i]
		}
		if large == nil || f.Width > large.Width {
			large = &set.Files[i]
		}
	}
	return small, large
}

func (s *stage) place(f picture.File) file {
	to := fmt.Sprintf("pictures/%x.jpg", f.SHA256[:10])
	if !s.placed[to] {
		s.placed[to] = true
		s.done.Copies = append(s.done.Copies, Copy{f.Path, to})
	}
	return file{to, f.Width, f.Height}
}

// plateLine is what a list says of a plate beside its title.
func (s *stage) plateLine(p *record.Plate) string {
	parts := []string{}
	if p.Broken {
		parts = append(parts, "record has errors")
	}
	switch {
	case p.Outcome != "":
		parts = append(parts, p.Outcome)
	case p.Purpose == "test":
		parts = append(parts, "test")
	default:
		parts = append(parts, "no outcome yet")
	}
	if p.Judged != "" {
		parts = append(parts, p.Judged)
	}
	if t := exposureWords(p); t != "" {
		parts = append(parts, t)
	}
	if l := oneLine(p.Light.Kind); l != "" {
		parts = append(parts, l)
	}
	if p.Batches.Collodion != "" {
		parts = append(parts, p.Batches.Collodion)
	}
	return strings.Join(parts, " · ")
}

func exposureWords(p *record.Plate) string {
	var parts []string
	if p.Exposure.Seconds > 0 {
		parts = append(parts, plain(p.Exposure.Seconds)+" s")
	}
	if p.Exposure.Stop > 0 {
		parts = append(parts, "f/"+plain(p.Exposure.Stop))
	}
	return strings.Join(parts, " at ")
}

// verdict is what was thought of the plate, in words.
func (s *stage) verdict(p *record.Plate) []said {
	var out []said
	if p.Broken {
		out = append(out, said{Text: "record has errors"})
	}
	if p.Purpose == "test" {
		out = append(out, said{Text: "test plate"})
	}
	if p.Outcome != "" || p.Purpose != "test" {
		out = append(out, said{Text: outcomeWords(p)})
	}
	if p.Judged != "" {
		out = append(out, said{Text: "exposure " + p.Judged})
	} else {
		out = append(out, said{Text: "exposure not judged"})
	}
	return out
}

func outcomeWords(p *record.Plate) string {
	if p.Outcome == "" {
		return "no outcome yet"
	}
	return p.Outcome
}

// setting is the exposure as made, false when something of it is not known.
func (s *stage) setting(p *record.Plate) (exposure.Setting, bool) {
	set := exposure.Setting{Seconds: p.Exposure.Seconds, Stop: p.Exposure.Stop}
	m, known := s.magnification(p)
	ev, read := s.ev100(p)
	set.Magnification, set.EV100 = m, ev
	return set, known && read && set.Seconds > 0 && set.Stop > 0
}

// magnification is the recorded one, the one that follows from the extension,
// or 0 when neither is noted: far away.
func (s *stage) magnification(p *record.Plate) (float64, bool) {
	switch {
	case p.Exposure.Magnification != nil:
		return *p.Exposure.Magnification, true
	case p.Exposure.ExtensionMM == nil:
		return 0, true
	}
	lens, ok := s.Archive.Studio.LensByID(p.Lens)
	if !ok {
		return 0, false
	}
	m, err := exposure.Magnification(*p.Exposure.ExtensionMM, lens.FocalMM)
	return m, err == nil
}

func (s *stage) ev100(p *record.Plate) (float64, bool) {
	switch {
	case p.Light.EV100 != nil:
		return *p.Light.EV100, true
	case p.Light.Lux != nil:
		ev, err := exposure.EV100FromLux(*p.Light.Lux, s.Archive.Studio.MeterConstant)
		return ev, err == nil
	}
	return 0, false
}
