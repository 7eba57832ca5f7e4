package benchbook

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"net/url"
	"slices"
	"strings"

	"sandarac/archive/analysis"
	"sandarac/archive/benchbook/plot"
)

// grouping is one thing the plates are told apart by.
type grouping struct {
	key    string // also its page
	title  string
	one    string
	groups []analysis.Group
	pairs  []analysis.Pair
	newest bool // last first, as months and batches go
}

func (s *stage) groupings() []grouping {
	g, p := s.Analysis.Groups, s.Analysis.Pairs
	return []grouping{
		{"collodion", "Kept, by collodion", "collodion", g.Collodion, p.Collodion, true},
		{"bath", "Kept, by silver bath", "bath", g.Bath, p.Bath, true},
		{"light", "Kept, by light", "light", g.Light, p.Light, false},
		{"format", "Kept, by size", "size", g.Format, p.Format, false},
		{"lens", "Kept, by lens", "lens", g.Lens, p.Lens, false},
		{"month", "Kept, by month", "month", g.Month, p.Month, true},
	}
}

// groupsView is a page of groups.
type groupsView struct {
	Title    string     `json:"title"`
	One      string     `json:"one"`
	Rows     []groupRow `json:"rows"`
	Plot     *plot.Plot `json:"plot"`
	Chart    *plot.Plot `json:"chart"` // of months
	Pairs    []pairRow  `json:"pairs"`
	AllPairs *said      `json:"allpairs"`
	Adjusted bool       `json:"adjusted"`
	Turn     turn       `json:"turn"`
	Siblings []said     `json:"siblings"`
}

type groupRow struct {
	Key      string `json:"key"`
	To       string `json:"to"`
	Plates   int    `json:"plates"`
	Kept     string `json:"kept"`
	Rate     string `json:"rate"`
	Wilson   string `json:"wilson"`
	Adjusted string `json:"adjusted"`
	Few      bool   `json:"few"`
	Unjudged int    `json:"unjudged"`
	N        int    `json:"n"`
	Seconds  string `json:"seconds"`
	SecondsQ string `json:"secondsq"`
	EI       string `json:"ei"`
	EIMean   string `json:"eimean"`
	EISD     string `json:"eisd"`
	Lights   string `json:"lights"` // what the EI pools
}

// pairRow is the difference of two groups, the higher rate first.
type pairRow struct {
	A          string `json:"a"`
	B          string `json:"b"`
	Difference string `json:"difference"`
	Interval   string `json:"interval"`
	Fisher     string `json:"fisher"`
	Holm       string `json:"holm"`
	Verdict    string `json:"verdict"`
}

const (
	groupSize = 24 // groups on a page: as many rows as a drawing bears
	pairsHere = 12 // pairs on the page of the groups
	pairSize  = 60 // pairs on a page of all pairs
)

func (s *stage) writeGroups(context.Context) error {
	all := s.groupings()
	for _, g := range all {
		groups := slices.Clone(g.groups)
		if g.newest {
			s.newestFirst(g.key, groups)
		}
		pairs := sortedPairs(g.pairs)
		base := "learned/" + g.key
		err := s.series(base, len(groups), groupSize, func(lo, hi int, at turn) page {
			v := groupsView{Title: g.title, One: g.one, Turn: at, Siblings: siblings(all, g.key)}
			v.fill(s, g, groups[lo:hi])
			if at.Page == 1 {
				for _, p := range pairs[:min(len(pairs), pairsHere)] {
					v.Pairs = append(v.Pairs, newPairRow(p))
				}
				if len(pairs) > pairsHere {
					v.AllPairs = &said{Text: fmt.Sprintf("All %d pairs", len(pairs)), To: base + "-pairs/"}
				}
			}
			return page{Title: g.title, Layout: "groups", Params: v}
		})
		if err != nil {
			return err
		}
		if len(pairs) <= pairsHere {
			continue
		}
		err = s.series(base+"-pairs", len(pairs), pairSize, func(lo, hi int, at turn) page {
			v := groupsView{Title: g.title, One: g.one, Turn: at}
			for _, p := range pairs[lo:hi] {
				v.Pairs = append(v.Pairs, newPairRow(p))
			}
			return page{Title: g.title + ": all pairs", Layout: "pairs", Params: v}
		})
		if err != nil {
			return err
		}
	}
	return nil
}

func siblings(all []grouping, here string) []said {
	var out []said
	for _, g := range all {
		w := said{Text: g.one}
		if g.key != here {
			w.To = "learned/" + g.key + "/"
		}
		out = append(out, w)
	}
	return out
}

func (v *groupsView) fill(s *stage, g grouping, groups []analysis.Group) {
	var rates []plot.Rate
	for _, x := range groups {
		row := s.groupRow(g.key, x)
		v.Rows = append(v.Rows, row)
		v.Adjusted = v.Adjusted || x.AdjustedRate != nil
		if x.KeeperRate != nil && x.Wilson95 != nil {
			note := row.Kept
			if x.TooFew {
				note += ", too few to tell"
			}
			rates = append(rates, plot.Rate{Label: x.Key, Note: note, Rate: *x.KeeperRate, Lo: x.Wilson95[0], Hi: x.Wilson95[1],
				Adjusted: x.AdjustedRate, Few: x.TooFew})
		}
	}
	if len(rates) > 0 {
		drawn := plot.Rates(g.title, rates)
		v.Plot = &drawn
	}
	if g.key == "month" {
		v.Chart = s.monthChart()
	}
}

