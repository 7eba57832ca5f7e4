package benchbook

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"
	"unicode"

	"sandarac/archive/analysis"
	"sandarac/archive/record"
)

// oneLine is a person's text on one line, without control characters.
func oneLine(text string) string {
	text = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, "\ufffd"))
	return strings.Join(strings.Fields(text), " ")
}

// plain writes a recorded number as it was noted.
func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// upTo writes a number with at most so many decimals, without idle zeros.
func upTo(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if decimals > 0 {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// figures writes a positive number to so many significant figures, without an
// exponent.
func figures(v float64, n int) string { return rounded(v, n, math.Round) }

// rounded is figures with the rounding given: math.Floor for the lower limit of
// an interval, math.Ceil for the upper. A rounding error away from a step is on
// it.
func rounded(v float64, n int, round func(float64) float64) string {
	if v <= 0 || math.IsInf(v, 0) || math.IsNaN(v) {
		return "–"
	}
	decimals := n - 1 - int(math.Floor(math.Log10(v)))
	step := math.Pow(10, float64(-decimals))
	k := v / step
	if near := math.Round(k); math.Abs(k-near) < 1e-9*near {
		k = near
	}
	return strconv.FormatFloat(round(k)*step, 'f', max(decimals, 0), 64)
}

// percent is a rate in whole per cent.
func percent(rate float64) string { return fmt.Sprintf("%.0f %%", 100*rate) }

// percents is an interval of rates in whole per cent, rounded outward. The
// nudge keeps 20 % from becoming 19 by a rounding error.
func percents(lo, hi float64) string {
	return fmt.Sprintf("%.0f–%.0f %%", math.Floor(100*lo+1e-9), math.Ceil(100*hi-1e-9))
}

func limitsPercent(l *analysis.Limits) string {
	if l == nil {
		return "–"
	}
	return percents(l[0], l[1])
}

// count is "1 plate", "3 plates".
func count(n int, one string) string { return fmt.Sprintf("%d %s", n, noun(n, one)) }

// noun is "plate" of one, and "plates" of any other number.
func noun(n int, one string) string {
	if n == 1 {
		return one
	}
	for _, ending := range []string{"s", "x", "ch", "sh"} {
		if strings.HasSuffix(one, ending) {
			return one + "es"
		}
	}
	return one + "s"
}

func dayWords(d record.Date) string {
	if d.IsZero() {
		return "not noted"
	}
	return fmt.Sprintf("%d %s %d", d.Day, d.Month, d.Year)
}

// shortDay is for columns.
func shortDay(d record.Date) string {
	if d.IsZero() {
		return "–"
	}
	return d.String()
}

func momentWords(t time.Time, timed bool) string {
	if t.IsZero() {
		return "not noted"
	}
	if !timed {
		return t.Format("Monday 2 January 2006")
	}
	return t.Format("Monday 2 January 2006, 15:04")
}

var hyphenMinus = regexp.MustCompile(`(^|[\s(])-(\d)`)

// withMinus sets negative numbers of a sentence meant for terminals with the
// sign that pages use.
func withMinus(text string) string { return hyphenMinus.ReplaceAllString(text, "$1−$2") }

// daysFrom says how far a day is from today.
func daysFrom(today, d record.Date) string {
	switch n := d.DaysSince(today); {
	case n == 0:
		return "today"
	case n == 1:
		return "tomorrow"
	case n == -1:
		return "yesterday"
	case n > 0:
		return fmt.Sprintf("in %d days", n)
	default:
		return fmt.Sprintf("%d days ago", -n)
	}
}

// spelled is a slug of the records in words.
func spelled(slug string) string {
	switch slug {
	case "tin":
		return "tinplate (japanned iron)"
	case "glass-negative":
		return "glass negative"
	case "still-life":
		return "still life"
	}
	return strings.ReplaceAll(slug, "-", " ")
}

func capital(s string) string {
	for i, r := range s {
		return string(unicode.ToUpper(r)) + s[i+len(string(r)):]
	}
	return s
}

func joined(list []string, word string) string {
	switch len(list) {
	case 0:
		return ""
	case 1:
		return list[0]
	}
	return strings.Join(list[:len(list)-1], ", ") + " " + word + " " + list[len(list)-1]
}

// withRemedy joins what was found and what to do about it into one line.
func withRemedy(message, remedy string) string {
	if message == "" || remedy == "" {
		return message + remedy
	}
	if strings.ContainsAny(message[len(message)-1:], ".?!") {
		return message + " " + capital(remedy) + "."
	}
	return message + ": " + remedy + "."
}
