package analysis

import (
	"fmt"
	"sort"
	"strings"
	"time"

	"sandarac/archive/exposure"
	"sandarac/archive/record"
)

// A row is one plate as the analysis sees it.
type row struct {
	id    string
	made  time.Time
	day   record.Date
	month string
	test  bool

	collodion, bath, light, format, lens string
	flaws                                []string

	outcome int // keeper 1, remake or scrapped 0, unknown none
	grade   int // under 0, right 1, over 2, unknown none

	seconds, stop, magnification, ev100 float64
	dose, ei                            float64 // when dosed
	dosed                               bool    // seconds, stop, light and distance are all known

	age  int // of the collodion in days, when aged
	aged bool
}

const none = -1

func (r row) keeper() bool { return r.outcome == 1 }
func (r row) right() bool  { return r.grade == 1 }

// counted says whether the plate counts in keeper rates: it has an outcome
// and is not a test.
func (r row) counted() bool { return r.outcome != none && !r.test }

// modelled says whether the plate can teach the exposure model.
func (r row) modelled() bool {
	return r.grade != none && r.dosed && r.light != "" && r.collodion != ""
}

// tabulate reads the plates in a fixed order, so that no result depends on
// the order of the files, and says what was left out and why.
func tabulate(a *record.Archive) (rows []row, notes []string) {
	var broken, unmeasured, noLens int
	for _, p := range a.Plates {
		if p.Broken {
			broken++
			continue
		}
		r, why := read(a, p)
		switch why {
		case noFocalLength:
			noLens++
		case noReading:
			if r.grade != none {
				unmeasured++
			}
		}
		rows = append(rows, r)
	}
	sort.SliceStable(rows, func(i, j int) bool {
		if c := rows[i].made.Compare(rows[j].made); c != 0 {
			return c < 0
		}
		return rows[i].id < rows[j].id
	})
	if broken > 0 {
		notes = append(notes, fmt.Sprintf("%s left out: the record has an error.", plates(broken)))
	}
	if noLens > 0 {
		notes = append(notes, fmt.Sprintf("%s without a dose: the extension is given but not the focal length of the lens.", plates(noLens)))
	}
	if unmeasured > 0 {
		notes = append(notes, fmt.Sprintf("%s judged but without seconds, stop or a light reading: they teach no exposure.", plates(unmeasured)))
	}
	return rows, notes
}

type doseGap int

const (
	doseKnown doseGap = iota
	noReading
	noFocalLength
)

func read(a *record.Archive, p *record.Plate) (row, doseGap) {
	r := row{
		id: p.ID, made: p.Made, day: p.MadeOn(), test: p.Purpose == "test",
		collodion: p.Batches.Collodion, bath: p.Batches.Bath, light: strings.TrimSpace(p.Light.Kind),
		format: formatKey(p.Format), lens: p.Lens, flaws: p.Flaws,
		outcome: none, grade: none, seconds: p.Exposure.Seconds, stop: p.Exposure.Stop,
	}
	if !r.day.IsZero() {
		r.month = fmt.Sprintf("%04d-%02d", r.day.Year, int(r.day.Month))
	}
	switch p.Outcome {
	case "keeper":
		r.outcome = 1
	case "remake", "scrapped":
		r.outcome = 0
	}
	for i, g := range record.Grades {
		if p.Judged == g {
			r.grade = i
		}
	}
	// A plate made before its collodion is a slip of the pen, not an age.
	r.age, r.aged = a.AgeDays(p)
	r.aged = r.aged && r.age >= 0
	return r, r.measure(a, p)
}

// measure works out dose and EI.
func (r *row) measure(a *record.Archive, p *record.Plate) doseGap {
	switch {
	case p.Light.EV100 != nil:
		r.ev100 = *p.Light.EV100
	case p.Light.Lux != nil:
		ev, err := exposure.EV100FromLux(*p.Light.Lux, meterConstant(a.Studio))
		if err != nil {
			return noReading
		}
		r.ev100 = ev
	default:
		return noReading
	}
	m, ok := magnificationOf(a.Studio, p.Exposure.Magnification, p.Exposure.ExtensionMM, p.Lens)
	if !ok {
		return noFocalLength
	}
	r.magnification = m
	s := exposure.Setting{Seconds: r.seconds, Stop: r.stop, Magnification: m, EV100: r.ev100}
	dose, err := s.Dose()
	if err != nil {
		return noReading
	}
	ei, err := s.EI()
	if err != nil {
		return noReading
	}
	r.dose, r.ei, r.dosed = dose, ei, true
	return doseKnown
}

func meterConstant(s *record.Studio) float64 {
	if s != nil && s.MeterConstant > 0 {
		return s.MeterConstant
	}
	return exposure.MeterConstant
}

// magnificationOf takes the magnification as given, or from extension and
// focal length; neither means far away, 0. False when an extension is given
// for a lens of unknown focal length.
func magnificationOf(s *record.Studio, m, extensionMM *float64, lens string) (float64, bool) {
	if m != nil {
		return *m, true
	}
	if extensionMM == nil {
		return 0, true
	}
	if s == nil {
		return 0, false
	}
	l, ok := s.LensByID(lens)
	if !ok {
		return 0, false
	}
	v, err := exposure.Magnification(*extensionMM, l.FocalMM)
	return v, err == nil
}

func formatKey(f record.Format) string {
	if f.Slug != "" {
		return f.Slug
	}
	if f.WidthMM > 0 && f.HeightMM > 0 {
		return fmt.Sprintf("%gx%g mm", f.WidthMM, f.HeightMM)
	}
	return ""
}

func plates(n int) string {
	if n == 1 {
		return "1 plate"
	}
	return fmt.Sprintf("%d plates", n)
}
