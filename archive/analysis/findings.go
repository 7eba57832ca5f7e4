package analysis

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"sandarac/archive/exposure"
	"sandarac/archive/stats"
)

// MaxFindings is the most that are worth reading.
const MaxFindings = 8

// The words of strength for findings that compare nothing.
const (
	Clear  = "clear"
	Likely = "likely"
	Hint   = "hint"
)

// observed is said once with every report.
const observed = "Records observe: batch, weather, sitter and skill travel together. A side-by-side pair of plates settles more than ten comparisons."

// findings gathers all that could be said and keeps what would change most.
// The weights order kinds of findings by what they ask for: a bath to test
// before the next plate, then an exposure to change, then a batch or light to
// prefer, then habits of recording.
func (r *Report) findings() {
	all := slices.Concat(
		r.bathFindings(), r.exposureFindings(), r.ageingFindings(), r.comparisons(),
		r.flawFindings(), r.recordFindings(),
	)
	sort.SliceStable(all, func(i, j int) bool {
		if all[i].weight != all[j].weight {
			return all[i].weight > all[j].weight
		}
		return all[i].Text < all[j].Text
	})
	r.Findings = append(r.Findings, all[:min(len(all), MaxFindings)]...)
	if len(r.Findings) == 0 {
		r.Findings = append(r.Findings, Finding{Text: "Too little to tell anything yet: record seconds, stop, light, judgement and outcome of each.", Strength: TooFewToTell, About: "records"})
	}
	r.Notes = append(r.Notes, observed)
}

func (r *Report) bathFindings() []Finding {
	var out []Finding
	for _, b := range r.Baths {
		if b.Signal == "" {
			continue
		}
		at := slices.IndexFunc(b.Chart, func(p ChartPoint) bool { return p.Plate == b.Signal })
		last := b.Chart[len(b.Chart)-1]
		tended := last.Since < b.Chart[at].Since || b.SinceNow == 0
		f := Finding{About: "bath", Strength: Likely, weight: 100}
		f.Text = fmt.Sprintf("Test the bath %s: up to plate %s more plates failed than their batch, light and age explain; look from plate %s on. A sound bath gives such a signal about once in 500 plates.", b.Batch, b.Signal, b.Change)
		if tended {
			f.weight = 12
			f.Text = fmt.Sprintf("The bath %s called for a test at plate %s (look from %s on); it has been tended since.", b.Batch, b.Signal, b.Change)
		}
		out = append(out, f)
	}
	return out
}

// current is the collodion of the latest plate that teaches exposure.
func (r *Report) current() string {
	for i := len(r.rows) - 1; i >= 0; i-- {
		if r.rows[i].modelled() {
			return r.rows[i].collodion
		}
	}
	return ""
}

func (r *Report) exposureFindings() []Finding {
	m := r.ExposureModel
	if m == nil {
		return nil
	}
	var out []Finding
	batch := r.current()
	counts := map[string][]row{}
	right := 0
	for _, x := range r.judged() {
		if x.collodion == batch {
			counts[x.light] = append(counts[x.light], x)
		}
		if x.right() {
			right++
		}
	}
	lights := sortedKeys(counts)
	sort.SliceStable(lights, func(i, j int) bool { return len(counts[lights[i]]) > len(counts[lights[j]]) })
	for _, light := range lights[:min(len(lights), aimsTold)] {
		if f, ok := r.aimFinding(batch, light, counts[light]); ok {
			out = append(out, f)
		}
	}
	if m.LatitudeStops != nil {
		out = append(out, Finding{About: "exposure", Strength: Likely, weight: 8,
			Text: fmt.Sprintf("A plate is more likely right than not within about %.1f stop either side of the aim (thresholds %.1f stops apart, from %s).", *m.LatitudeStops/2, *m.LatitudeStops, judgedPlates(m.N))})
	}
	if share := float64(right) / float64(m.N); share > 0.85 && m.N >= TooFew {
		out = append(out, Finding{About: "exposure", Strength: Clear, weight: 14,
			Text: fmt.Sprintf("%d of %s are right, which teaches little about aim or latitude: make a deliberate half-stop bracket on the first test plates of a day.", right, judgedPlates(m.N))})
	}
	return out
}

