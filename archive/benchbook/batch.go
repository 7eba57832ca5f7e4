package benchbook

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"sandarac/archive/chemistry"
	"sandarac/archive/chemistry/logbook"
	"sandarac/archive/chemistry/unit"
	"sandarac/archive/recipe"
	"sandarac/archive/record"
)

// batchView is the page of one batch.
type batchView struct {
	ID       string       `json:"id"`
	Kind     string       `json:"kind"`
	Broken   bool         `json:"broken"`
	Facts    []fact       `json:"facts"`
	State    said         `json:"state"`
	Recipe   *recipeView  `json:"recipe"`
	Panel    panelView    `json:"panel"`
	Log      []logRow     `json:"log"`
	Account  *accountView `json:"account"`
	Tally    tally        `json:"tally"`
	Findings []findingRow `json:"findings"`
	Papers   []said       `json:"papers"`
}

// recipeView is what a batch was mixed from. Refused says why there is no card.
type recipeView struct {
	Volume      string           `json:"volume"`
	Amounts     []amountRow      `json:"amounts"`
	Order       []string         `json:"order"`
	Figures     []string         `json:"figures"`
	Assumptions []string         `json:"assumptions"`
	Remarks     []string         `json:"remarks"`
	Substitutes []substituteView `json:"substitutes"`
	Refused     string           `json:"refused"`
}

type amountRow struct {
	Name    string   `json:"name"`
	Amount  string   `json:"amount"`
	Per100  string   `json:"per100"`
	Written string   `json:"written"`
	Scaled  []string `json:"scaled,omitempty"`
}

type substituteView struct {
	For     string `json:"for"`
	Use     string `json:"use"`
	Changes string `json:"changes"`
	Source  string `json:"source"`
}

type logRow struct {
	Day     string `json:"day"`
	Action  string `json:"action"`
	Said    string `json:"said"`
	Means   string `json:"means"`
	Caution string `json:"caution"`
}

func (s *stage) batchPath(id string) string { return "batches/" + s.batchSlug[id] + "/" }

// writeBatches writes a page for every batch, on which Hugo lists its plates,
// the shelf, and a list for each kind.
func (s *stage) writeBatches(ctx context.Context) error {
	for i, b := range s.batches {
		if err := ctx.Err(); err != nil {
			return err
		}
		at := page{Title: b.ID, Weight: i + 1, Params: s.batchView(b), notes: b.Body}
		if err := s.content("batches/"+s.batchSlug[b.ID]+"/_index", at); err != nil {
			return err
		}
	}
	return s.writeShelf()
}

func (s *stage) batchView(b *record.Batch) batchView {
	v := batchView{ID: b.ID, Kind: b.Kind, Broken: b.Broken, State: s.batchState(b), Tally: s.tally(s.made[b.ID])}
	v.Facts = s.batchFacts(b)
	r := s.recipeOf(b)
	v.Panel = newPanel(chemistry.PanelFor(r, s.Archive.Studio.PoisonCentre))
	v.Recipe = s.recipeView(b, r)
	for _, e := range b.Log {
		v.Log = append(v.Log, logged(e))
	}
	if b.Kind == "bath" {
		v.Account = s.account(b)
	}
	for _, f := range s.found[b.File] {
		v.Findings = append(v.Findings, s.findingRow(f, nil))
	}
	if _, ok := s.mixView(b); ok {
		v.Papers = append(v.Papers, said{Text: "Bench card", Soft: "to mix it from, in several volumes", To: s.mixPath(b)})
	}
	if s.Analysis != nil && slices.Contains(s.tableBatches(), b) {
		v.Papers = append(v.Papers, said{Text: "Exposure table", To: s.tablePath(b)})
	}
	return v
}

func (s *stage) batchFacts(b *record.Batch) []fact {
	g := group{}
	g.note("Kind", b.Kind)
	mixed := said{Text: dayWords(b.Mixed)}
	if !b.Mixed.IsZero() {
		mixed.Soft = daysFrom(s.Today, b.Mixed)
	}
	g.add("Mixed", mixed)
	if b.VolumeML > 0 {
		g.note("Volume", unit.Figure(b.VolumeML)+" ml")
	}
	if b.ReadyAfterGiven {
		g.add("Ready", said{Text: "from " + dayWords(b.ReadyFrom), Soft: "after " + count(b.ReadyAfterDays, "day")})
	}
	if !b.Retire.IsZero() {
		g.add("To be retired", said{Text: dayWords(b.Retire), Soft: daysFrom(s.Today, b.Retire)})
	}
	switch b.Kind {
	case "varnish":
		w := said{Text: plain(b.CureHours) + " hours"}
		if !b.CureHoursGiven {
			w.Soft = "the usual time: the record sets none"
		}
		g.add("Cures in", w)
	case "collodion":
		w := said{Text: plain(b.RetainedMLPerDM2) + " ml/dm²"}
		if !b.RetainedGiven {
			w.Soft = "the usual figure: the record sets none"
		}
		g.add("Left on a plate", w)
	}
	g.note("File", b.File)
	for _, key := range sortedKeys(b.Extra) {
		g.note(key, oneLine(b.Extra[key]))
	}
	return g.Facts
}

