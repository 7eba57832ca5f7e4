package analysis

import (
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Numbers as they are said: never more digits than they have.

// join lists names with a word before the last.
func join(names []string, word string) string {
	switch len(names) {
	case 0:
		return ""
	case 1:
		return names[0]
	}
	return strings.Join(names[:len(names)-1], ", ") + " " + word + " " + names[len(names)-1]
}

func sortedKeys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}

func judgedPlates(n int) string {
	if n == 1 {
		return "1 judged plate"
	}
	return fmt.Sprintf("%d judged plates", n)
}

// stops says a change of exposure: "0.4 stop longer".
func stops(d float64) string {
	if math.Abs(d) < 0.05 {
		return "less than a tenth of a stop"
	}
	way := "longer"
	if d < 0 {
		way = "shorter"
	}
	return fmt.Sprintf("%.1f stop %s", math.Abs(d), way)
}

// decimals is a number to so many decimals with a minus sign, not a hyphen, and
// no sign on nothing; signed has a plus as well.
func decimals(v float64, n int) string {
	s := strconv.FormatFloat(math.Abs(v), 'f', n, 64)
	if v < 0 && strings.ContainsAny(s, "123456789") {
		return "−" + s
	}
	return s
}

func signed(v float64, n int) string {
	s := decimals(v, n)
	if v > 0 && strings.ContainsAny(s, "123456789") {
		return "+" + s
	}
	return s
}

// asks says how a change of exposure is meant: "0.4 stop more".
func asks(d float64) string {
	switch {
	case math.Abs(d) < 0.05:
		return "nothing"
	case d < 0:
		return decimals(-d, 1) + " stop less"
	}
	return decimals(d, 1) + " stop more"
}

// percent is a rate in whole percent.
func percent(p float64) string { return fmt.Sprintf("%.0f %%", 100*p) }

// percents is an interval of rates in whole percent, rounded outward.
func percents(l *Limits) string {
	if l == nil {
		return "–"
	}
	return decimals(math.Floor(100*l[0]+1e-9), 0) + "–" + decimals(math.Ceil(100*l[1]-1e-9), 0) + " %"
}

// two is a positive number to two significant digits, without an exponent.
func two(v float64) string { return significant(v, math.Round) }

func significant(v float64, round func(float64) float64) string {
	if v <= 0 || math.IsInf(v, 0) || math.IsNaN(v) {
		return "–"
	}
	digits := int(math.Floor(math.Log10(v))) - 1
	scale := math.Pow(10, float64(digits))
	n := round(v/scale + 1e-9*sign(round))
	return fmt.Sprintf("%.*f", max(0, -digits), n*scale)
}

// sign nudges a value that sits on a step by rounding error back onto it.
func sign(round func(float64) float64) float64 {
	if round(0.5) == 0 {
		return 1 // floor
	}
	return -1 // ceil; for rounding the nudge is too small to matter
}

// twos is an interval to two significant digits, rounded outward.
func twos(l *Limits) string {
	if l == nil {
		return "–"
	}
	return significant(l[0], math.Floor) + "–" + significant(l[1], math.Ceil)
}

// secondsText is a countable time: "4.5 s", "0.016 s".
func secondsText(v float64) string {
	n := 1
	if v > 0 && v < 0.5 {
		n = 1 - int(math.Floor(math.Log10(v))) // two digits, as it was counted
	}
	return strings.TrimSuffix(strings.TrimRight(decimals(v, n), "0"), ".") + " s"
}

// fnumber is an f-number as it is engraved: "4", "5.6".
func fnumber(n float64) string { return strconv.FormatFloat(math.Round(n*10)/10, 'g', -1, 64) }
