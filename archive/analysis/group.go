package analysis

import (
	"fmt"
	"slices"
	"sort"

	"sandarac/archive/stats"
)

// TooFew is the number of plates below which a group tells nothing.
const TooFew = 5

// Groups are the archive's plates by each thing one may choose.
type Groups struct {
	Collodion []Group `json:"collodion"`
	Bath      []Group `json:"bath"`
	Light     []Group `json:"light"`
	Format    []Group `json:"format"`
	Lens      []Group `json:"lens"`
	Month     []Group `json:"month"`
}

// Group is the record of one batch, light, format, lens or month.
type Group struct {
	Key        string   `json:"key"`
	Plates     int      `json:"plates"` // with an outcome, tests left out
	Keepers    int      `json:"keepers"`
	KeeperRate *float64 `json:"keeper_rate"`
	Wilson95   *Limits  `json:"wilson95"`
	TooFew     bool     `json:"too_few"`
	Right      Right    `json:"right"`
	// AdjustedRate is the keeper rate the model expects of this batch over the
	// lights and ages of the whole archive, drawn towards the others as its
	// plates are few. Nil where the keeper model has no batches.
	AdjustedRate *float64 `json:"adjusted_rate,omitempty"`
	// Unjudged counts plates that are not tests and have no outcome: they
	// stand outside the rate.
	Unjudged int `json:"unjudged"`

	// Members are the ids of the plates behind the rate, in order of making,
	// so that a page can link to them.
	Members []string `json:"-"`
}

// Right sums up the plates judged right, tests included.
type Right struct {
	N       int     `json:"n"`
	Seconds *Spread `json:"seconds"`
	EI      *Spread `json:"ei"`
	// Lights is the number of kinds of light the EI pools.
	Lights int `json:"lights"`
}

// Spread describes a set of positive numbers.
type Spread struct {
	N       int      `json:"n"`
	Geomean *float64 `json:"geomean"`
	GSD     *float64 `json:"gsd"` // nil for one plate
	Median  *float64 `json:"median"`
	Q25     *float64 `json:"q25"`
	Q75     *float64 `json:"q75"`
}

// Pairs compares the keeper rates of groups two by two.
type Pairs struct {
	Collodion []Pair `json:"collodion"`
	Bath      []Pair `json:"bath"`
	Light     []Pair `json:"light"`
	Format    []Pair `json:"format"`
	Lens      []Pair `json:"lens"`
	Month     []Pair `json:"month"`
}

// Pair is the difference of two groups' keeper rates, a less b.
type Pair struct {
	A          string  `json:"a"`
	B          string  `json:"b"`
	Difference float64 `json:"difference"`
	Newcombe95 Limits  `json:"newcombe95"`
	FisherP    float64 `json:"fisher_p"`
	HolmP      float64 `json:"holm_p"`
	// Verdict is how much may be said: "too few to tell", "no clear
	// difference", "probably better" or "better".
	Verdict string `json:"verdict"`

	a, b *Group
}

// grouping is one way to sort plates.
type grouping struct {
	name   string
	key    func(row) string
	groups *[]Group
	pairs  *[]Pair
}

func (r *Report) groupings() []grouping {
	g, p := &r.Groups, &r.Pairs
	return []grouping{
		{"collodion", func(x row) string { return x.collodion }, &g.Collodion, &p.Collodion},
		{"bath", func(x row) string { return x.bath }, &g.Bath, &p.Bath},
		{"light", func(x row) string { return x.light }, &g.Light, &p.Light},
		{"format", func(x row) string { return x.format }, &g.Format, &p.Format},
		{"lens", func(x row) string { return x.lens }, &g.Lens, &p.Lens},
		{"month", func(x row) string { return x.month }, &g.Month, &p.Month},
	}
}

func (r *Report) groups() {
	for _, g := range r.groupings() {
		*g.groups = groupBy(r.rows, g.key)
		*g.pairs = comparePairs(*g.groups)
	}
	unjudged := 0
	for _, x := range r.rows {
		if !x.test && x.outcome == none {
			unjudged++
		}
	}
	if unjudged > 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("%s without an outcome stand outside every keeper rate.", plates(unjudged)))
	}
}

func groupBy(rows []row, key func(row) string) []Group {
	by := map[string][]row{}
	for _, x := range rows {
		if k := key(x); k != "" {
			by[k] = append(by[k], x)
		}
	}
	out := []Group{}
	for k, members := range by {
		out = append(out, describe(k, members))
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Key < out[j].Key })
	return out
}

func describe(key string, members []row) Group {
	g := Group{Key: key}
	var seconds, ei []float64
	lights := map[string]bool{}
	for _, x := range members {
		switch {
		case x.counted():
			g.Plates++
			g.Members = append(g.Members, x.id)
			if x.keeper() {
				g.Keepers++
			}
		case !x.test:
			g.Unjudged++
		}
		if !x.right() {
			continue
		}
		g.Right.N++
		if x.seconds > 0 {
			seconds = append(seconds, x.seconds)
		}
		if x.dosed {
			ei = append(ei, x.ei)
			lights[x.light] = true
		}
	}
	g.TooFew = g.Plates < TooFew
	if w, err := stats.Wilson(g.Keepers, g.Plates, stats.Level95); err == nil {
		g.KeeperRate = some(float64(g.Keepers) / float64(g.Plates))
		g.Wilson95 = limits(w.Lo, w.Hi)
	}
	g.Right.Seconds, g.Right.EI, g.Right.Lights = spread(seconds), spread(ei), len(lights)
	return g
}

// spread describes x; nil when there is nothing to describe.
func spread(x []float64) *Spread {
	q, err := stats.Quantiles(x, 0.25, 0.5, 0.75)
	if err != nil {
		return nil
	}
	s := &Spread{N: len(x), Q25: some(q[0]), Median: some(q[1]), Q75: some(q[2])}
	mean, sd, err := stats.Geometric(x)
	if mean > 0 {
		s.Geomean = some(mean)
	}
	if err == nil {
		s.GSD = some(sd)
	}
	return s
}

// comparePairs compares all groups that have plates, two by two, in the order
// of their names; Holm's adjustment is over all pairs of one grouping.
func comparePairs(groups []Group) []Pair {
	out := []Pair{}
	var p []float64
	for i := range groups {
		for j := i + 1; j < len(groups); j++ {
			a, b := &groups[i], &groups[j]
			d, l, err := stats.Newcombe(a.Keepers, a.Plates, b.Keepers, b.Plates, stats.Level95)
			if err != nil {
				continue // one of the two has no plate with an outcome
			}
			f, err := stats.Fisher(a.Keepers, a.Plates-a.Keepers, b.Keepers, b.Plates-b.Keepers)
			if err != nil {
				continue
			}
			out = append(out, Pair{A: a.Key, B: b.Key, Difference: d, Newcombe95: Limits{l.Lo, l.Hi}, FisherP: f.TwoSided, a: a, b: b})
			p = append(p, f.TwoSided)
		}
	}
	adjusted, err := stats.Holm(p)
	if err != nil {
		return []Pair{}
	}
	for i := range out {
		out[i].HolmP = adjusted[i]
	}
	return out
}

// find gives the group of a key.
func find(groups []Group, key string) (*Group, bool) {
	i := slices.IndexFunc(groups, func(g Group) bool { return g.Key == key })
	if i < 0 {
		return nil, false
	}
	return &groups[i], true
}