// recentPlates is how many of the latest plates are held against the aim, and
// recentLeast how few are not; aimsTold is for how many lights the batch in
// use is spoken of.
const (
	recentPlates = 10
	recentLeast  = 3
	aimsTold     = 2
)

// aimFinding says what the batch in use wants under a light, and how far the
// latest plates were from it.
func (r *Report) aimFinding(batch, light string, rows []row) (Finding, bool) {
	aim, err := r.aimOf(batch, light)
	if err != nil {
		return Finding{}, false
	}
	dose, interval := aim.dose, aim.interval
	f := Finding{About: "exposure", Strength: Hint}
	ei := exposure.EIFromDose(dose)
	if interval == nil {
		right := 0
		for _, x := range rows {
			if x.right() {
				right++
			}
		}
		if right == 0 {
			return Finding{}, false // the aim would be that of other plates
		}
		f.Text = fmt.Sprintf("%s under %s: a start is EI %s, from %s judged right; no interval can be given yet.", batch, light, two(ei), plates(right)) + doubtedEI(ei)
		f.weight = 16
		return f, true
	}
	width := interval[1] - interval[0]
	switch {
	case width <= 1:
		f.Strength = Clear
	case width <= 2:
		f.Strength = Likely
	}
	last := rows[max(0, len(rows)-recentPlates):]
	had, usual := typical(last)
	f.Text = fmt.Sprintf("%s%s under %s wants EI %s (%s)", batch, r.agedWords(batch, light), light, two(ei), twos(eiLimits(interval)))
	if t := timeFor(usual, dose, interval); t.Limits95 != nil && width <= 3 {
		f.Text += fmt.Sprintf(": %s at f/%s and EV %s, %s to %s", secondsText(t.Count), fnumber(usual.stop), decimals(usual.ev100, 1), secondsText(t.Limits95[0]), secondsText(t.Limits95[1]))
	}
	f.Text += fmt.Sprintf("; %s.", judgedPlates(len(rows)))
	f.Text += doubtedEI(ei)
	f.weight = 18 + math.Min(10, float64(len(rows))/5)
	off := had - dose
	if len(last) >= recentLeast && math.Abs(off) >= 0.25 && (had < interval[0] || had > interval[1]) {
		way := "more"
		if off < 0 {
			way = "less"
		}
		f.Text += fmt.Sprintf(" The last %s there had %.1f stop %s.", plates(len(last)), math.Abs(off), way)
		f.weight += 30 * math.Min(2, math.Abs(off))
	}
	return f, true
}

// doubtedEI speaks up at an EI no collodion has.
func doubtedEI(ei float64) string {
	if plausibleEI(ei) {
		return ""
	}
	return fmt.Sprintf(" That is outside what wet collodion is known for (%g to %g): look at the records.", leastEI, mostEI)
}

// agedWords names the age an aim is for, where age counts.
func (r *Report) agedWords(batch, light string) string {
	m, q := r.chosen(batch, light)
	if m == nil || m != r.ExposureModelAge {
		return ""
	}
	b, _ := r.archive.Batch("collodion", batch)
	if now := r.AsOf.DaysSince(b.Mixed); float64(now) > q.age {
		return fmt.Sprintf(", taken as %.0f days old (no plate came out right older),", q.age)
	}
	return fmt.Sprintf(", %.0f days old,", q.age)
}

// typical is the middle dose of some plates, and the setting they share most
// nearly.
func typical(rows []row) (dose float64, s setting) {
	var d, ev, n, m []float64
	for _, x := range rows {
		d, ev, n, m = append(d, x.dose), append(ev, x.ev100), append(n, x.stop), append(m, x.magnification)
	}
	dose, _ = stats.Median(d)
	s.ev100, _ = stats.Median(ev)
	s.stop, _ = stats.Median(n)
	s.magnification, _ = stats.Median(m)
	return dose, s
}

