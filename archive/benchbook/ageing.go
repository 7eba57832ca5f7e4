package benchbook

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"sandarac/archive/analysis"
	"sandarac/archive/benchbook/plot"
)

// ageingView is a page of how collodions slow with age.
type ageingView struct {
	Said  []string    `json:"said"`
	Rows  []ageingRow `json:"rows"`
	Plots []agePlot   `json:"plots"`
	Bare  []string    `json:"bare"` // series that are no picture
	Turn  turn        `json:"turn"`
	First bool        `json:"first"`
}

type ageingRow struct {
	Batch    string `json:"batch"`
	To       string `json:"to"`
	N        int    `json:"n"`
	Slope    string `json:"slope"` // stops a week
	Interval string `json:"interval"`
	Tau      string `json:"tau"`
	P        string `json:"p"`
	Note     string `json:"note"`
}

// agePlot is the EI of a batch under one light, with its plates as a table.
type agePlot struct {
	Title string     `json:"title"`
	To    string     `json:"to"`
	Plot  *plot.Plot `json:"plot"`
	Rows  []ageRow   `json:"rows"`
	More  int        `json:"more"`
}

type ageRow struct {
	Plate string `json:"plate"`
	To    string `json:"to"`
	Day   string `json:"day"`
	Age   int    `json:"age"`
	EI    string `json:"ei"`
}

const (
	ageingSize = 8   // batches with their plots on a page
	ageRows    = 40  // plates in a plot's table
	ageDots    = 250 // plates in a plot
)

func (s *stage) writeAgeing(context.Context) error {
	ageing := slices.Clone(s.Analysis.Ageing)
	place := map[string]int{}
	for i, b := range s.batches {
		place[b.ID] = i
	}
	slices.SortStableFunc(ageing, func(a, b analysis.Ageing) int { return cmp.Compare(place[a.Batch], place[b.Batch]) })
	return s.series("learned/ageing", len(ageing), ageingSize, func(lo, hi int, at turn) page {
		v := ageingView{Turn: at, First: at.Page == 1}
		if v.First {
			v.Said = s.ageingSaid()
		}
		for _, a := range ageing[lo:hi] {
			v.Rows = append(v.Rows, s.ageingRow(a))
			for _, e := range s.Analysis.Series.EI {
				switch {
				case e.Batch != a.Batch:
				case !drawable(e):
					v.Bare = append(v.Bare, e.Batch+", "+e.Light+", "+count(len(e.Points), "plate"))
				default:
					v.Plots = append(v.Plots, s.agePlot(e))
				}
			}
		}
		return page{Title: "Ageing of the collodion", Layout: "ageing", Params: v}
	})
}

// ageingSaid leads with the pooled slope, which shows what a batch cannot.
func (s *stage) ageingSaid() []string {
	out := []string{"Within batches, each under its own light, compared with itself only; tau's p is a hint, since ages cluster by session."}
	p := s.Analysis.AgeingPooled
	if p == nil || p.SlopeStopsPerDay == nil {
		return append(out, "Too few plates judged right to say anything of all batches together.")
	}
	text := fmt.Sprintf("All batches together: %s stop of EI a week", signed(7**p.SlopeStopsPerDay, 2))
	if p.Interval95 != nil {
		text += fmt.Sprintf(", somewhere from %s to %s", signed(7*p.Interval95[0], 2), signed(7*p.Interval95[1], 2))
	}
	return append([]string{text + fmt.Sprintf(" (%s judged right, %d batches and lights).", count(p.N, "plate"), p.Series)}, out...)
}

func (s *stage) ageingRow(a analysis.Ageing) ageingRow {
	row := ageingRow{Batch: a.Batch, N: a.N, Slope: "–", Interval: "–", Tau: "–", P: "–"}
	if _, ok := s.Archive.Batch("collodion", a.Batch); ok {
		row.To = s.batchPath(a.Batch)
	}
	week := func(v float64) string { return signed(7*v, 2) }
	row.Slope = orDash(a.SlopeStopsPerDay, week)
	if a.Interval95 != nil {
		row.Interval = week(a.Interval95[0]) + " to " + week(a.Interval95[1])
	}
	row.Tau, row.P = orDash(a.KendallTau, func(v float64) string { return signed(v, 2) }), orDash(a.P, chance)
	switch {
	case a.N < tooFew:
		row.Note = "too few to tell"
	case a.Clamped:
		row.Note = "too few for the interval to reach 95 %"
	case a.Lights > 1 && a.SlopeStopsPerDay != nil:
		row.Note = fmt.Sprintf("pools %d kinds of light, whose EIs differ: the slope may be theirs", a.Lights)
	}
	return row
}

// drawable says whether a series makes a picture: three plates, two ages.
func drawable(e analysis.EISeries) bool {
	return len(e.Points) >= 3 && slices.ContainsFunc(e.Points, func(p analysis.EIPoint) bool { return p.AgeDays != e.Points[0].AgeDays })
}

func (s *stage) agePlot(e analysis.EISeries) agePlot {
	v := agePlot{Title: e.Batch + ", " + e.Light}
	if _, ok := s.Archive.Batch("collodion", e.Batch); ok {
		v.To = s.batchPath(e.Batch)
	}
	points := e.Points
	if len(points) > ageDots {
		points = points[len(points)-ageDots:]
	}
	data := plot.Speed{}
	for _, p := range points {
		data.Plates = append(data.Plates, plot.Aged{Days: float64(p.AgeDays), EI: p.EI})
	}
	for _, f := range e.Fit {
		fit := plot.Fitted{Days: f.AgeDays, EI: f.EI}
		if f.Interval != nil && !math.IsInf(f.Interval[1], 0) {
			fit.Lo, fit.Hi = f.Interval[0], f.Interval[1]
		}
		data.Fit = append(data.Fit, fit)
	}
	drawn := plot.SpeedOverAge(v.Title, data)
	v.Plot = &drawn
	for i := len(points) - 1; i >= 0 && len(v.Rows) < ageRows; i-- {
		p := points[i]
		row := ageRow{Plate: p.Plate, Day: shortDay(p.Day), Age: p.AgeDays, EI: figures(p.EI, 2)}
		if plate, ok := s.Archive.Plate(p.Plate); ok {
			row.To = s.platePath(plate)
		}
		v.Rows = append(v.Rows, row)
	}
	v.More = len(e.Points) - len(v.Rows)
	return v
}
