package benchbook

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"sandarac/archive/record"
)

// frontView is the first page: what the records say, what wants doing, what
// there is.
type frontView struct {
	Studio    string       `json:"studio"`
	Day       string       `json:"day"`
	Sentences []sentence   `json:"sentences"`
	Counts    []countCell  `json:"counts"`
	Checked   []checkCount `json:"checked"`
	Attention []matter     `json:"attention"`
	Consents  []concern    `json:"consents"`
	More      int          `json:"more"` // consents beyond those listed
}

type countCell struct {
	N    int    `json:"n"`
	What string `json:"what"`
	To   string `json:"to"`
}

// matter is something to look after, other than a consent.
type matter struct {
	Title string `json:"title"`
	Rows  []said `json:"rows"`
	More  int    `json:"more"`
}

const (
	frontConsents = 8
	frontRows     = 6
	retiringDays  = 14
)

func (s *stage) writeFront(context.Context) error {
	return s.content("_index", page{Title: "Bench book", Params: s.front(), notes: s.Archive.Studio.Body})
}

func (s *stage) front() frontView {
	v := frontView{Studio: oneLine(s.Archive.Studio.Name), Day: dayWords(s.Today), Checked: s.checkCounts(), Counts: s.counts(), Sentences: s.sentences()}
	all := s.concerns()
	v.Consents = all[:min(len(all), frontConsents)]
	v.More = len(all) - len(v.Consents)
	for _, m := range []matter{
		{Title: "Silver baths", Rows: s.bathMatters()}, {Title: "Batches", Rows: s.goingOff()},
		{Title: "Still curing", Rows: s.curing()}, {Title: "Galleries ending", Rows: s.endingGalleries()},
	} {
		if len(m.Rows) > 0 {
			m.More = max(0, len(m.Rows)-frontRows)
			m.Rows = m.Rows[:len(m.Rows)-m.More]
			v.Attention = append(v.Attention, m)
		}
	}
	return v
}

func (s *stage) counts() []countCell {
	made, public, unscanned, open := 0, 0, 0, 0
	for _, p := range s.plates {
		if p.MadeOn() == s.Today {
			made++
		}
		if s.PublicPaths[p.ID] != "" {
			public++
		}
		if len(p.Scans) == 0 {
			unscanned++
		}
		if p.Outcome == "" && p.Purpose != "test" {
			open++
		}
	}
	return []countCell{
		{made, "made today", "plates/"}, {len(s.plates), "plates in all", "plates/"}, {public, "public", "plates/"},
		{unscanned, "without a scan", "plates/"}, {open, "without an outcome", "plates/?outcome=none"},
		{len(s.batches), noun(len(s.batches), "batch"), "batches/"}, {len(s.clients), noun(len(s.clients), "client"), "clients-list/"},
	}
}

// bathMatters are what the accounts and the charts advise of the baths in use.
func (s *stage) bathMatters() []said {
	var out []said
	if s.Analysis != nil {
		for _, b := range s.Analysis.Baths {
			if rec, ok := s.Archive.Batch("bath", b.Batch); ok && b.Signal != "" && s.stands(rec) {
				out = append(out, said{Text: b.Batch, To: s.batchPath(b.Batch), Soft: "test the bath: its chart signalled at plate " + b.Signal})
			}
		}
	}
	for _, b := range s.batches {
		if b.Kind != "bath" || !s.stands(b) {
			continue
		}
		acc, ok := s.stock.Bath(b.ID)
		if !ok {
			continue
		}
		for _, a := range acc.Advice {
			out = append(out, said{Text: b.ID, To: s.batchPath(b.ID), Soft: spelled(string(a.Action)) + "? " + a.Why})
		}
	}
	return out
}

// goingOff are the batches near or past their day that nobody logged as
// discarded, and those not ready yet.
func (s *stage) goingOff() []said {
	var rows []said
	var keys []string
	add := func(b *record.Batch, day record.Date, format string) {
		rows = append(rows, said{Text: b.ID, To: s.batchPath(b.ID), Soft: fmt.Sprintf(format, dayWords(day), daysFrom(s.Today, day))})
		keys = append(keys, day.String())
	}
	for _, b := range s.batches {
		gone := discarded(b)
		switch {
		case !gone.IsZero() && !gone.After(s.Today):
		case !b.Retire.IsZero() && b.Retire.Before(s.Today):
			add(b, b.Retire, "past its day: was to be retired %s, %s")
		case !b.Retire.IsZero() && b.Retire.DaysSince(s.Today) <= retiringDays:
			add(b, b.Retire, "to be retired %s, %s")
		case !b.ReadyFrom.IsZero() && b.ReadyFrom.After(s.Today) && !b.Mixed.After(s.Today):
			add(b, b.ReadyFrom, "not ready before %s, %s")
		}
	}
	order := make([]int, len(rows))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return strings.Compare(keys[b], keys[a]) })
	out := make([]said, 0, len(rows))
	for _, i := range order {
		out = append(out, rows[i])
	}
	return out
}

// curing are the plates that may not be touched before some time today or
// later.
func (s *stage) curing() []said {
	var out []said
	for _, p := range s.plates {
		if ready := s.clock(p).Ready; !ready.IsZero() && !p.Broken && !record.DateOf(ready).Before(s.Today) {
			out = append(out, said{Text: s.plateTitle(p), To: s.platePath(p), Soft: "not to be touched before " + ready.Format("Monday 2 January, 15:04")})
		}
	}
	return out
}

func (s *stage) endingGalleries() []said {
	var out []said
	for _, l := range s.Links {
		if l.Until == nil || l.State != "open" {
			continue
		}
		until, err := record.ParseDate(*l.Until)
		c, ok := s.Archive.Clients[l.Client]
		if err != nil || !ok || until.DaysSince(s.Today) > endingDays {
			continue
		}
		out = append(out, said{Text: clientName(c), To: s.clientPath(c.ID), Soft: "last day " + dayWords(until) + ", " + daysFrom(s.Today, until)})
	}
	return out
}
