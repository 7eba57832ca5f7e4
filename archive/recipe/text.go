package recipe

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"sandarac/archive/chemistry"
	"sandarac/archive/chemistry/substance"
	"sandarac/archive/chemistry/unit"
)

const width = 76

// Write prints a bench card as plain text for a terminal or a printer: what to
// weigh, in what order, and every caution, ending with the deferral.
func Write(w io.Writer, title string, c chemistry.BenchCard) error {
	var p page
	p.line("%s, %s", title, c.Recipe.Kind)
	if c.Recipe.VolumeMl > 0 {
		p.line("for %s ml", unit.Figure(c.Recipe.VolumeMl))
	}
	p.label(c.Panel)
	p.blank()
	p.amounts(c.Amounts)
	p.order(orderLines(c))
	p.list("Comes to", c.Figures)
	p.list("Taken for granted", c.Recipe.Assumptions)
	p.list("Remarks", remarkLines(c.Remarks))
	p.panel(c.Panel)
	p.list("Less dangerous", substituteLines(c.Substitutes))
	p.list("Whom to call", c.Panel.FirstAid)
	p.blank()
	p.wrap("", c.Panel.Deferral)
	_, err := io.WriteString(w, p.String())
	return err
}

// page gathers lines.
type page struct{ strings.Builder }

func (p *page) line(format string, args ...any) { fmt.Fprintf(p, format+"\n", args...) }
func (p *page) blank()                          { p.WriteByte('\n') }

// wrap breaks text at spaces; lead stands before the first line, and as many
// spaces before the others.
func (p *page) wrap(lead, text string) {
	indent := strings.Repeat(" ", utf8.RuneCountInString(lead))
	row, used := lead, utf8.RuneCountInString(lead)
	empty := true
	for word := range strings.FieldsSeq(text) {
		n := utf8.RuneCountInString(word)
		if !empty && used+1+n > width {
			p.line("%s", row)
			row, used, empty = indent, len(indent), true
		}
		if !empty {
			row, used = row+" ", used+1
		}
		row, used, empty = row+word, used+n, false
	}
	p.line("%s", row)
}

func (p *page) list(heading string, lines []string) {
	if len(lines) == 0 {
		return
	}
	p.blank()
	p.line("%s", heading)
	for _, l := range lines {
		p.wrap("  - ", l)
	}
}

func (p *page) order(lines []string) {
	if len(lines) == 0 {
		return
	}
	p.blank()
	p.line("Order of mixing")
	for i, l := range lines {
		p.wrap(fmt.Sprintf("  %d. ", i+1), l)
	}
}

func (p *page) label(panel chemistry.Panel) {
	if panel.Word != "" {
		p.wrap("", strings.ToUpper(string(panel.Word))+": "+strings.Join(names(panel.Pictograms), ", "))
	}
	// A word that leaves a bottle out reads as milder than the mixture is.
	if unknown := withoutData(panel.Rows); panel.Word != "" && len(unknown) > 0 {
		p.wrap("", "That leaves out "+strings.Join(unknown, ", ")+": "+substance.NoData+".")
	}
	if panel.Pregnancy != "" {
		p.wrap("", panel.Pregnancy)
	}
}

func withoutData(rows []chemistry.Row) []string {
	var out []string
	for _, r := range rows {
		if r.NoData != "" {
			out = append(out, r.Name)
		}
	}
	return out
}

func names(list []substance.Pictogram) []string {
	out := make([]string, len(list))
	for i, x := range list {
		out[i] = x.Name()
	}
	return out
}

func (p *page) amounts(lines []chemistry.CardLine) {
	longest := 0
	for _, l := range lines {
		longest = max(longest, utf8.RuneCountInString(l.Name))
	}
	for _, l := range lines {
		pad := strings.Repeat(" ", longest-utf8.RuneCountInString(l.Name))
		p.line("  %s%s  %10s   %s in 100 ml; written %s", l.Name, pad, l.Amount, l.Per100, l.Written)
	}
}

func orderLines(c chemistry.BenchCard) []string {
	var out []string
	for _, s := range c.Order {
		text := s.Text
		var what []string
		for _, i := range s.Lines {
			what = append(what, c.Amounts[i].Name+" "+c.Amounts[i].Amount)
		}
		if len(what) > 0 {
			text += ": " + strings.Join(what, ", ")
		}
		out = append(out, text+".")
	}
	return out
}

func remarkLines(problems []chemistry.Problem) []string {
	var out []string
	for _, p := range problems {
		out = append(out, p.Message+": "+p.Remedy+".")
	}
	return out
}

func substituteLines(list []chemistry.Substitute) []string {
	var out []string
	for _, s := range list {
		out = append(out, "For "+s.For+": "+s.Use+". "+s.Changes)
	}
	return out
}

func (p *page) panel(panel chemistry.Panel) {
	var labels []string
	for _, r := range panel.Rows {
		if r.NoData != "" {
			labels = append(labels, r.Name+": "+r.NoData+".")
			continue
		}
		text := r.Name + ":"
		if r.Word != "" {
			text += " " + string(r.Word) + "."
		}
		for _, s := range r.Statements {
			text += " " + string(s) + " " + s.Text()
		}
		if r.Note != "" {
			text += " " + r.Note
		}
		labels = append(labels, text)
	}
	p.list("Labels (as of "+panel.AsOf+"; read your supplier's data sheet)", labels)
	p.list("At the bench", panel.Kind)
	p.list("Protect yourself", panel.Protect)
	var pairs []string
	for _, x := range panel.Pairs {
		pairs = append(pairs, x.Warns()+" "+x.Rule)
	}
	p.list("Keep apart", pairs)
	p.list("Storage", panel.Store)
	p.list("Waste", panel.Waste)
}
