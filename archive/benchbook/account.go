package benchbook

import (
	"fmt"

	"sandarac/archive/benchbook/plot"
	"sandarac/archive/chemistry/silverbath"
	"sandarac/archive/recipe"
	"sandarac/archive/record"
)

// accountView is the account of a silver bath.
type accountView struct {
	Refused     string       `json:"refused"` // why there is none
	Facts       []fact       `json:"facts"`
	Ledger      []ledgerRow  `json:"ledger"`
	Gaps        []gapRow     `json:"gaps"`
	Advice      []adviceView `json:"advice"`
	Notes       []string     `json:"notes"`
	Uncounted   []said       `json:"uncounted"`
	More        int          `json:"more"` // uncounted plates beyond those listed
	Assumptions []string     `json:"assumptions"`
	Plot        *plot.Plot   `json:"plot"`
}

type ledgerRow struct {
	What  string `json:"what"`
	Grams string `json:"grams"`
}

type gapRow struct {
	Day       string `json:"day"`
	Estimated string `json:"estimated"`
	Measured  string `json:"measured"`
	Said      string `json:"said"`
}

type adviceView struct {
	Action  string `json:"action"`
	Why     string `json:"why"`
	How     string `json:"how"`
	Caution string `json:"caution"`
	Source  string `json:"source"`
}

// account words a bath's account as it stands today.
func (s *stage) account(b *record.Batch) *accountView {
	acc, ok := s.stock.Bath(b.ID)
	if !ok {
		_, err := recipe.Bath(s.Archive, b.ID, s.Today)
		return &accountView{Refused: fmt.Sprint(err)}
	}
	v := &accountView{Facts: s.accountFacts(acc), Ledger: ledgerRows(acc.Ledger), Notes: acc.Notes, Assumptions: acc.Assumptions}
	for _, g := range acc.Gaps {
		v.Gaps = append(v.Gaps, s.gapRow(g))
	}
	for _, a := range acc.Advice {
		v.Advice = append(v.Advice, adviceView{capital(spelled(string(a.Action))), a.Why, a.How, a.Caution, a.Source})
	}
	v.Plot = strengthPlot(b.ID, acc)
	const most = 12
	for i, u := range acc.Uncounted {
		if i == most {
			v.More = len(acc.Uncounted) - most
			break
		}
		w := said{Text: u.Plate, Soft: u.Why}
		if p, ok := s.Archive.Plate(u.Plate); ok {
			w.To = s.platePath(p)
		}
		v.Uncounted = append(v.Uncounted, w)
	}
	return v
}

// strengthPlot draws the account from its newest steps.
func strengthPlot(id string, acc recipe.BathAccount) *plot.Plot {
	if len(acc.Series) < 2 {
		return nil
	}
	const most = 300
	var points []plot.Strong
	for _, p := range acc.Series[max(0, len(acc.Series)-most):] {
		points = append(points, plot.Strong{PercentWV: p.PercentWV, Measured: p.Measured})
	}
	drawn := plot.Strength("Bath "+id+": estimated strength", points, acc.Floor)
	return &drawn
}

func (s *stage) accountFacts(acc recipe.BathAccount) []fact {
	g := group{}
	g.add("Strength", said{Text: fmt.Sprintf("%.1f %% w/v", acc.PercentWV), Soft: fmt.Sprintf("by estimate; made at %.1f %%, floor %.1f %%", acc.TargetPercentWV, acc.Floor)})
	g.note("Volume", fmt.Sprintf("%.0f ml of %.0f ml", acc.VolumeMl, acc.Made.VolumeMl))
	g.note("Plates", fmt.Sprintf("%d, %.1f dm² in all", acc.Plates, acc.AreaDm2))
	g.note("Since anything was done", count(acc.Clocks.PlatesSinceTended(), "plate"))
	if acc.PH != nil {
		w := said{Text: fmt.Sprintf("%.1f", acc.PH.Value), Soft: "on " + dayWords(record.DateOf(acc.PH.At))}
		if acc.PH.Stale {
			w.Soft += "; acid or alkali was added since"
		}
		g.add("pH", w)
	}
	switch {
	case acc.Crossed != nil:
		w := said{Text: "fell under it on " + dayWords(record.DateOf(acc.Crossed.At))}
		if p, ok := s.Archive.Plate(acc.Crossed.Plate); ok {
			w.Soft, w.To = "with plate "+p.ID, s.platePath(p)
		}
		g.add("Floor", w)
	case acc.PlatesToFloor != nil:
		g.note("Floor", "about "+count(rough(*acc.PlatesToFloor), "more plate")+" like the last ones bring it there")
	}
	g.add("To restore it", restoring(acc))
	return g.Facts
}

// rough is a forecast of plates to the one figure it has, two under a hundred
// never being meant to the plate.
func rough(n int) int {
	step := 1
	for n >= 10*step {
		step *= 10
	}
	if n < 100 {
		step = min(step, 5)
	}
	return max(n/step*step, min(n, 1))
}

func restoring(acc recipe.BathAccount) said {
	if acc.TopUp.SilverNitrateG < 0.05 && acc.TopUp.WaterMl < 0.5 {
		return said{Text: "nothing", Soft: "by this account it stands where it was made"}
	}
	return said{Text: acc.TopUp.Said(), Soft: "read it first"}
}

func ledgerRows(l silverbath.Ledger) []ledgerRow {
	rows := []struct {
		what  string
		grams float64
	}{
		{"Made with", l.Made}, {"Added", l.Added}, {"Corrected by readings", l.Corrected},
		{"Turned into halide on the plates", -l.Consumed}, {"Carried off on the plates", -l.DraggedOut}, {"Discarded", -l.Discarded}, {"Left", l.Left},
	}
	var out []ledgerRow
	for _, r := range rows {
		if r.grams != 0 || r.what == "Left" {
			sign, decimals := "", 1
			if r.grams < 0 {
				sign = "−"
				r.grams = -r.grams
			}
			if r.grams < 0.095 {
				decimals = 3 // a plate or two: milligrams
			}
			out = append(out, ledgerRow{r.what, fmt.Sprintf("%s%.*f", sign, decimals, r.grams)})
		}
	}
	return out
}

func (s *stage) gapRow(g silverbath.Gap) gapRow {
	row := gapRow{Day: shortDay(record.DateOf(g.At.In(s.Archive.Studio.Zone))), Estimated: fmt.Sprintf("%.1f %%", g.EstimatedPercent),
		Measured: fmt.Sprintf("%.1f %%", g.MeasuredPercent)}
	row.Said = fmt.Sprintf("after %s", count(g.PlatesBeforeReading, "plate"))
	if g.Apparent {
		row.Said += "; " + silverbath.Apparent + ", by hydrometer"
	}
	return row
}