func (r *Report) ageingFindings() []Finding {
	p := r.AgeingPooled
	if p == nil || p.Interval95 == nil || p.Clamped || p.N < 2*TooFew {
		return nil
	}
	week := 7 * *p.SlopeStopsPerDay
	lo, hi := 7*p.Interval95[0], 7*p.Interval95[1]
	rests := fmt.Sprintf("%d plates judged right, compared within %d batches and lights", p.N, p.Series)
	if lo <= 0 && hi >= 0 {
		return []Finding{{About: "ageing", Strength: NoClearDifference, weight: 3,
			Text: fmt.Sprintf("No clear ageing of the collodion: its EI moves by %s stop a week, somewhere from %s to %s (%s).", signed(week, 2), signed(lo, 2), signed(hi, 2), rests)}}
	}
	f := Finding{About: "ageing", Strength: Likely, weight: 20 + 60*math.Min(1, math.Abs(week))}
	if week > 0 {
		f.Text = fmt.Sprintf("Collodion gains about %s stop a week (%s to %s; %s).", tenth(week), tenth(lo), tenth(hi), rests)
		return []Finding{f}
	}
	f.Text = fmt.Sprintf("Collodion loses about %s stop a week (%s to %s)", tenth(-week), tenth(-hi), tenth(-lo))
	if days := int(math.Round(-7 / week)); days <= 366 {
		by := r.AsOf.AddDays(days)
		f.Text += fmt.Sprintf("; at this rate %s needs twice today's exposure by %d %s", r.currentOr("a batch"), by.Day, by.Month)
		if by.Year != r.AsOf.Year {
			f.Text += fmt.Sprintf(" %d", by.Year)
		}
	}
	f.Text += fmt.Sprintf(" (%s).", rests)
	return []Finding{f}
}

// tenth is a rate to one digit, to two where the first would vanish.
func tenth(v float64) string {
	if math.Abs(v) < 0.095 {
		return decimals(v, 2)
	}
	return decimals(v, 1)
}

func (r *Report) currentOr(word string) string {
	if b := r.current(); b != "" {
		return b
	}
	return word
}

// comparisons speaks of the pair in each grouping that says most.
func (r *Report) comparisons() []Finding {
	var out []Finding
	for _, g := range r.groupings() {
		if g.name == "month" {
			continue // charted, not chosen
		}
		if f, ok := r.comparison(g); ok {
			out = append(out, f)
		}
	}
	return out
}

var verdictRank = map[string]int{Better: 3, ProbablyBetter: 2, NoClearDifference: 1, TooFewToTell: 0}

func (r *Report) comparison(g grouping) (Finding, bool) {
	var best *Pair
	for i := range *g.pairs {
		p := &(*g.pairs)[i]
		if best == nil || verdictRank[p.Verdict] > verdictRank[best.Verdict] ||
			verdictRank[p.Verdict] == verdictRank[best.Verdict] && math.Abs(p.Difference) > math.Abs(best.Difference) {
			best = p
		}
	}
	if best == nil {
		return Finding{}, false
	}
	f := Finding{About: g.name, Strength: best.Verdict}
	hi, lo, l := best.a, best.b, best.Newcombe95
	if best.Difference < 0 {
		hi, lo, l = lo, hi, Limits{-l[1], -l[0]}
	}
	rates := fmt.Sprintf("%d of %d (%s) against %d of %d (%s)", hi.Keepers, hi.Plates, percents(hi.Wilson95), lo.Keepers, lo.Plates, percents(lo.Wilson95))
	switch best.Verdict {
	case Better, ProbablyBetter:
		f.Text = fmt.Sprintf("%s is %s than %s: keepers %s, a difference of %s points.", hi.Key, best.Verdict, lo.Key, rates, points(l))
		f.Text += r.sameConditions(g.name, hi.Key, lo.Key)
		f.weight = 15 * float64(verdictRank[best.Verdict]) * math.Max(0.2, math.Abs(best.Difference))
		if g.name == "collodion" || g.name == "light" {
			f.weight += 10
		}
	case NoClearDifference:
		f.Text = fmt.Sprintf("No clear difference between %s: the widest is %s and %s, %s. To tell 60 %% from 80 %% takes about 82 plates in each.", plural(g.name), hi.Key, lo.Key, rates)
		f.weight = 4
	default:
		if g.name != "collodion" && g.name != "light" {
			return Finding{}, false
		}
		f.Text = fmt.Sprintf("Too few plates to tell %s apart: at least five with an outcome in each, and better fifty.", plural(g.name))
		f.weight = 2
	}
	return f, true
}