// discarded is the day a batch left the studio, zero while it stands.
func discarded(b *record.Batch) record.Date {
	var day record.Date
	for _, e := range b.Log {
		if m, ok := logbook.Find(e.Action); ok {
			switch m.Action {
			case logbook.Discarded:
				if e.VolumeML == nil || *e.VolumeML == 0 {
					day = e.Date
				}
			case logbook.Replaced:
				day = record.Date{}
			}
		}
	}
	return day
}

// batchState says in a few words where a batch stands today.
func (s *stage) batchState(b *record.Batch) said {
	gone := discarded(b)
	switch {
	case !gone.IsZero() && !gone.After(s.Today):
		return said{Text: "discarded", Soft: dayWords(gone)}
	case b.Mixed.After(s.Today):
		return said{Text: "mixed in the future", Soft: dayWords(b.Mixed)}
	case !b.ReadyFrom.IsZero() && b.ReadyFrom.After(s.Today):
		return said{Text: "not ready", Soft: "from " + dayWords(b.ReadyFrom)}
	case !b.Retire.IsZero() && b.Retire.Before(s.Today):
		return said{Text: "past its day", Soft: "to be retired " + dayWords(b.Retire)}
	case !b.Retire.IsZero():
		return said{Text: "in use", Soft: "until " + dayWords(b.Retire)}
	}
	return said{Text: "in use"}
}

func (s *stage) recipeView(b *record.Batch, r chemistry.Recipe) *recipeView {
	if len(b.Parts) == 0 {
		return nil
	}
	v := &recipeView{Assumptions: r.Assumptions}
	if r.VolumeMl > 0 {
		v.Volume = unit.Figure(r.VolumeMl) + " ml"
	}
	card, err := recipe.Card(s.Archive, b.ID, 0)
	if err != nil {
		v.Refused = err.Error()
		for _, l := range r.Lines {
			v.Amounts = append(v.Amounts, amountRow{Name: l.Substance.Name, Written: l.Written})
		}
		return v
	}
	for _, l := range card.Amounts {
		v.Amounts = append(v.Amounts, amountRow{Name: l.Name, Amount: l.Amount, Per100: l.Per100, Written: l.Written})
	}
	v.Order = mixing(card, true)
	v.Figures = card.Figures
	for _, p := range card.Remarks {
		v.Remarks = append(v.Remarks, withRemedy(p.Message, p.Remedy))
	}
	for _, x := range card.Substitutes {
		v.Substitutes = append(v.Substitutes, substituteView{x.For, x.Use, x.Changes, x.Source})
	}
	return v
}

// mixing is the order of mixing with the substances of each step. With amounts
// it is for one volume; without, a substance that the step names is not named
// again.
func mixing(c chemistry.BenchCard, amounts bool) []string {
	var out []string
	for _, st := range c.Order {
		var what []string
		for _, i := range st.Lines {
			name := oneLine(c.Amounts[i].Name)
			switch {
			case amounts:
				what = append(what, name+" "+c.Amounts[i].Amount)
			case !strings.Contains(strings.ToLower(st.Text), strings.ToLower(name)):
				what = append(what, name)
			}
		}
		text := st.Text
		if len(what) > 0 {
			text += ": " + joined(what, "and")
		}
		out = append(out, text+".")
	}
	return out
}

func logged(e record.LogEntry) logRow {
	row := logRow{Day: shortDay(e.Date), Action: oneLine(e.Action)}
	var parts []string
	add := func(v *float64, format string) {
		if v != nil {
			parts = append(parts, fmt.Sprintf(format, plain(*v)))
		}
	}
	add(e.SpecificGravity, "specific gravity %s")
	add(e.PercentWV, "assayed at %s %% w/v")
	add(e.TemperatureC, "at %s °C")
	add(e.PH, "pH %s")
	add(e.VolumeML, "%s ml after it")
	for _, p := range e.Added {
		parts = append(parts, "added "+partWords(p))
	}
	if n := oneLine(e.Note); n != "" {
		parts = append(parts, n)
	}
	row.Said = joinedWith(parts, "; ")
	if m, ok := logbook.Find(e.Action); ok {
		row.Means, row.Caution = m.Means, m.Caution
	} else {
		row.Means = "not a word the account knows: it changes nothing but what was read with it"
	}
	return row
}

func partWords(p record.Part) string {
	name := oneLine(p.Substance)
	switch {
	case p.Grams != nil:
		return plain(*p.Grams) + " g " + name
	case p.ML != nil:
		return plain(*p.ML) + " ml " + name
	case p.PercentWV != nil:
		return plain(*p.PercentWV) + " % w/v " + name
	}
	return name + " " + oneLine(p.Amount)
}

func joinedWith(list []string, by string) string {
	out := ""
	for i, s := range list {
		if i > 0 {
			out += by
		}
		out += s
	}
	return out
}
