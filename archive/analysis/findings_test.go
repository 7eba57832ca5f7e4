package analysis

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"sandarac/archive/record"
)

// The words of a comparison, at their edges.
func TestVerdict(t *testing.T) {
	few, many := &Group{TooFew: true}, &Group{}
	for _, c := range []struct {
		name     string
		pair     Pair
		p        float64
		modelled bool
		want     string
	}{
		{"under five plates", Pair{Newcombe95: Limits{0.1, 0.4}, HolmP: 0.001, a: few, b: many}, 0.99, true, TooFewToTell},
		{"a wide interval", Pair{Newcombe95: Limits{0.05, 0.6}, HolmP: 0.01, a: many, b: many}, 0.99, true, TooFewToTell},
		{"spans zero", Pair{Newcombe95: Limits{-0.01, 0.3}, HolmP: 0.2, a: many, b: many}, 0.97, true, NoClearDifference},
		{"the model is sure, Holm is not", Pair{Difference: 0.2, Newcombe95: Limits{0.02, 0.4}, HolmP: 0.2, a: many, b: many}, 0.95, true, ProbablyBetter},
		{"the model is not sure", Pair{Difference: 0.2, Newcombe95: Limits{0.02, 0.4}, HolmP: 0.2, a: many, b: many}, 0.7, true, NoClearDifference},
		{"the model sees it the other way", Pair{Difference: 0.2, Newcombe95: Limits{0.02, 0.4}, HolmP: 0.2, a: many, b: many}, 0.05, true, NoClearDifference},
		{"no model", Pair{Difference: 0.2, Newcombe95: Limits{0.02, 0.4}, HolmP: 0.2, a: many, b: many}, 0, false, NoClearDifference},
		{"Holm is sure", Pair{Difference: -0.3, Newcombe95: Limits{-0.4, -0.1}, HolmP: 0.01, a: many, b: many}, 0.01, true, Better},
	} {
		if got := verdict(c.pair, c.p, c.modelled); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// A sentence never gives a rate to more than whole percent, nor a bare p.
func TestFindingsSpeakPlainly(t *testing.T) {
	rates := regexp.MustCompile(`\d\.\d+ ?%`)
	p := regexp.MustCompile(`\bp [=<]`)
	long := regexp.MustCompile(`\d\.\d{3,}`)
	for seed := range uint64(12) {
		tr := usualTruth()
		tr.perBatch = 3 + 4*int(seed)
		a, _ := tr.draw(rand.New(rand.NewPCG(seed, 6)))
		r := analyse(t, a, 200)
		if len(r.Findings) == 0 || len(r.Findings) > MaxFindings {
			t.Errorf("%d findings", len(r.Findings))
		}
		for i, f := range r.Findings {
			if rates.MatchString(f.Text) || p.MatchString(f.Text) || long.MatchString(f.Text) {
				t.Errorf("too many digits: %s", f.Text)
			}
			if !strings.HasSuffix(f.Text, ".") || f.Strength == "" || f.About == "" {
				t.Errorf("%+v", f)
			}
			if i > 0 && f.weight > r.Findings[i-1].weight {
				t.Error("findings are not ranked")
			}
		}
		if !strings.Contains(strings.Join(r.Notes, "\n"), "Records observe") {
			t.Error("the caution is missing")
		}
	}
}

// With a large, real difference the comparison leads with both ns.
func TestBetterBatchIsSaid(t *testing.T) {
	a := newArchive()
	for i := range 120 {
		plate(a, i/4, func(p *record.Plate) {
			p.Batches.Collodion, p.Outcome = "c1", "keeper"
			if i%2 == 0 {
				p.Batches.Collodion = "c2"
				if i%4 == 0 {
					p.Outcome = "scrapped"
				}
			} else if i%12 == 1 {
				p.Outcome = "scrapped"
			}
		})
	}
	r := analyse(t, a, 60)
	for _, f := range r.Findings {
		if f.About == "collodion" {
			for _, want := range []string{"c1 is better than c2", "50 of 60", "30 of 60", "points"} {
				if !strings.Contains(f.Text, want) {
					t.Errorf("lacks %q: %s", want, f.Text)
				}
			}
			if f.Strength != Better {
				t.Errorf("strength %q", f.Strength)
			}
			return
		}
	}
	t.Errorf("no finding about collodion: %+v", r.Findings)
}

// What pages draw is there, in order, and adds up.
func TestSeries(t *testing.T) {
	tr := usualTruth()
	a, _ := tr.draw(rand.New(rand.NewPCG(8, 6)))
	s := analyse(t, a, 200).Series
	if len(s.Keepers) != tr.batches || len(s.Grades) != 2 || len(s.EI) == 0 || len(s.Baths) != 1 || len(s.Months) == 0 {
		t.Fatalf("%d, %d, %d, %d, %d", len(s.Keepers), len(s.Grades), len(s.EI), len(s.Baths), len(s.Months))
	}
	for _, k := range s.Keepers {
		if k.Interval[0] > k.Rate || k.Interval[1] < k.Rate || k.Adjusted == nil {
			t.Errorf("%+v", k)
		}
	}
	for _, c := range s.Grades {
		for _, p := range c.Points {
			if sum := p.Under + p.Right + p.Over; sum < 1-1e-9 || sum > 1+1e-9 || p.Right < 0 {
				t.Errorf("%+v", p)
			}
		}
		mid := c.Points[len(c.Points)/2]
		if mid.Stops != 0 || mid.Right < c.Points[0].Right {
			t.Errorf("right is likeliest at the aim: %+v", mid)
		}
	}
	for _, e := range s.EI {
		for i, p := range e.Points {
			if p.EI <= 0 || i > 0 && p.AgeDays < e.Points[i-1].AgeDays {
				t.Errorf("%+v", e)
			}
		}
	}
}

// Sentences for archives with one thing missing: true, and about what is there.
func TestFindingsOfLittle(t *testing.T) {
	said := func(edit func(i int, p *record.Plate)) (*Report, string) {
		a := newArchive()
		batch(a, "collodion", "c1", date(0))
		for i := range 12 {
			plate(a, i, func(p *record.Plate) {
				p.Judged, p.Outcome = "right", "keeper"
				edit(i, p)
			})
		}
		r := analyse(t, a, 20)
		text := ""
		for _, f := range r.Findings {
			text += f.Text + "\n"
		}
		return r, text
	}
	if _, text := said(func(_ int, p *record.Plate) { p.Light.EV100 = nil }); !strings.Contains(text, "12 of 12 judged plates lack") {
		t.Errorf("no readings: %s", text)
	}
	_, text := said(func(i int, p *record.Plate) {
		if i%2 == 1 {
			p.Light.Kind, p.Judged = "south", "over"
		}
	})
	if !strings.Contains(text, "c1 under north: a start is EI") || !strings.Contains(text, "from 6 plates judged right") || strings.Contains(text, "under south") {
		t.Errorf("no plate right under south, and the aim of north is not its: %s", text)
	}
	r, _ := said(func(int, *record.Plate) {})
	var b bytes.Buffer
	if err := r.Text(&b, 80); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "all keepers or all failures") || strings.Contains(b.String(), "100–100 %") {
		t.Errorf("all keepers in one month:\n%s", b.String())
	}
}

func TestWords(t *testing.T) {
	for _, c := range [][2]string{
		{secondsText(4.5), "4.5 s"}, {secondsText(12), "12 s"}, {secondsText(0.016), "0.016 s"}, {secondsText(0.3), "0.3 s"}, {secondsText(0.00041), "0.00041 s"},
		{signed(-0.02, 2), "−0.02"}, {signed(0.3, 1), "+0.3"}, {signed(-0.001, 2), "0.00"}, {signed(0.001, 2), "0.00"}, {decimals(-5, 1), "−5.0"},
		{asks(-0.2), "0.2 stop less"}, {asks(0.44), "0.4 stop more"}, {asks(0.01), "nothing"}, {percents(&Limits{0, 0}), "0–0 %"},
	} {
		if c[0] != c[1] {
			t.Errorf("%q, want %q", c[0], c[1])
		}
	}
}

// Names of a table are cut only as far as they stay apart, then columns go.
func TestGridKeepsNamesApart(t *testing.T) {
	g := &grid{head: []string{"", "kept", "95 %", "a long last column"}}
	for i := range 12 {
		g.add(fmt.Sprintf("collodion-%04d", i), "36/52", "55–81 %", "0.72–1.2")
	}
	for _, width := range []int{80, 44, 40, 34, 28} {
		var b bytes.Buffer
		if err := g.write(&b, width); err != nil {
			t.Fatal(err)
		}
		names := map[string]bool{}
		for i, line := range strings.Split(strings.TrimSpace(b.String()), "\n") {
			if n := utf8.RuneCountInString(line); n > width {
				t.Errorf("%d characters where %d fit: %q", n, width, line)
			}
			if i > 0 {
				names[strings.Fields(line)[0]] = true
			}
		}
		if len(names) != 12 {
			t.Errorf("at %d: %d names of 12:\n%s", width, len(names), b.String())
		}
	}
}
