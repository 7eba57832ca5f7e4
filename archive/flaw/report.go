package flaw

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"sandarac/archive/chemistry"
	"sandarac/archive/chemistry/silverbath"
	"sandarac/archive/record"
	"sandarac/archive/stats"
)

// Stock is what is asked about batches; recipe.Stock answers.
type Stock interface {
	Recipe(batch string) (chemistry.Recipe, bool)
	Account(bath string) (silverbath.Account, bool)
}

// fewest is the least number of plates on either side of a contrast, and
// fewestFlawed the least number of plates that must show the flaw at all.
const (
	fewest       = 5
	fewestFlawed = 3
)

// Report is what the archive says of its flaws.
type Report struct {
	Looked int    // plates looked at: with an outcome, a judgement or a flaw noted
	Pages  []Page // the flaws that occur, most frequent first
}

// Page is one flaw's.
type Page struct {
	chemistry.Flaw
	Count     int
	Looked    int
	Rate      float64
	Wilson95  stats.Interval
	Plates    []string   // ids, oldest first
	Contrasts []Contrast // least likely by chance first
	Notes     []string
}

// Contrast is one group of plates against the others.
type Contrast struct {
	Factor Factor
	Level  string // batch id, light kind, or the side of the split
	// With of Of plates of the group show the flaw, OtherWith of OtherOf of the
	// others.
	With, Of, OtherWith, OtherOf int
	// Difference of the two rates, with Newcombe's 95 % interval.
	Difference float64
	Newcombe95 stats.Interval
	P, Holm    float64 // Fisher, two-sided; adjusted over the page
	Strength   Strength
	Text       string
}

// Strength words a contrast.
type Strength string

const (
	MoreOften Strength = "seen more often with"
	LessOften Strength = "seen less often with"
	Unclear   Strength = "no clear difference"
)

// Read looks over all plates made up to and with a day.
func Read(a *record.Archive, today record.Date, stock Stock) (Report, error) {
	looked := lookedAt(a, today)
	groups := groupings(a, looked, stock)
	report := Report{Looked: len(looked)}
	for _, f := range chemistry.Flaws() {
		page, err := pageOf(f, looked, groups)
		if err != nil {
			return Report{}, fmt.Errorf("flaw %s: %w", f.Slug, err)
		}
		if page.Count > 0 {
			report.Pages = append(report.Pages, page)
		}
	}
	slices.SortStableFunc(report.Pages, func(x, y Page) int { return cmp.Compare(y.Count, x.Count) })
	return report, nil
}

// lookedAt are the plates somebody looked at and noted something of; a plate
// without outcome, judgement or flaw says nothing, not "no flaw".
func lookedAt(a *record.Archive, today record.Date) []*record.Plate {
	var out []*record.Plate
	for _, p := range a.Plates {
		if !p.Broken && !p.MadeOn().After(today) && (p.Outcome != "" || p.Judged != "" || len(p.Flaws) > 0) {
			out = append(out, p)
		}
	}
	return out
}

func shows(p *record.Plate, f chemistry.Flaw) bool { return slices.Contains(p.Flaws, f.Slug) }

func pageOf(f chemistry.Flaw, looked []*record.Plate, groups []grouping) (Page, error) {
	page := Page{Flaw: f, Looked: len(looked)}
	for _, p := range looked {
		if shows(p, f) {
			page.Count++
			page.Plates = append(page.Plates, p.ID)
		}
	}
	if page.Count == 0 {
		return page, nil
	}
	page.Rate = float64(page.Count) / float64(page.Looked)
	var err error
	if page.Wilson95, err = stats.Wilson(page.Count, page.Looked, stats.Level95); err != nil {
		return page, err
	}
	if page.Count < fewestFlawed {
		page.Notes = append(page.Notes, fmt.Sprintf("Seen on %d of %d plates: too few to tell what it goes with.", page.Count, page.Looked))
		return page, nil
	}
	for _, g := range groups {
		found, err := g.contrasts(f)
		if err != nil {
			return page, err
		}
		page.Contrasts = append(page.Contrasts, found...)
	}
	return page, page.adjust()
}

// adjust sets Holm's values over the page, and words and sorts the contrasts.
func (p *Page) adjust() error {
	ps := make([]float64, len(p.Contrasts))
	for i, c := range p.Contrasts {
		ps[i] = c.P
	}
	holm, err := stats.Holm(ps)
	if err != nil {
		return err
	}
	for i := range p.Contrasts {
		c := &p.Contrasts[i]
		c.Holm = holm[i]
		c.Strength = Unclear
		if c.Holm <= 0.05 {
			c.Strength = map[bool]Strength{true: MoreOften, false: LessOften}[c.Difference > 0]
		}
		c.Text = c.sentence(p.Flaw, len(p.Contrasts))
	}
	slices.SortStableFunc(p.Contrasts, func(x, y Contrast) int { return cmp.Compare(x.P, y.P) })
	if len(p.Contrasts) == 0 {
		p.Notes = append(p.Notes, fmt.Sprintf("No two groups of at least %d plates to compare.", fewest))
		return nil
	}
	more := 0
	for _, c := range p.Contrasts {
		if c.Strength == MoreOften {
			more++
		}
	}
	if more > 1 {
		p.Notes = append(p.Notes, "Groups used in the same weeks overlap: the counts cannot say which of them it is. Change one thing at a time.")
	}
	p.Notes = append(p.Notes, fmt.Sprintf("%d comparisons, adjusted together (Holm). “Seen more often with” is a lead to test with one plate, not a cause; “no clear difference” is not “no difference”.", len(p.Contrasts)))
	return nil
}

// sentence: "comets: 9 of 60 plates from collodion c1, 2 of 140 from the others
// (p < 0.001)".
func (c Contrast) sentence(f chemistry.Flaw, shown int) string {
	tail := fmt.Sprintf("(%s", pValue(c.P))
	if shown > 1 {
		tail += fmt.Sprintf("; %s allowing for the %d comparisons", pValue(c.Holm), shown)
	}
	return fmt.Sprintf("%s: %d of %d plates %s, %d of %d %s %s)", f.Term, c.With, c.Of, c.Factor.here(c.Level), c.OtherWith, c.OtherOf, c.Factor.there(c.Level), tail)
}

func pValue(p float64) string {
	if p < 0.001 {
		return "p < 0.001"
	}
	text := strings.TrimRight(fmt.Sprintf("%.3f", p), "0")
	return "p = " + strings.TrimSuffix(text, ".")
}
