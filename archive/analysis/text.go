package analysis

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"sandarac/archive/exposure"
)

// Text writes the report for a terminal: findings first, then the tables, in
// lines of at most width characters (80 where width is less than 40).
func (r *Report) Text(w io.Writer, width int) error {
	if width < 40 {
		width = 80
	}
	p := &printer{w: w, width: width}
	p.line(fmt.Sprintf("%s as of %s", capital(plates(r.Plates)), r.AsOf))
	p.head("What the records say")
	for i, f := range r.Findings {
		p.wrapped(fmt.Sprintf("%2d. ", i+1), fmt.Sprintf("%s [%s]", f.Text, f.Strength))
	}
	for _, g := range r.groupings() {
		if g.name == "month" {
			continue
		}
		p.groups(g.name, *g.groups)
	}
	p.months(r.Series.Months)
	p.exposure(r.ExposureModel)
	p.exposureAge(r.ExposureModelAge)
	p.keeper(r.KeeperModel)
	p.ageing(r)
	p.baths(r.Baths)
	if len(r.Notes) > 0 {
		p.head("Notes")
		for _, n := range r.Notes {
			p.wrapped("- ", n)
		}
	}
	return p.err
}

// printer keeps the first error of writing and skips the rest.
type printer struct {
	w     io.Writer
	width int
	err   error
}

func (p *printer) raw(s string) {
	if p.err == nil {
		_, p.err = io.WriteString(p.w, s)
	}
}

func (p *printer) line(s string) { p.raw(s + "\n") }

func (p *printer) head(s string) { p.raw("\n" + strings.ToUpper(s) + "\n") }

func (p *printer) wrapped(prefix, text string) { p.raw(wrap(prefix, text, p.width)) }

func (p *printer) grid(g *grid) {
	if p.err == nil && len(g.rows) > 0 {
		p.err = g.write(p.w, p.width)
	}
}

var groupTitles = map[string]string{
	"collodion": "Collodion batches", "bath": "Silver baths", "light": "Kinds of light",
	"format": "Formats", "lens": "Lenses", "month": "Months",
}

func (p *printer) groups(name string, groups []Group) {
	if len(groups) == 0 {
		return
	}
	p.head(groupTitles[name])
	adjusted := false
	for _, g := range groups {
		adjusted = adjusted || g.AdjustedRate != nil
	}
	t := &grid{head: []string{"", "kept", "95 %"}}
	if adjusted {
		t.head = append(t.head, "equal terms")
	}
	t.head = append(t.head, "right", "seconds", "EI", "EI, middle half")
	pooled := false
	for _, g := range groups {
		cells := []string{g.Key, fmt.Sprintf("%d/%d", g.Keepers, g.Plates), percents(g.Wilson95)}
		if g.TooFew {
			cells[2] = "too few"
		}
		if adjusted {
			c := "–"
			if g.AdjustedRate != nil {
				c = percent(*g.AdjustedRate)
			}
			cells = append(cells, c)
		}
		ei := "–"
		if g.Right.EI != nil {
			ei = two(*g.Right.EI.Geomean)
			if g.Right.Lights > 1 {
				ei, pooled = "*"+ei, true
			}
		}
		cells = append(cells, fmt.Sprint(g.Right.N), geomean(g.Right.Seconds), ei, quartiles(g.Right.EI))
		t.add(cells...)
	}
	p.grid(t)
	if adjusted {
		p.wrapped("", "Equal terms: the rate expected over the archive's own mix of light and age, drawn towards the others where plates are few.")
	}
	if pooled {
		p.wrapped("", "* pools kinds of light, which have an EI each: not for advice.")
	}
	if name == "collodion" {
		p.wrapped("", "Right: plates judged right, tests included; their seconds and EI are geometric means.")
	}
}

func geomean(s *Spread) string {
	if s == nil {
		return "–"
	}
	return two(*s.Geomean)
}

func quartiles(s *Spread) string {
	if s == nil || s.N < 4 {
		return "–"
	}
	return two(*s.Q25) + "–" + two(*s.Q75)
}

