package benchbook

import (
	"context"
	"slices"

	"sandarac/archive/record"
)

// papersView is the list of what can be printed.
type papersView struct {
	Days   []paperSet `json:"days"`
	Tables []said     `json:"tables"`
	Labels bool       `json:"labels"` // there are batches to label
}

// paperSet is the plates of a day or a client, with their papers.
type paperSet struct {
	Name   string `json:"name"`
	Plates int    `json:"plates"`
	Cards  string `json:"cards"`
	Labels string `json:"labels"`
}

const (
	paperDays  = 30 // days of shooting whose papers are kept ready
	cardsPage  = 24 // four sheets of six
	labelsPage = 96 // four sheets of twenty-four
)

// leaves says whether a plate goes out in an envelope: it was kept, or its
// client waits for a word on it.
func leaves(p *record.Plate) bool {
	return !p.Broken && p.Purpose != "test" && (p.Outcome == "keeper" || p.Outcome == "" && p.Client != "")
}

// writePapers writes everything that is printed.
func (s *stage) writePapers(ctx context.Context) error {
	v := papersView{Tables: s.tableLinks()}
	if s.Analysis == nil {
		v.Tables = nil
	}
	for _, day := range s.days() {
		if err := ctx.Err(); err != nil {
			return err
		}
		set, err := s.writeSet("day-"+day[0].MadeOn().String(), dayWords(day[0].MadeOn()), day)
		if err != nil {
			return err
		}
		v.Days = append(v.Days, set)
	}
	for _, c := range s.clients {
		if err := ctx.Err(); err != nil {
			return err
		}
		if plates := leaving(s.ordered[c.ID]); len(plates) > 0 {
			slices.Reverse(plates) // oldest first, as the days are
			if _, err := s.writeSet("client-"+s.clientSlug[c.ID], clientName(c), plates); err != nil {
				return err
			}
		}
	}
	for _, step := range []func(context.Context) error{s.writeDaySheet, s.writeBatchLabels, s.writeMixCards, s.writeExposureTables} {
		if err := step(ctx); err != nil {
			return err
		}
	}
	v.Labels = len(s.labelled()) > 0
	return s.content("papers/_index", page{Title: "Papers to print", Layout: "papers", Params: v})
}

func leaving(plates []*record.Plate) []*record.Plate {
	var out []*record.Plate
	for _, p := range plates {
		if leaves(p) {
			out = append(out, p)
		}
	}
	return out
}

// days are the plates that left, by the newest days, each day oldest first.
func (s *stage) days() [][]*record.Plate {
	var out [][]*record.Plate
	var last record.Date
	for _, p := range s.plates { // newest first
		if !leaves(p) || p.Made.IsZero() {
			continue
		}
		if day := p.MadeOn(); len(out) == 0 || day != last {
			if len(out) == paperDays {
				break
			}
			out, last = append(out, nil), day
		}
		n := len(out) - 1
		out[n] = append([]*record.Plate{p}, out[n]...)
	}
	return out
}

// platePapers lead to the sheets that hold a plate's card and label.
func (s *stage) platePapers(p *record.Plate) []said {
	if !leaves(p) {
		return nil
	}
	var out []said
	if s.cardDays[p.MadeOn()] {
		out = append(out, said{Text: "Cards of the day", To: "papers/day-" + p.MadeOn().String() + "-cards/"})
	}
	if _, ok := s.Archive.Clients[p.Client]; ok {
		out = append(out, said{Text: "Cards of the client", To: "papers/client-" + s.clientSlug[p.Client] + "-cards/"})
	}
	return out
}

// writeSet writes the envelope cards and the box labels of some plates.
func (s *stage) writeSet(name, title string, plates []*record.Plate) (paperSet, error) {
	set := paperSet{Name: title, Plates: len(plates), Cards: "papers/" + name + "-cards/", Labels: "papers/" + name + "-labels/"}
	var cards []cardView
	for _, p := range plates {
		c, err := s.card(p)
		if err != nil {
			return set, err
		}
		cards = append(cards, c)
	}
	studio := s.Archive.Studio
	err := s.series("papers/"+name+"-cards", len(cards), cardsPage, func(lo, hi int, at turn) page {
		return page{Title: "Envelope cards: " + title, Layout: "cards", Params: cardsView{
			Studio: oneLine(studio.Name), Email: oneLine(studio.Email), Cards: cards[lo:hi], Named: studio.CardsNameClient, Turn: at}}
	})
	if err != nil {
		return set, err
	}
	return set, s.series("papers/"+name+"-labels", len(plates), labelsPage, func(lo, hi int, at turn) page {
		v := labelsView{Studio: oneLine(studio.Name), Turn: at}
		for _, p := range plates[lo:hi] {
			v.Labels = append(v.Labels, s.boxLabel(p))
		}
		return page{Title: "Box labels: " + title, Layout: "labels", Params: v}
	})
}
