package benchbook

import (
	"context"
	"fmt"
	"strings"

	"sandarac/archive/flaw"
)

// flawsView lists the flaws that occur; the trade's terms bound it.
type flawsView struct {
	Looked int       `json:"looked"`
	Rows   []flawRow `json:"rows"`
}

type flawRow struct {
	Term   string `json:"term"`
	To     string `json:"to"`
	N      int    `json:"n"`
	Rate   string `json:"rate"`
	Wilson string `json:"wilson"`
	Lead   string `json:"lead"` // the clearest of what it goes with
}

// flawPageView is the page of one flaw.
type flawPageView struct {
	Term      string         `json:"term"`
	Synonyms  string         `json:"synonyms"`
	Look      string         `json:"look"`
	Records   string         `json:"records"`
	Said      string         `json:"said"`
	Causes    []causeView    `json:"causes"`
	Contrasts []contrastView `json:"contrasts"`
	Plates    []said         `json:"plates"`
	All       string         `json:"all"`
	Notes     []string       `json:"notes"`
}

// contrastView is one group against the others.
type contrastView struct {
	Factor   string `json:"factor"`
	Level    string `json:"level"`
	To       string `json:"to"`
	Here     string `json:"here"`
	There    string `json:"there"`
	Interval string `json:"interval"`
	Holm     string `json:"holm"`
	Strength string `json:"strength"`
}

const (
	flawPlates    = 24 // plates named on a flaw's page
	flawContrasts = 20
)

func (s *stage) writeFlaws(context.Context) error {
	report, err := flaw.Read(s.Archive, s.Today, s.stock)
	if err != nil {
		return err
	}
	v := flawsView{Looked: report.Looked}
	for _, p := range report.Pages {
		to := "learned/flaw-" + slug(p.Slug) + "/"
		row := flawRow{Term: p.Term, To: to, N: p.Count, Rate: percent(p.Rate), Wilson: percents(p.Wilson95.Lo, p.Wilson95.Hi)}
		if len(p.Contrasts) > 0 && p.Contrasts[0].Strength != flaw.Unclear {
			row.Lead = p.Contrasts[0].Text
		}
		v.Rows = append(v.Rows, row)
		if err := s.content(strings.TrimSuffix(to, "/"), page{Title: capital(p.Term), Layout: "flaw", Params: s.flawPage(p)}); err != nil {
			return err
		}
	}
	return s.content("learned/flaws", page{Title: "Flaws and what they go with", Layout: "flaws", Params: v})
}

func (s *stage) flawPage(p flaw.Page) flawPageView {
	v := flawPageView{Term: p.Term, Synonyms: strings.Join(p.Synonyms, ", "), Look: p.Look, Records: p.Records, Notes: p.Notes,
		Said: fmt.Sprintf("%d of %s looked at, %s (95 %% interval %s).", p.Count, count(p.Looked, "plate"), percent(p.Rate), percents(p.Wilson95.Lo, p.Wilson95.Hi)),
		All:  "plates/?flaw=" + p.Slug}
	for _, c := range p.Causes {
		v.Causes = append(v.Causes, causeView{Text: c.Text, Remedy: c.Remedy, Source: c.Source})
	}
	for _, c := range p.Contrasts[:min(len(p.Contrasts), flawContrasts)] {
		row := contrastView{Factor: string(c.Factor), Level: c.Level, Here: fmt.Sprintf("%d of %d", c.With, c.Of), There: fmt.Sprintf("%d of %d", c.OtherWith, c.OtherOf),
			Interval: pointsBetween(c.Newcombe95.Lo, c.Newcombe95.Hi), Holm: chance(c.Holm), Strength: string(c.Strength)}
		switch _, isBatch := s.Archive.Batch(string(c.Factor), c.Level); {
		case isBatch:
			row.To = s.batchPath(c.Level)
		case c.Factor == flaw.Light:
			row.To = s.groupPath("light", c.Level)
		}
		v.Contrasts = append(v.Contrasts, row)
	}
	for i := len(p.Plates) - 1; i >= 0 && len(v.Plates) < flawPlates; i-- {
		w := said{Text: p.Plates[i]}
		if plate, ok := s.Archive.Plate(p.Plates[i]); ok {
			w.To = s.platePath(plate)
		}
		v.Plates = append(v.Plates, w)
	}
	return v
}
