package benchbook

import (
	"fmt"

	"sandarac/archive/record"
)

// shelfView is the page of all batches: for each kind the newest.
type shelfView struct {
	Kinds []kindPart `json:"kinds"`
}

type kindPart struct {
	Title string     `json:"title"`
	Rows  []batchRow `json:"rows"`
	All   *said      `json:"all"` // the whole list, where it is longer
}

// batchRow is a batch in a list.
type batchRow struct {
	ID     string `json:"id"`
	To     string `json:"to"`
	Mixed  string `json:"mixed"`
	State  said   `json:"state"`
	Plates int    `json:"plates"`
	Rate   string `json:"rate"`
	Wilson string `json:"wilson"`
	Word   string `json:"word"`
}

// kindListView is one page of all batches of a kind.
type kindListView struct {
	Kind string     `json:"kind"`
	Rows []batchRow `json:"rows"`
	Turn turn       `json:"turn"`
}

const (
	shelfNewest = 12 // of a kind on the page of all batches
	shelfSize   = 60 // on a page of the list of a kind
)

var kindTitles = map[string]string{"collodion": "Collodions", "bath": "Silver baths", "developer": "Developers", "fixer": "Fixers", "varnish": "Varnishes"}

func (s *stage) writeShelf() error {
	v := shelfView{}
	for _, kind := range record.BatchKinds {
		var rows []batchRow
		for _, b := range s.batches {
			if b.Kind == kind {
				rows = append(rows, s.batchRow(b))
			}
		}
		if len(rows) == 0 {
			continue
		}
		part := kindPart{Title: kindTitles[kind], Rows: rows[:min(len(rows), shelfNewest)]}
		if len(rows) > shelfNewest {
			part.All = &said{Text: fmt.Sprintf("All %d", len(rows)), To: "shelf-" + kind + "/"}
			err := s.series("shelf-"+kind, len(rows), shelfSize, func(lo, hi int, at turn) page {
				return page{Title: kindTitles[kind], Layout: "shelf-kind", Params: kindListView{kind, rows[lo:hi], at}}
			})
			if err != nil {
				return err
			}
		}
		v.Kinds = append(v.Kinds, part)
	}
	return s.content("batches/_index", page{Title: "Batches", Params: v})
}

func (s *stage) batchRow(b *record.Batch) batchRow {
	t := s.tally(s.made[b.ID])
	row := batchRow{ID: b.ID, To: s.batchPath(b.ID), Mixed: shortDay(b.Mixed), State: s.batchState(b), Plates: t.Plates, Rate: t.Rate, Wilson: t.Wilson}
	if t.Of > 0 && t.Of < tooFew {
		row.Word = "too few to tell"
	}
	return row
}
