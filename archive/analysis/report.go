package analysis

import (
	"context"
	"fmt"
	"math"

	"sandarac/archive/record"
)

// Report is the whole analysis. It marshals to the JSON of `analyse --json`.
type Report struct {
	Plates           int            `json:"plates"`
	AsOf             record.Date    `json:"as_of"`
	Groups           Groups         `json:"groups"`
	Pairs            Pairs          `json:"pairs"`
	ExposureModel    *ExposureModel `json:"exposure_model"`
	ExposureModelAge *ExposureModel `json:"exposure_model_age"`
	KeeperModel      *KeeperModel   `json:"keeper_model"`
	Ageing           []Ageing       `json:"ageing"`
	AgeingPooled     *Ageing        `json:"ageing_pooled"`
	Baths            []Bath         `json:"baths"`
	Findings         []Finding      `json:"findings"`
	Notes            []string       `json:"notes"`

	Series Series `json:"-"` // for pages to draw

	rows    []row
	archive *record.Archive
}

// Limits are the two ends of an interval, lower first.
type Limits [2]float64

// Finding is one sentence of what the records say. Strength is how far it may
// be trusted: "better", "probably better", "no clear difference" and "too few
// to tell" for comparisons, "clear", "likely" and "hint" for the rest. About
// names the part of the analysis it comes from.
type Finding struct {
	Text     string `json:"text"`
	Strength string `json:"strength"`
	About    string `json:"about"`

	weight float64 // how much it would change what the photographer does
}

// Analyse computes the report of an archive as of a day. The error is that of
// the context; what the records cannot answer is said in the report's notes.
func Analyse(ctx context.Context, a *record.Archive, today record.Date) (*Report, error) {
	rows, notes := tabulate(a)
	r := &Report{Plates: len(rows), AsOf: today, rows: rows, archive: a, Notes: []string{},
		Ageing: []Ageing{}, Baths: []Bath{}, Findings: []Finding{}}
	r.Notes = append(r.Notes, notes...)
	for _, step := range []func(*Report){
		(*Report).groups,
		(*Report).exposureModels,
		(*Report).keeperModel,
		(*Report).judgePairs,
		(*Report).ageing,
		(*Report).baths,
		(*Report).series,
		(*Report).findings,
	} {
		if err := ctx.Err(); err != nil {
			return nil, fmt.Errorf("analysing the archive: %w", err)
		}
		step(r)
	}
	return r, nil
}

// judged are the plates that can teach the exposure model.
func (r *Report) judged() []row { return judgedOf(r.rows) }

func judgedOf(rows []row) []row {
	var out []row
	for _, x := range rows {
		if x.modelled() {
			out = append(out, x)
		}
	}
	return out
}

// some is a pointer to v, or nil where v is no number.
func some(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// limits is an interval, or nil where an end is no number.
func limits(lo, hi float64) *Limits {
	if math.IsNaN(lo-lo) || math.IsNaN(hi-hi) {
		return nil
	}
	return &Limits{lo, hi}
}