// sameConditions gives the model's word on a raw difference.
func (r *Report) sameConditions(grouping, a, b string) string {
	if r.KeeperModel == nil {
		return ""
	}
	p, ok := r.KeeperModel.fitted.better(grouping, a, b)
	if !ok {
		return " The rates are raw: light, batch and age are not allowed for."
	}
	what := "light and age"
	if grouping == "light" {
		what = "batch and age"
	}
	if p < 0.9 {
		return fmt.Sprintf(" At the same %s the chance that it is better is only %s.", what, percent(p))
	}
	return fmt.Sprintf(" At the same %s it is better with a chance of %s.", what, percent(math.Min(p, 0.99)))
}

// points is an interval of differences in percentage points, rounded outward.
func points(l Limits) string {
	return decimals(math.Floor(100*l[0]+1e-9), 0) + " to " + decimals(math.Ceil(100*l[1]-1e-9), 0)
}

func plural(grouping string) string {
	switch grouping {
	case "collodion":
		return "collodion batches"
	case "light":
		return "kinds of light"
	case "lens":
		return "lenses"
	case "bath":
		return "baths"
	}
	return grouping + "s"
}

// flawFindings asks whether bath flaws come with a worn bath.
func (r *Report) flawFindings() []Finding {
	const worn = 20
	var k, n [2]int
	for _, b := range r.Baths {
		for _, w := range b.Wear {
			i := 0
			if w.From > worn {
				i = 1
			}
			k[i], n[i] = k[i]+w.Flawed, n[i]+w.Plates
		}
	}
	if n[0] < TooFew || n[1] < TooFew {
		return nil
	}
	d, l, err := stats.Newcombe(k[1], n[1], k[0], n[0], stats.Level95)
	if err != nil || l.Lo <= 0 {
		return nil
	}
	return []Finding{{About: "bath", Strength: Likely, weight: 20 + 30*d,
		Text: fmt.Sprintf("Fog and its kin came on %d of %d plates made when a bath had taken more than %d plates since it was last tended, on %d of %d before (%s points more): a lead to test by one plate after tending.", k[1], n[1], worn, k[0], n[0], points(Limits{l.Lo, l.Hi}))}}
}

// unmeasured says that judgements are wasted for want of a reading.
func (r *Report) unmeasured() (Finding, bool) {
	judged, bare := 0, 0
	for _, x := range r.rows {
		if x.grade != none {
			judged++
			if !x.dosed {
				bare++
			}
		}
	}
	if bare < TooFew || bare*5 <= judged {
		return Finding{}, false
	}
	return Finding{About: "records", Strength: Clear, weight: 17,
		Text: fmt.Sprintf("%d of %s lack seconds, stop or a light reading (EV or lux) and teach no exposure: meter the light and note it with each plate.", bare, judgedPlates(judged))}, true
}

// recordFindings speak of what the records leave out.
func (r *Report) recordFindings() []Finding {
	var out []Finding
	work, unjudged := 0, 0
	for _, x := range r.rows {
		if !x.test {
			work++
			if x.outcome == none {
				unjudged++
			}
		}
	}
	if f, ok := r.unmeasured(); ok {
		out = append(out, f)
	}
	if unjudged*5 > work && unjudged >= TooFew {
		out = append(out, Finding{About: "records", Strength: Clear, weight: 13,
			Text: fmt.Sprintf("%d of %s have no outcome and count in no keeper rate: scrapped plates left out make every rate look better than it is.", unjudged, plates(work))})
	}
	var outside []string
	for _, m := range r.Series.Months {
		if m.Outside && m.Plates >= TooFew {
			outside = append(outside, fmt.Sprintf("%s (%d of %d)", m.Month, m.Keepers, m.Plates))
		}
	}
	if len(outside) > 0 {
		out = append(out, Finding{About: "month", Strength: Likely, weight: 11,
			Text: fmt.Sprintf("The keeper rate left its usual range in %s.", strings.Join(outside, ", "))})
	}
	return out
}
