package care

import (
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

var supports = []string{"tin", "aluminium", "glass", "glass-negative", ""}

func text(lines []Line) string {
	var b strings.Builder
	for _, l := range lines {
		b.WriteString(l.Text + "\n")
	}
	return b.String()
}

func TestLines(t *testing.T) {
	for support, parts := range map[string][]string{
		"tin":            {"rust", "do not bend", "flat"},
		"aluminium":      {"do not bend", "does not rust"},
		"glass":          {"Glass breaks", "backing", "every piece"},
		"glass-negative": {"Glass breaks", "negative"},
		"":               {"edges"},
	} {
		got := text(Lines(support, true, []string{"Ring us first."}))
		for _, p := range append(parts, "15–20 °C, 30–45 % RH, never above 60 %", "Alcohol", "four-flap", "Ring us first.") {
			if !strings.Contains(got, p) {
				t.Errorf("%q lacks %q", support, p)
			}
		}
	}
	if strings.Contains(text(Lines("tin", true, nil)), "Glass breaks") || strings.Contains(text(Lines("glass", true, nil)), "rust") {
		t.Error("the supports are mixed up")
	}
	if !strings.Contains(text(Lines("tin", false, nil)), "not varnished") {
		t.Error("an unvarnished plate says so")
	}
}

// TestKeys: each line of ours has a key, and no two texts share one.
func TestKeys(t *testing.T) {
	texts := map[string]string{}
	for _, s := range supports {
		for _, varnished := range []bool{true, false} {
			for _, l := range Lines(s, varnished, nil) {
				if other, taken := texts[l.Key]; l.Key == "" || taken && other != l.Text {
					t.Errorf("key %q: %q and %q", l.Key, l.Text, other)
				}
				texts[l.Key] = l.Text
			}
		}
	}
	if own := Lines("tin", true, []string{"Ours."}); own[len(own)-1] != (Line{Text: "Ours."}) {
		t.Errorf("the studio's own line: %+v", own[len(own)-1])
	}
}

// TestSources: what a publication says carries its name.
func TestSources(t *testing.T) {
	for _, l := range Lines("tin", true, nil) {
		published := map[string]string{
			"Hold the plate by its edges": "National Archives", "dissolve varnish": "McCabe", "rust": "AIC", "15–20 °C": "Library of Congress",
			"decay doubles": "NEDCC", "four-flap": "ISO 18916", "conservator": "Illinois",
		}
		for part, source := range published {
			if strings.Contains(l.Text, part) && !strings.Contains(l.Source, source) {
				t.Errorf("%q rests on %q, want %q", l.Text, l.Source, source)
			}
		}
	}
}

// TestNoPromise: nothing promises how long a plate lasts.
func TestNoPromise(t *testing.T) {
	for _, s := range supports {
		all := strings.ToLower(text(Lines(s, true, nil)) + strings.Join(CardLines(s, true, nil), "\n"))
		for _, word := range []string{"lifetime", "for ever", "forever", "archival", "guarantee", "last for", "generations"} {
			if strings.Contains(all, word) {
				t.Errorf("%q promises %q", s, word)
			}
		}
	}
}

func TestCardLines(t *testing.T) {
	for _, s := range supports {
		for _, varnished := range []bool{true, false} {
			got := CardLines(s, varnished, []string{" Ours. ", "  "})
			if len(got) != 6 || got[5] != "Ours." {
				t.Errorf("%q: %q", s, got)
			}
			for _, line := range got {
				if len([]rune(line)) > 72 {
					t.Errorf("%q: too long for a card: %q (%d)", s, line, len([]rune(line)))
				}
			}
		}
	}
}

func TestCure(t *testing.T) {
	paris, err := time.LoadLocation("Europe/Paris")
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(2026, 5, 4, 18, 30, 0, 0, paris)
	for _, c := range []struct {
		hours   float64
		want    time.Time
		isUsual bool
	}{
		{24, at.Add(24 * time.Hour), false}, {0, at.Add(24 * time.Hour), true}, {-1, at.Add(24 * time.Hour), true},
		{math.NaN(), at.Add(24 * time.Hour), true}, {math.Inf(1), at.Add(24 * time.Hour), true}, {1.5, at.Add(90 * time.Minute), false}, {72, at.Add(72 * time.Hour), false},
	} {
		got := Cure(at, c.hours)
		if !got.Ready.Equal(c.want) || got.Default != c.isUsual {
			t.Errorf("Cure(%v) = %+v, want %v", c.hours, got, c.want)
		}
		if got.Cured(c.want.Add(-time.Second)) || !got.Cured(c.want) {
			t.Errorf("Cure(%v): the moment is off", c.hours)
		}
	}
	if c := Cure(time.Time{}, 24); !c.Ready.IsZero() || c.Cured(at.AddDate(9, 0, 0)) || !strings.Contains(c.Sentence(), "Not varnished") {
		t.Errorf("never varnished: %+v", c)
	}
	if got, want := Cure(at, 0).Sentence(), "Varnish cures for 24 hours, the usual time: do not touch the image or close the envelope before Tuesday 5 May 2026, 18:30."; got != want {
		t.Errorf("%q", got)
	}
	// Clocks go forward in the night of 29 March 2026: 24 hours are 24 hours.
	spring := time.Date(2026, 3, 28, 18, 0, 0, 0, paris)
	if got := Cure(spring, 24).Ready.Format("15:04"); got != "19:00" {
		t.Errorf("over the change to summer time: %s", got)
	}
}

// TestCureIsLater: a varnished plate is ready after, never before, by the hours.
func TestCureIsLater(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := time.Unix(rapid.Int64Range(0, 4e9).Draw(t, "at"), 0)
		c := Cure(at, rapid.Float64().Draw(t, "hours"))
		if d := c.Ready.Sub(at).Hours(); math.Abs(d-c.Hours) > 1/3600. || c.Hours <= 0 {
			t.Fatalf("%v hours, ready after %v", c.Hours, d)
		}
	})
}