// monthChart is the newest months on a chart of proportions.
func (s *stage) monthChart() *plot.Plot {
	months := s.Analysis.Series.Months
	if len(months) < 2 {
		return nil
	}
	const most = 36
	var shares []plot.Share
	for _, m := range months[max(0, len(months)-most):] {
		shares = append(shares, plot.Share{Label: m.Month, Rate: m.Rate, Mean: m.Mean, Lo: m.Limits[0], Hi: m.Limits[1], Outside: m.Outside, Few: m.Plates < tooFew})
	}
	drawn := plot.Shares("Kept, by month", shares)
	return &drawn
}

func (s *stage) groupRow(kind string, g analysis.Group) groupRow {
	row := groupRow{Key: g.Key, To: s.groupPath(kind, g.Key), Plates: g.Plates, Few: g.TooFew, Unjudged: g.Unjudged, Rate: "–", Wilson: "–", Adjusted: "–",
		N: g.Right.N, Seconds: "–", SecondsQ: "–", EI: "–", EIMean: "–", EISD: "–"}
	if kind == "format" {
		row.Key = formatGroup(g.Key)
	}
	row.Kept = fmt.Sprintf("%d of %d", g.Keepers, g.Plates)
	if g.KeeperRate != nil {
		row.Rate, row.Wilson = percent(*g.KeeperRate), limitsPercent(g.Wilson95)
	}
	row.Adjusted = orDash(g.AdjustedRate, percent)
	two := func(v float64) string { return figures(v, 2) }
	if x := g.Right.Seconds; x != nil {
		row.Seconds = orDash(x.Median, two)
		if x.N > 1 && x.Q25 != nil && x.Q75 != nil {
			row.SecondsQ = two(*x.Q25) + "–" + two(*x.Q75)
		}
	}
	if x := g.Right.EI; x != nil {
		row.EI, row.EIMean = orDash(x.Median, two), orDash(x.Geomean, two)
		row.EISD = orDash(x.GSD, func(v float64) string { return fmt.Sprintf("× %.2f", v) })
		if g.Right.Lights > 1 {
			row.Lights = fmt.Sprintf("%d lights pooled", g.Right.Lights)
		}
	}
	return row
}

func formatGroup(key string) string {
	if n := formatName(key); n != "another size" {
		return n
	}
	return key
}

// groupPath leads to the plates of a group: a batch's page, or the list of
// plates with the filter set.
func (s *stage) groupPath(kind, key string) string {
	filter := func(name, value string) string {
		if value == "" {
			return ""
		}
		return "plates/?" + name + "=" + url.QueryEscape(value)
	}
	switch kind {
	case "collodion", "bath":
		if _, ok := s.Archive.Batch(kind, key); ok {
			return s.batchPath(key)
		}
	case "light":
		return filter("light", s.lightSlug[oneLine(key)])
	case "format":
		if formatName(key) != "another size" {
			return filter("format", key)
		}
	case "lens":
		return filter("lens", s.lensSlug[oneLine(key)])
	case "month":
		return filter("month", key)
	}
	return ""
}

func (s *stage) newestFirst(kind string, groups []analysis.Group) {
	mixed := func(g analysis.Group) string {
		if b, ok := s.Archive.Batches[g.Key]; ok && kind != "month" {
			return b.Mixed.String()
		}
		return g.Key
	}
	slices.SortStableFunc(groups, func(a, b analysis.Group) int { return strings.Compare(mixed(b), mixed(a)) })
}

var verdictPlace = []string{analysis.Better, analysis.ProbablyBetter, analysis.NoClearDifference, analysis.TooFewToTell}

// sortedPairs puts first what may be said with most weight.
func sortedPairs(pairs []analysis.Pair) []analysis.Pair {
	out := slices.Clone(pairs)
	slices.SortStableFunc(out, func(a, b analysis.Pair) int {
		return cmp.Or(cmp.Compare(slices.Index(verdictPlace, a.Verdict), slices.Index(verdictPlace, b.Verdict)), cmp.Compare(a.HolmP, b.HolmP))
	})
	return out
}

// newPairRow puts the higher rate first, so that the difference reads "better by".
func newPairRow(p analysis.Pair) pairRow {
	a, b, d, lo, hi := p.A, p.B, p.Difference, p.Newcombe95[0], p.Newcombe95[1]
	if d < 0 {
		a, b, d, lo, hi = b, a, -d, -hi, -lo
	}
	return pairRow{A: a, B: b, Difference: signed(100*d, 0), Interval: pointsBetween(lo, hi),
		Fisher: chance(p.FisherP), Holm: chance(p.HolmP), Verdict: p.Verdict}
}

// pointsBetween is an interval of differences in points of per cent, rounded
// outward.
func pointsBetween(lo, hi float64) string {
	return signed(math.Floor(100*lo+1e-9), 0) + " to " + signed(math.Ceil(100*hi-1e-9), 0)
}

// chance writes a p-value to two figures, none under a thousandth.
func chance(p float64) string {
	switch {
	case p < 0.001:
		return "< 0.001"
	case p >= 0.995:
		return "1"
	case p < 0.095:
		return figures(p, 2)
	}
	return fmt.Sprintf("%.2f", p)
}
