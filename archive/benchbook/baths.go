package benchbook

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"sandarac/archive/analysis"
	"sandarac/archive/benchbook/plot"
)

// bathsView is a page of the baths over their working life.
type bathsView struct {
	Baths []bathView `json:"baths"`
	Turn  turn       `json:"turn"`
}

type bathView struct {
	ID    string     `json:"id"`
	To    string     `json:"to"`
	Said  []said     `json:"said"`
	Plot  *plot.Plot `json:"plot"`
	Cut   int        `json:"cut"` // plates older than the chart shows
	Rows  []chartRow `json:"rows"`
	Wear  []wearRow  `json:"wear"`
	Notes []string   `json:"notes"`
}

// chartRow is one plate of the chart.
type chartRow struct {
	Plate string `json:"plate"`
	To    string `json:"to"`
	Day   string `json:"day"`
	Since int    `json:"since"`
	Value string `json:"value"`
	Limit string `json:"limit"`
	Word  string `json:"word"`
}

type wearRow struct {
	Range  string `json:"range"`
	Plates int    `json:"plates"`
	Kept   string `json:"kept"`
	Wilson string `json:"wilson"`
	Flawed string `json:"flawed"`
	Flaw95 string `json:"flaw95"`
	Few    bool   `json:"few"`
}

const (
	bathSize   = 4   // baths on a page
	chartDots  = 300 // plates on a chart
	chartTable = 40  // plates in its table
)

func (s *stage) writeBaths(context.Context) error {
	baths := slices.Clone(s.Analysis.Baths)
	slices.SortStableFunc(baths, func(a, b analysis.Bath) int {
		return strings.Compare(s.mixedOn(b.Batch), s.mixedOn(a.Batch))
	})
	return s.series("learned/baths", len(baths), bathSize, func(lo, hi int, at turn) page {
		v := bathsView{Turn: at}
		for _, b := range baths[lo:hi] {
			v.Baths = append(v.Baths, s.bathView(b))
		}
		return page{Title: "Baths over time", Layout: "baths", Params: v}
	})
}

func (s *stage) mixedOn(id string) string {
	if b, ok := s.Archive.Batches[id]; ok {
		return b.Mixed.String()
	}
	return ""
}

func (s *stage) bathView(b analysis.Bath) bathView {
	v := bathView{ID: b.Batch, Notes: b.Notes}
	if _, ok := s.Archive.Batch("bath", b.Batch); ok {
		v.To = s.batchPath(b.Batch)
	}
	v.Said = append(v.Said, s.bathSignal(b),
		said{Text: fmt.Sprintf("%s through it, %d of %d with an outcome kept; %s since anything was done to it.", count(b.Plates, "plate"), b.Keepers, b.Counted, count(b.SinceNow, "plate"))})
	s.chart(&v, b.Chart)
	for _, w := range b.Wear {
		row := wearRow{Range: fmt.Sprintf("%d–%d", w.From, w.To), Plates: w.Plates, Kept: fmt.Sprintf("%d of %d", w.Keepers, w.Plates), Wilson: limitsPercent(w.Wilson95),
			Flawed: fmt.Sprintf("%d of %d", w.Flawed, w.Plates), Flaw95: limitsPercent(w.Flaw95), Few: w.Plates < tooFew}
		if w.To == 0 {
			row.Range = fmt.Sprintf("%d and more", w.From)
		}
		v.Wear = append(v.Wear, row)
	}
	return v
}

func (s *stage) bathSignal(b analysis.Bath) said {
	switch {
	case len(b.Chart) == 0:
		return said{Text: "No chart: it takes the keeper model, and plates with an outcome."}
	case b.Signal == "":
		return said{Text: "The chart has not signalled."}
	}
	w := said{Text: "Test the bath: the chart signalled at plate " + b.Signal + "."}
	if p, ok := s.Archive.Plate(b.Signal); ok {
		w.To = s.platePath(p)
	}
	if b.Change != "" {
		w.Soft = "Look from plate " + b.Change + " on, where the run that led there begins."
	}
	return w
}

func (s *stage) chart(v *bathView, points []analysis.ChartPoint) {
	if len(points) == 0 {
		return
	}
	v.Cut = max(0, len(points)-chartDots)
	var charted []plot.Charted
	last := 0
	for i, p := range points[v.Cut:] {
		charted = append(charted, plot.Charted{Value: p.Value, Limit: p.Limit, Signal: p.Signal, Fresh: i > 0 && p.Since <= last})
		last = p.Since
	}
	drawn := plot.Control("Bath "+v.ID+": kept against expected", charted)
	v.Plot = &drawn
	for i := len(points) - 1; i >= 0 && len(v.Rows) < chartTable; i-- {
		p := points[i]
		row := chartRow{Plate: p.Plate, Day: shortDay(p.Day), Since: p.Since, Value: signed(p.Value, 2), Limit: "−" + fmt.Sprintf("%.2f", p.Limit)}
		if p.Signal {
			row.Word = "test the bath"
		}
		if plate, ok := s.Archive.Plate(p.Plate); ok {
			row.To = s.platePath(plate)
		}
		v.Rows = append(v.Rows, row)
	}
}
