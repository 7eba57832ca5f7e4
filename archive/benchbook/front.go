package benchbook

import (
	"context"
)

// frontView is the first page: what the archive holds, what wants doing.
type frontView struct {
	Studio  string       `json:"studio"`
	Day     string       `json:"day"`
	Counts  []countCell  `json:"counts"`
	Checked []checkCount `json:"checked"`
}

type countCell struct {
	N    int    `json:"n"`
	What string `json:"what"`
	To   string `json:"to"`
}

func (s *stage) writeFront(context.Context) error {
	return s.content("_index", page{Title: "Bench book", Params: s.front(), notes: s.Archive.Studio.Body})
}

func (s *stage) front() frontView {
	v := frontView{Studio: oneLine(s.Archive.Studio.Name), Day: dayWords(s.Today), Checked: s.checkCounts()}
	public, unscanned, today := 0, 0, 0
	for _, p := range s.plates {
		if s.PublicPaths[p.ID] != "" {
			public++
		}
		if len(p.Scans) == 0 {
			unscanned++
		}
		if p.MadeOn() == s.Today {
			today++
		}
	}
	v.Counts = []countCell{
		{len(s.plates), "plates", "plates/"}, {today, "made today", "plates/"}, {public, "public", "plates/"},
		{unscanned, "without a scan", "plates/"}, {len(s.batches), "batches", "batches/"}, {len(s.clients), "clients", "clients-list/"},
	}
	return v
}