func (p *printer) months(months []MonthPoint) {
	if len(months) == 0 {
		return
	}
	p.head(groupTitles["month"])
	t := &grid{head: []string{"", "kept", "rate", "usual range", ""}, left: map[int]bool{4: true}}
	for _, m := range months {
		mark := ""
		if m.Outside {
			mark = "outside"
		}
		usual := "–"
		if m.Charted {
			l := m.Limits
			usual = percents(&l)
		}
		t.add(m.Month, fmt.Sprintf("%d/%d", m.Keepers, m.Plates), percent(m.Rate), usual, mark)
	}
	p.grid(t)
}

func (p *printer) exposure(m *ExposureModel) {
	if m == nil {
		return
	}
	p.head("What each batch wants")
	t := &grid{head: []string{"", "light", "judged", "EI", "95 %"}, left: map[int]bool{1: true}}
	for _, c := range m.Cells {
		if c.N == 0 {
			continue
		}
		ei := "–"
		if c.AimEI != nil {
			ei = two(*c.AimEI)
		}
		t.add(c.Batch, shorten(c.Light, 24), fmt.Sprint(c.N), ei, openTwos(c.AimEI95))
	}
	p.grid(t)
	if m.LatitudeStops != nil {
		p.wrapped("", fmt.Sprintf("Latitude %.1f stops; %s.", *m.LatitudeStops, judgedPlates(m.N)))
	}
	p.notes(m.Notes)
}

// openTwos is an interval of EI, or words where it spans more than four stops.
func openTwos(l *Limits) string {
	if l != nil && l[1] > 16*l[0] {
		return "wide open"
	}
	return twos(l)
}

func (p *printer) notes(notes []string) {
	for _, n := range notes {
		p.wrapped("- ", n)
	}
}

func (p *printer) exposureAge(m *ExposureModel) {
	if m == nil || m.AgeDays == nil || m.Dose == nil {
		return
	}
	if l := m.AgeStops95; l != nil {
		p.wrapped("", fmt.Sprintf("With the age of the collodion in the model, a month of age asks for %s, somewhere from %s to %s; %s. The table above is for the ages of its plates together; expose allows for the age of the day.",
			asks(30**m.AgeStops), asks(30*l[0]), asks(30*l[1]), judgedPlates(m.N)))
	}
}

func (p *printer) keeper(m *KeeperModel) {
	if m == nil {
		return
	}
	p.head("Which is best")
	if m.Best.Collodion == nil && m.Best.Light == nil {
		p.wrapped("", "Nothing to choose between yet.")
		p.notes(m.Notes)
		return
	}
	for _, b := range []struct {
		title string
		of    map[string]float64
	}{{"batch", m.Best.Collodion}, {"light", m.Best.Light}} {
		if len(b.of) == 0 {
			continue
		}
		t := &grid{head: []string{b.title, "chance of being best"}}
		for _, k := range sortedKeys(b.of) {
			t.add(k, chance(b.of[k]))
		}
		p.grid(t)
		if slices.Max(slices.Collect(maps.Values(b.of))) < 0.9 {
			p.wrapped("", "None is clearly the best.")
		}
	}
	p.wrapped("", fmt.Sprintf("From %s at equal light and age.", plates(m.N)))
	p.notes(m.Notes)
}

// chance is a simulated probability, which never says none or certain.
func chance(p float64) string {
	switch {
	case p < 0.01:
		return "under 1 %"
	case p > 0.99:
		return "over 99 %"
	}
	return percent(p)
}

