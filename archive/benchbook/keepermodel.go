package benchbook

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"sandarac/archive/analysis"
)

// keeperView is the page of the keeper model.
type keeperView struct {
	Said  []string  `json:"said"`
	Notes []string  `json:"notes"`
	Terms []termRow `json:"terms"`
	Best  []bestRow `json:"best"`
}

// bestRow is the chance that one batch or light is the best of its kind.
type bestRow struct {
	Kind   string `json:"kind"`
	Name   string `json:"name"`
	Chance string `json:"chance"`
	share  float64
}

func (s *stage) writeKeeperModel(context.Context) error {
	v := keeperView{}
	m := s.Analysis.KeeperModel
	if m == nil {
		v.Said = []string{"No model: it takes plates with an outcome, kept and not kept, under a known light."}
	} else {
		v.Said = []string{
			fmt.Sprintf("From %s with an outcome, tests left out. %s", count(m.N, "plate"), modelWords[m.Kind]),
			"Light, age and batch stand in it at once, so that a batch is not blamed for winter or bad light.",
		}
		v.Notes, v.Terms, v.Best = m.Notes, keeperTerms(m), bestRows(m.Best)
	}
	return s.content("learned/keepers", page{Title: "Keepers: light, age and batch at once", Layout: "keepers", Params: v})
}

// keeperTerms gives effects as odds, which a person can weigh.
func keeperTerms(m *analysis.KeeperModel) []termRow {
	var out []termRow
	odds := func(name string, v, e *float64) {
		if v == nil {
			return
		}
		row := termRow{Name: name, Value: "× " + figures(math.Exp(*v), 2), SE: "–"}
		if e != nil {
			row.SE = figures(math.Exp(*v-1.96**e), 2) + "–" + figures(math.Exp(*v+1.96**e), 2)
		}
		out = append(out, row)
	}
	for _, l := range sortedKeys(m.Light) {
		if l == m.ReferenceLight {
			out = append(out, termRow{"light: " + l, "reference", ""})
			continue
		}
		odds("light: "+l, m.Light[l], m.SE.Light[l])
	}
	if m.AgeDays != nil {
		week := 7 * *m.AgeDays
		var e *float64
		if m.SE.AgeDays != nil {
			x := 7 * *m.SE.AgeDays
			e = &x
		}
		odds("a week of age", &week, e)
	}
	if m.BatchSD != nil {
		out = append(out, termRow{"sd of the batches, log odds", fmt.Sprintf("%.2f", *m.BatchSD), orDash(m.SE.BatchSD, func(x float64) string { return fmt.Sprintf("se %.2f", x) })})
	}
	return out
}

// simulated is a chance counted in draws, which never says none or certain.
func simulated(p float64) string {
	switch {
	case p < 0.01:
		return "under 1 %"
	case p > 0.99:
		return "over 99 %"
	}
	return percent(p)
}

// bestRows lists the likeliest few of each kind.
func bestRows(b analysis.Best) []bestRow {
	const most = 8
	var out []bestRow
	for _, k := range []struct {
		kind string
		of   map[string]float64
	}{{"collodion", b.Collodion}, {"light", b.Light}} {
		var rows []bestRow
		for _, name := range sortedKeys(k.of) {
			rows = append(rows, bestRow{k.kind, name, simulated(k.of[name]), k.of[name]})
		}
		slices.SortStableFunc(rows, func(x, y bestRow) int { return cmp.Compare(y.share, x.share) })
		out = append(out, rows[:min(len(rows), most)]...)
	}
	return out
}
