package benchbook

import (
	"context"
	"fmt"
	"math"
	"strings"

	"sandarac/archive/analysis"
)

// sentence is one finding of the analysis with how far it may be trusted.
type sentence struct {
	Text     string `json:"text"`
	Strength string `json:"strength"`
	To       string `json:"to"`
	More     string `json:"more"`
}

// about says which page holds the numbers behind a sentence.
var about = map[string]string{
	"collodion": "learned/collodion/", "bath": "learned/bath/", "light": "learned/light/", "format": "learned/format/",
	"lens": "learned/lens/", "month": "learned/month/", "exposure": "learned/exposure/", "ageing": "learned/ageing/",
	"keepers": "learned/keepers/",
}

func (s *stage) sentences() []sentence {
	if s.Analysis == nil {
		return nil
	}
	var out []sentence
	for _, f := range s.Analysis.Findings {
		v := sentence{Text: withMinus(f.Text), Strength: f.Strength, To: about[f.About], More: "the numbers"}
		if v.To == "" {
			v.To = "learned/"
		}
		out = append(out, v)
	}
	return out
}

// learnedView is the first page of the analysis.
type learnedView struct {
	Sentences []sentence  `json:"sentences"`
	Ways      []linkGroup `json:"ways"`
	Notes     []string    `json:"notes"`
	Missing   bool        `json:"missing"` // the analysis was not made
	Caveat    string      `json:"caveat"`
}

type linkGroup struct {
	Title string `json:"title"`
	Links []said `json:"links"`
}

// caveat is said once, on the first page.
const caveat = "Records observe: batch, weather, sitter and skill travel together. A side-by-side pair of plates settles more than ten comparisons."

// writeLearned writes what the records say.
func (s *stage) writeLearned(ctx context.Context) error {
	v := learnedView{Sentences: s.sentences(), Missing: s.Analysis == nil, Caveat: caveat}
	if s.Analysis != nil {
		for _, n := range s.Analysis.Notes {
			if n != caveat {
				v.Notes = append(v.Notes, n)
			}
		}
		v.Ways = []linkGroup{
			{"What was kept, by", []said{
				{Text: "collodion", To: about["collodion"]}, {Text: "silver bath", To: about["bath"]}, {Text: "light", To: about["light"]},
				{Text: "size", To: about["format"]}, {Text: "lens", To: about["lens"]}, {Text: "month", To: about["month"]},
			}},
			{"Models", []said{
				{Text: "exposure", Soft: "what each batch wants under each light", To: about["exposure"]},
				{Text: "keepers", Soft: "light, age and batch at once", To: about["keepers"]},
				{Text: "ageing", Soft: "how a collodion slows", To: about["ageing"]},
				{Text: "baths over time", Soft: "the chart that says “test the bath”", To: "learned/baths/"},
			}},
			{"Flaws", []said{{Text: "flaws and what they go with", To: "learned/flaws/"}}},
		}
	}
	if err := s.content("learned/_index", page{Title: "What the records say", Layout: "learned", Params: v}); err != nil {
		return err
	}
	if s.Analysis == nil {
		return nil
	}
	for _, step := range []func(context.Context) error{s.writeGroups, s.writeExposureModel, s.writeKeeperModel, s.writeAgeing, s.writeBaths, s.writeFlaws} {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := step(ctx); err != nil {
			return err
		}
	}
	return nil
}

func orDash(v *float64, write func(float64) string) string {
	if v == nil {
		return "–"
	}
	return write(*v)
}

// twoFigures is an interval to two significant figures, rounded outward.
func twoFigures(l *analysis.Limits) string {
	if l == nil {
		return "–"
	}
	return rounded(l[0], 2, math.Floor) + "–" + rounded(l[1], 2, math.Ceil)
}

// signed writes a number with its sign; what rounds to nothing has none.
func signed(v float64, decimals int) string {
	s := fmt.Sprintf("%.*f", decimals, math.Abs(v))
	switch {
	case !strings.ContainsAny(s, "123456789"):
		return s
	case v < 0:
		return "−" + s
	}
	return "+" + s
}
