package record

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// nearest is the word closest to s by edit distance, when it is close enough to
// be what was meant: a third of its length, at most three letters.
func nearest(s string, words []string) string {
	best, least := "", min(3, max(1, len(s)/3))+1
	for _, w := range words {
		if n := editDistance(strings.ToLower(s), w, least); n < least {
			best, least = w, n
		}
	}
	if best == "" && len(s) >= 4 {
		// The beginning of one word only.
		for _, w := range words {
			switch {
			case !strings.HasPrefix(w, strings.ToLower(s)):
			case best != "":
				return ""
			default:
				best = w
			}
		}
	}
	return best
}

// NearestID is the id that somebody most likely meant who wrote another: the same
// but for capitals, marks and signs, or one letter away; "" if there is none, or
// more than one.
func NearestID(written string, ids []string) string {
	plain := func(s string) string {
		return strings.Map(func(c rune) rune {
			if unicode.IsLetter(c) || unicode.IsDigit(c) {
				return c
			}
			return -1 // signs, and the marks that NFD took off their letters
		}, strings.ToLower(norm.NFD.String(s)))
	}
	best := ""
	for _, id := range ids {
		// One letter of c-2 away is c-1, which nobody meant: figures are exact.
		if same := plain(id) == plain(written); !same && (digitsOf(id) != digitsOf(written) || len(written) < 5 || editDistance(plain(written), plain(id), 2) > 1) {
			continue
		}
		if best != "" {
			return ""
		}
		best = id
	}
	return best
}

func digitsOf(s string) string {
	return strings.Map(func(c rune) rune {
		if unicode.IsDigit(c) {
			return c
		}
		return -1
	}, s)
}

// editDistance is Levenshtein's distance with swaps of neighbours counted once,
// cut off at most.
func editDistance(a, b string, most int) int {
	if abs(len(a)-len(b)) >= most || len(a) > 60 {
		return most
	}
	before, row, next := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		next[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			next[j] = min(row[j]+1, next[j-1]+1, row[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				next[j] = min(next[j], before[j-2]+1)
			}
		}
		before, row, next = row, next, before
	}
	return row[len(b)]
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}

// unitOf is the unit at the end of a key's name, in words.
func unitOf(key string) string {
	for suffix, unit := range map[string]string{
		"seconds": "seconds", "_days": "days", "_hours": "hours", "_ml": "millilitres", "_mm": "millimetres",
		"_c": "degrees Celsius", "_pct": "per cent", "lux": "lux", "grams": "grams", "percent_wv": "per cent weight in volume",
		"ml": "millilitres", "ev100": "EV at ISO 100", "_ml_per_dm2": "millilitres per square decimetre",
	} {
		if key == suffix || strings.HasSuffix(key, suffix) && suffix[0] == '_' {
			return unit
		}
	}
	return ""
}

// unitHint is for a key that is a known one in another unit: temperature_f for
// temperature_c, minutes for seconds.
func unitHint(key string, asked []string) string {
	for _, swap := range [][2]string{
		{"_f", "_c"}, {"_in", "_mm"}, {"_inches", "_mm"}, {"_cm", "_mm"}, {"_oz", "_ml"}, {"_floz", "_ml"}, {"_l", "_ml"}, {"_minutes", "_hours"},
		{"minutes", "seconds"}, {"ms", "seconds"}, {"ounces", "grams"}, {"grains", "grams"}, {"oz", "grams"}, {"ev", "ev100"}, {"foot_candles", "lux"}, {"f_number", "stop"}, {"aperture", "stop"},
	} {
		if !strings.HasSuffix(key, swap[0]) {
			continue
		}
		meant := strings.TrimSuffix(key, swap[0]) + swap[1]
		for _, a := range asked {
			if a == meant {
				return "the key is " + meant + ": convert the value and use it"
			}
		}
	}
	return ""
}

func startsWithDigit(s string) bool {
	s = strings.TrimSpace(s)
	return s != "" && s[0] >= '0' && s[0] <= '9'
}
