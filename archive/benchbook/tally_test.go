package benchbook

import (
	"fmt"
	"testing"

	"sandarac/archive/record"
	"sandarac/archive/stats"
)

// TestTallyAgreesWithTheAnalysis: the page of a batch and the tables of the
// analysis count the same plates the same way.
func TestTallyAgreesWithTheAnalysis(t *testing.T) {
	in, _ := demoSite(t)
	s := newStage(in, "")
	for kind, groups := range map[string][]groupRow{"collodion": s.rows("collodion"), "bath": s.rows("bath")} {
		if len(groups) == 0 {
			t.Errorf("no %s", kind)
		}
		for _, g := range groups {
			tl := s.tally(s.made[g.Key])
			if got := fmt.Sprintf("%d of %d", tl.Keepers, tl.Of); got != g.Kept {
				t.Errorf("%s: %s kept, the analysis says %s", g.Key, got, g.Kept)
			}
			if tl.Wilson != g.Wilson {
				t.Errorf("%s: interval %s, the analysis says %s", g.Key, tl.Wilson, g.Wilson)
			}
			if got := tl.Spreads[0].Median; got != g.Seconds {
				t.Errorf("%s: median %s s, the analysis says %s", g.Key, got, g.Seconds)
			}
			if got := tl.Spreads[0].Middle; got != g.SecondsQ {
				t.Errorf("%s: middle half %s s, the analysis says %s", g.Key, got, g.SecondsQ)
			}
			if got := tl.Spreads[1].Median + tl.Spreads[1].Mean + tl.Spreads[1].GSD; got != g.EI+g.EIMean+g.EISD {
				t.Errorf("%s: EI %s, the analysis says %s", g.Key, got, g.EI+g.EIMean+g.EISD)
			}
		}
	}
}

// rows are the rows of a table of the analysis.
func (s *stage) rows(kind string) []groupRow {
	var out []groupRow
	for _, g := range s.groupings() {
		if g.key == kind {
			for _, x := range g.groups {
				out = append(out, s.groupRow(kind, x))
			}
		}
	}
	return out
}

// TestTally counts keepers over plates with an outcome that are no tests, and
// says "too few to tell" under five. 15 of 148 is in Newcombe, Statistics in
// Medicine 17 (1998) 857-872, table I, method 3: 0.0624 to 0.1605.
func TestTally(t *testing.T) {
	s := newStage(archiveOf(t, map[string]string{"studio.md": studioRecord}), "")
	plates := func(outcomes map[string]int) []*record.Plate {
		var out []*record.Plate
		for o, n := range outcomes {
			for range n {
				p := &record.Plate{Purpose: "portrait", Outcome: o}
				if o == "test" {
					p.Purpose, p.Outcome = "test", "keeper"
				}
				out = append(out, p)
			}
		}
		return out
	}
	for _, c := range []struct {
		outcomes          map[string]int
		rate, wilson, say string
	}{
		{map[string]int{"keeper": 15, "scrapped": 100, "remake": 33, "": 7, "test": 9}, "15 of 148 kept", "6–17 %", "10 %; with so many plates the rate may lie anywhere in 6–17 %."},
		{map[string]int{"keeper": 4}, "4 of 4 kept", "51–100 %", "Too few to tell."},
		{map[string]int{"keeper": 4, "scrapped": 1}, "4 of 5 kept", "37–97 %", "80 %; with so many plates the rate may lie anywhere in 37–97 %."},
		{map[string]int{"": 3, "test": 2}, "", "", "No plate of it has an outcome yet."},
	} {
		got := s.tally(plates(c.outcomes))
		if got.Rate != c.rate || got.Wilson != c.wilson || got.Said != c.say {
			t.Errorf("%v: %q, %q, %q; want %q, %q, %q", c.outcomes, got.Rate, got.Wilson, got.Said, c.rate, c.wilson, c.say)
		}
	}
	if w, err := stats.Wilson(15, 148, 0.95); err != nil || fmt.Sprintf("%.4f %.4f", w.Lo, w.Hi) != "0.0624 0.1605" {
		t.Errorf("15 of 148: %v, %v", w, err)
	}
}
