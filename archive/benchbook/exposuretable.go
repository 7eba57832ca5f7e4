package benchbook

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"sandarac/archive/analysis"
	"sandarac/archive/exposure"
	"sandarac/archive/record"
)

// tableView is the sheet of exposure tables of one batch, to be read at arm's
// length.
type tableView struct {
	Batch  string      `json:"batch"`
	To     string      `json:"to"`
	Day    string      `json:"day"`
	Age    string      `json:"age"`
	Tables []timeTable `json:"tables"`
	Near   string      `json:"near"` // how many times longer a near subject takes
	None   string      `json:"none"`
}

type timeTable struct {
	Light string    `json:"light"`
	Said  string    `json:"said"`
	Stops []string  `json:"stops"`
	Rows  []timeRow `json:"rows"`
	Notes []string  `json:"notes"`
}

type timeRow struct {
	EV    string     `json:"ev"`
	Cells []timeCell `json:"cells"`
}

type timeCell struct {
	Time  string `json:"time"`
	Range string `json:"range"`
}

// tableBatches are the collodions that get a table: those that may still be
// poured, newest first, and the newest in any case.
func (s *stage) tableBatches() []*record.Batch {
	const most = 12
	var out []*record.Batch
	newest := true
	for _, b := range s.batches {
		if b.Kind != "collodion" {
			continue
		}
		if newest || s.stands(b) {
			out = append(out, b)
		}
		newest = false
	}
	return out[:min(len(out), most)]
}

// stands says whether a batch may be on the shelf today.
func (s *stage) stands(b *record.Batch) bool {
	gone := discarded(b)
	if !gone.IsZero() && !gone.After(s.Today) || b.Mixed.After(s.Today) {
		return false
	}
	return b.Retire.IsZero() || !b.Retire.Before(s.Today)
}

func (s *stage) tablePath(b *record.Batch) string {
	return "papers/exposure-" + s.batchSlug[b.ID] + "/"
}

func (s *stage) tableLinks() []said {
	var out []said
	for _, b := range s.tableBatches() {
		out = append(out, said{Text: b.ID, To: s.tablePath(b)})
	}
	return out
}

func (s *stage) writeExposureTables(ctx context.Context) error {
	if s.Analysis == nil {
		return nil
	}
	for _, b := range s.tableBatches() {
		if err := ctx.Err(); err != nil {
			return err
		}
		v, err := s.tableView(b)
		if err != nil {
			return err
		}
		if err := s.content("papers/exposure-"+s.batchSlug[b.ID], page{Title: "Exposure: " + b.ID, Layout: "exposure-table", Params: v}); err != nil {
			return err
		}
	}
	return nil
}

func (s *stage) tableView(b *record.Batch) (tableView, error) {
	v := tableView{Batch: b.ID, To: s.batchPath(b.ID), Day: dayWords(s.Today)}
	if !b.Mixed.IsZero() {
		v.Age = count(max(0, s.Today.DaysSince(b.Mixed)), "day") + " old"
	}
	const most = 6
	for _, g := range s.Analysis.Groups.Light {
		if len(v.Tables) == most {
			break
		}
		t, err := s.Analysis.ExposureTable(b.ID, g.Key)
		if errors.Is(err, analysis.ErrNoData) {
			continue
		}
		if err != nil {
			return v, fmt.Errorf("exposure table of %s under %s: %w", b.ID, g.Key, err)
		}
		v.Tables = append(v.Tables, newTimeTable(t))
	}
	if len(v.Tables) == 0 {
		v.None = "No table yet: it takes judged plates with seconds, stop and a light reading."
	}
	var near []string
	for _, m := range []float64{0.1, 0.2, 0.33, 0.5, 0.75, 1} {
		factor, err := exposure.BellowsFactor(m)
		if err != nil {
			return v, err
		}
		near = append(near, fmt.Sprintf("%s: × %.1f", upTo(m, 2), factor))
	}
	v.Near = joinedWith(near, ", ")
	return v, nil
}

func newTimeTable(t *analysis.Table) timeTable {
	v := timeTable{Light: t.Light, Notes: t.Notes}
	v.Said = "EI " + figures(t.EI, 2)
	if t.EI95 != nil {
		v.Said += " (" + twoFigures(t.EI95) + ")"
	}
	v.Said += ", " + count(t.Judged, "judged plate") + " of this batch under this light"
	for _, n := range t.Stops {
		v.Stops = append(v.Stops, "f/"+upTo(n, 1))
	}
	for i, ev := range t.EV100 {
		row := timeRow{EV: upTo(ev, 1)}
		for _, c := range t.Times[i] {
			cell := timeCell{Time: counted(c.Count)}
			if c.Limits95 != nil {
				cell.Range = counted(c.Limits95[0]) + "–" + counted(c.Limits95[1])
			}
			row.Cells = append(row.Cells, cell)
		}
		v.Rows = append(v.Rows, row)
	}
	return v
}

// counted is a countable time: seconds, or minutes and seconds where a clock is
// read rather than counted by heart.
func counted(seconds float64) string {
	if seconds > 0 && seconds < 0.5 {
		return strings.TrimRight(figures(seconds, 2), "0") // a shutter's
	}
	if seconds < 100 {
		return upTo(seconds, 1)
	}
	whole := int(seconds + 0.5)
	return fmt.Sprintf("%d:%02d", whole/60, whole%60)
}
