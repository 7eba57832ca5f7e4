package benchbook

import (
	"testing"

	"sandarac/archive/analysis"
)

func TestNumbersInWords(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{figures(0.5381, 2), "0.54"}, {figures(4.6077, 2), "4.6"}, {figures(18.48, 2), "18"}, {figures(139.78, 2), "140"}, {figures(0.0974, 2), "0.097"},
		{figures(0, 2), "–"}, {figures(-1, 2), "–"},
		{upTo(2.50, 1), "2.5"}, {upTo(107.95, 0), "108"}, {upTo(-0.01, 1), "0"}, {plain(0.25), "0.25"}, {plain(12), "12"},
		// Limits are rounded outward, and a whole per cent stays what it is.
		{percents(0.48687, 0.97432), "48–98 %"}, {percents(0.2, 0.9), "20–90 %"}, {percents(0, 1), "0–100 %"},
		{percent(0.8571), "86 %"},
		{chance(0.0004), "< 0.001"}, {chance(0.0339), "0.034"}, {chance(0.2453), "0.25"}, {chance(1), "1"},
		{signed(-0.42, 1), "−0.4"}, {withMinus("-0.02 stop (-0.07 to 26-05-1)"), "−0.02 stop (−0.07 to 26-05-1)"}, {signed(0, 0), "0"}, {signed(-0.004, 2), "0.00"}, {signed(0.4, 0), "0"},
		{twoFigures(&analysis.Limits{0.1659, 0.4112}), "0.16–0.42"}, {twoFigures(&analysis.Limits{0.2, 1.2}), "0.20–1.2"}, {twoFigures(nil), "–"},
		{pointsBetween(-0.101, 0.234), "−11 to +24"}, {pointsBetween(0.003, 0.2), "0 to +20"}, {simulated(0.999), "over 99 %"}, {simulated(0), "under 1 %"}, {simulated(0.414), "41 %"},
		{count(rough(826), "plate"), "800 plates"}, {count(rough(47), "plate"), "45 plates"}, {count(rough(1), "plate"), "1 plate"}, {count(rough(0), "plate"), "0 plates"},
		// Seconds that are counted, and times that are read off a clock.
		{counted(2.5), "2.5"}, {counted(0.016), "0.016"}, {counted(0.3), "0.3"}, {counted(75), "75"}, {counted(100), "1:40"}, {counted(120), "2:00"}, {counted(655), "10:55"},
		{count(1, "plate"), "1 plate"}, {count(0, "batch"), "0 batches"}, {count(2, "day"), "2 days"},
		{joined([]string{"a", "b", "c"}, "and"), "a, b and c"}, {capital("über"), "Über"}, {capital(""), ""},
		{withRemedy("is it a hydrate?", "write its name"), "is it a hydrate? Write its name."}, {withRemedy("no volume", "add volume_ml"), "no volume: add volume_ml."},
		{oneLine(" a\tb\n\x00c "), "a b c"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

func TestDaysFrom(t *testing.T) {
	for days, want := range map[int]string{0: "today", 1: "tomorrow", -1: "yesterday", 30: "in 30 days", -19: "19 days ago"} {
		if got := daysFrom(today, today.AddDays(days)); got != want {
			t.Errorf("%d days from today is %q, want %q", days, got, want)
		}
	}
}