func (p *printer) ageing(r *Report) {
	told := r.AgeingPooled != nil || slices.ContainsFunc(r.Ageing, func(a Ageing) bool { return a.SlopeStopsPerDay != nil && a.N >= TooFew })
	if !told {
		return // the notes say why
	}
	p.head("Ageing")
	pooled := false
	t := &grid{head: []string{"", "right", "stop/week", "95 %"}}
	add := func(name string, a Ageing) {
		slope, interval := "–", "–"
		if a.SlopeStopsPerDay != nil && a.N >= TooFew {
			slope = signed(7**a.SlopeStopsPerDay, 2)
			if a.Lights > 1 {
				slope, pooled = "*"+slope, true
			}
			if !a.Clamped {
				interval = signed(7*a.Interval95[0], 2) + " to " + signed(7*a.Interval95[1], 2)
			}
		} else if a.N < TooFew {
			interval = "too few"
		}
		t.add(name, fmt.Sprint(a.N), slope, interval)
	}
	if r.AgeingPooled != nil {
		add("all, within batch and light", *r.AgeingPooled)
	}
	for _, a := range r.Ageing {
		add(a.Batch, a)
	}
	p.grid(t)
	if pooled {
		p.wrapped("", "* pools kinds of light, whose EIs differ: the slope may be theirs.")
	}
	p.wrapped("", "Below zero the collodion grows slower. Plates of a day share their errors, so take single batches as hints.")
}

func (p *printer) baths(baths []Bath) {
	if len(baths) == 0 {
		return
	}
	p.head("Baths by plates since they were tended")
	t := &grid{head: []string{"", "plates", "kept", "95 %", "fogged"}}
	for _, b := range baths {
		for _, x := range b.Wear {
			span := fmt.Sprintf("%d–%d", x.From, x.To)
			if x.To == 0 {
				span = fmt.Sprintf("%d on", x.From)
			}
			interval := percents(x.Wilson95)
			if x.Plates < TooFew {
				interval = "too few"
			}
			t.add(b.Batch, span, fmt.Sprintf("%d/%d", x.Keepers, x.Plates), interval, fmt.Sprintf("%d/%d", x.Flawed, x.Plates))
		}
	}
	p.grid(t)
	for _, b := range baths {
		if b.Signal != "" {
			p.wrapped("", fmt.Sprintf("%s: test the bath, signalled at plate %s, look from plate %s on.", b.Batch, b.Signal, b.Change))
		}
	}
}

// Text writes the advice for a terminal.
func (a *Advice) Text(w io.Writer, width int) error {
	if width < 40 {
		width = 80
	}
	p := &printer{w: w, width: width}
	p.line(secondsText(a.Count.Seconds) + between(a.Count.Seconds95))
	p.line(fmt.Sprintf("Half-stop bracket: %s and %s", secondsText(a.Count.Bracket[0]), secondsText(a.Count.Bracket[1])))
	at := fmt.Sprintf("EI %s at f/%s, EV %s", two(a.EI), fnumber(a.Stop), decimals(a.EV100, 1))
	if a.Bellows >= 0.05 {
		at += fmt.Sprintf(", bellows %.1f stop", a.Bellows)
	}
	p.line(at)
	if a.PRight != nil {
		p.line("Chance of being judged right: " + percent(*a.PRight))
	}
	p.wrapped("", "Rests on "+lowerFirst(a.RestsOn)+".")
	p.notes(a.Notes)
	return p.err
}

func between(l *Limits) string {
	if l == nil {
		return ""
	}
	return fmt.Sprintf("   (95 %%: %s to %s)", secondsText(l[0]), secondsText(l[1]))
}

func lowerFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

// Text writes the table for a terminal or a printer.
func (t *Table) Text(w io.Writer, width int) error {
	p := &printer{w: w, width: width}
	p.line(fmt.Sprintf("%s, %s: EI %s (%s), %s", t.Batch, t.Light, two(t.EI), twos(t.EI95), judgedPlates(t.Judged)))
	g := &grid{head: []string{"EV"}}
	for _, n := range t.Stops {
		g.head = append(g.head, "f/"+fnumber(n))
	}
	for i, ev := range t.EV100 {
		cells := []string{decimals(ev, 0)}
		for _, x := range t.Times[i] {
			cells = append(cells, secondsText(x.Count))
		}
		g.add(cells...)
	}
	p.grid(g)
	p.notes(t.Notes)
	m1, _ := exposure.BellowsStops(0.2)
	p.wrapped("", fmt.Sprintf("For a far subject. At magnification 0.2 give %.1f stop more.", m1))
	return p.err
}
