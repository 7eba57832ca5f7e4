package unit

import (
	"math"
	"strconv"
	"strings"
	"unicode"
)

// longest bounds an amount's text; the longest sensible one is far shorter.
const longest = 80

// Parse reads an amount. The grammar, case and full stops aside:
//
//	amount   = quantity [ ("/" | "per" | "in" | "to") quantity ] | number "%" basis
//	quantity = [ number ] unit [ system ]        a number may be left out only below the line
//	number   = 8 | 0.8 | 1/2 | 1 1/2 | 2½
//	basis    = "w/v" | "v/v"
//	system   = US | imp | av | ap, before or after the unit
//
// The quantity below the line is a volume. gr is the grain, never the gram.
// Errors are *Ask when the text has several meanings, else *Malformed.
func Parse(text string) (Amount, error) {
	bad := func(reason string) (Amount, error) { return Amount{}, &Malformed{text, reason} }
	if len(text) > longest {
		return bad("too long")
	}
	folded := strings.TrimSpace(fold(text))
	switch {
	case folded == "":
		return bad("empty")
	case strings.HasPrefix(folded, "-"), strings.HasPrefix(folded, "−"):
		return bad("an amount cannot be less than nothing")
	}
	if strings.Contains(folded, "%") || strings.Contains(folded, "percent") || strings.Contains(folded, "per cent") {
		return percent(text, folded)
	}
	above, below, divided := split(folded)
	q, err := quantity(text, above, false)
	if err != nil || !divided {
		return q, err
	}
	v, err := quantity(text, below, true)
	if err != nil {
		return Amount{}, err
	}
	q.PerMillilitres = v.Millilitres
	return q, nil
}

// fold lowers case, drops full stops that end abbreviations and apostrophes,
// and writes the slashes inside w/v, v/v and w/w away.
func fold(text string) string {
	var b strings.Builder
	runes := []rune(strings.ToLower(text))
	for i, r := range runes {
		switch {
		case r == '.' && (i == 0 || !unicode.IsDigit(runes[i-1])) && (i+1 == len(runes) || !unicode.IsDigit(runes[i+1])):
		case r == '\'' || r == '’':
		case unicode.IsSpace(r):
			b.WriteByte(' ')
		default:
			b.WriteRune(r)
		}
	}
	return strings.NewReplacer("w/v", "wv", "v/v", "vv", "w/w", "ww", "⁄", "/").Replace(b.String())
}

// split parts the text at the line between quantity and volume. A slash between
// two digits belongs to a fraction.
func split(s string) (above, below string, divided bool) {
	for _, sep := range []string{" per ", " in ", " to "} {
		if a, b, ok := strings.Cut(s, sep); ok {
			return a, strings.TrimPrefix(b, "the "), true
		}
	}
	for i := range s {
		if s[i] != '/' {
			continue
		}
		inFraction := i > 0 && i+1 < len(s) && isDigit(s[i-1]) && isDigit(s[i+1])
		if !inFraction {
			return s[:i], s[i+1:], true
		}
	}
	return s, "", false
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

func percent(text, folded string) (Amount, error) {
	s := strings.NewReplacer("per cent", "%", "percent", "%").Replace(folded)
	head, basis, _ := strings.Cut(s, "%")
	x, rest, reason := number(head)
	if reason != "" || strings.TrimSpace(rest) != "" {
		return Amount{}, &Malformed{text, "before % there must be one number"}
	}
	if x > 100 {
		return Amount{}, &Malformed{text, "more than 100 %"}
	}
	switch strings.TrimSpace(basis) {
	case "wv":
		return Amount{Grams: x, PerMillilitres: 100, Unit: "% w/v"}, nil
	case "vv":
		return Amount{Millilitres: x, PerMillilitres: 100, Unit: "% v/v"}, nil
	case "ww":
		return Amount{}, &Malformed{text, "per cent by weight needs the density of the mixture; give grams, or % w/v (grams in 100 ml)"}
	case "":
		return Amount{}, &Ask{text, "%", []string{`"% w/v" (grams in 100 ml)`, `"% v/v" (millilitres in 100 ml)`}}
	}
	return Amount{}, &Malformed{text, "after % write w/v or v/v"}
}

// quantity reads "2½ fl dr US". Below the line the number may be missing and
// the unit must be a volume.
func quantity(text, s string, below bool) (Amount, error) {
	x, rest, reason := number(strings.TrimSpace(s))
	switch {
	case reason == noNumber && below:
		x, rest = 1, s
	case reason != "":
		return Amount{}, &Malformed{text, reason}
	}
	m, err := lookUp(text, rest, below)
	if err != nil {
		return Amount{}, err
	}
	if below && m.mass {
		return Amount{}, &Malformed{text, "the amount below the line must be a volume, not a " + m.name}
	}
	a := Amount{Unit: m.name, Note: m.note}
	if m.mass {
		a.Grams = x * m.size
	} else {
		a.Millilitres = x * m.size
	}
	return a, nil
}

func lookUp(text, phrase string, below bool) (measure, error) {
	var sys system
	var unitWords []string
	for _, w := range strings.Fields(phrase) {
		found, ok := systemWords[w]
		switch {
		case !ok:
			unitWords = append(unitWords, w)
		case sys != unnamed && sys != found:
			return measure{}, &Malformed{text, "names two systems, " + string(sys) + " and " + string(found)}
		default:
			sys = found
		}
	}
	name := strings.Join(unitWords, " ")
	w, ok := words[name]
	if !ok && len(name) > 1 {
		w, ok = words[strings.TrimSuffix(name, "s")]
	}
	switch {
	case name == "":
		return measure{}, &Malformed{text, "no unit"}
	case !ok && strings.TrimSuffix(name, "s") == "part":
		return measure{}, &Malformed{text, "parts are a proportion, not an amount: give grams or millilitres for the batch's volume"}
	case !ok:
		return measure{}, &Malformed{text, "unknown unit " + strconv.Quote(name)}
	}
	m, ok := w.in[sys]
	switch {
	case ok:
		return m, nil
	case sys == unnamed && below && w.name == "ounce":
		return measure{}, &Ask{text, w.name, fluidOunce.choices}
	case sys == unnamed:
		return measure{}, &Ask{text, w.name, w.choices}
	}
	return measure{}, &Malformed{text, "there is no " + string(sys) + " " + w.name}
}

const noNumber = "no number"

var vulgar = map[rune]float64{
	'½': 1. / 2, '⅓': 1. / 3, '⅔': 2. / 3, '¼': 1. / 4, '¾': 3. / 4, '⅕': 1. / 5, '⅖': 2. / 5, '⅗': 3. / 5, '⅘': 4. / 5,
	'⅙': 1. / 6, '⅚': 5. / 6, '⅛': 1. / 8, '⅜': 3. / 8, '⅝': 5. / 8, '⅞': 7. / 8,
}

// number reads the number s starts with. It returns a reason instead of an
// error because the caller knows the whole text.
func number(s string) (x float64, rest, reason string) {
	head, rest := digits(s)
	if strings.HasPrefix(rest, ",") {
		return 0, "", "write the decimal point as a full stop and leave out thousands separators"
	}
	if head != "" {
		v, err := strconv.ParseFloat(head, 64)
		if err != nil {
			return 0, "", "cannot read the number " + strconv.Quote(head)
		}
		if den, after, ok := over(rest); ok { // 1/2
			return inRange(v/den, after)
		}
		if strings.HasPrefix(rest, "/") && len(rest) > 1 && isDigit(rest[1]) {
			return 0, "", "cannot read the number " + strconv.Quote(head+rest)
		}
		x = v
	}
	part, after, ok := fraction(strings.TrimLeft(rest, " -"))
	switch {
	case ok && strings.ContainsRune(head, '.'):
		return 0, "", "a decimal and a fraction together"
	case ok:
		return inRange(x+part, after)
	case head == "":
		return 0, "", noNumber
	}
	return inRange(x, rest)
}

func inRange(x float64, rest string) (float64, string, string) {
	if !(x > 0) || x > 1e6 || math.IsInf(x, 0) {
		return 0, "", "an amount must be more than 0 and at most 1 000 000"
	}
	return x, rest, ""
}

// digits splits off a decimal number without sign or exponent.
func digits(s string) (head, rest string) {
	i, point := 0, false
	for i < len(s) && (isDigit(s[i]) || s[i] == '.' && !point) {
		point = point || s[i] == '.'
		i++
	}
	return s[:i], s[i:]
}

// over reads "/8" as the lower half of a fraction.
func over(s string) (den float64, rest string, ok bool) {
	if !strings.HasPrefix(s, "/") {
		return 0, s, false
	}
	head, rest := digits(s[1:])
	den, err := strconv.ParseFloat(head, 64)
	return den, rest, err == nil && den > 0
}

// fraction reads "1/2" or "½".
func fraction(s string) (x float64, rest string, ok bool) {
	for _, r := range s {
		if v, found := vulgar[r]; found {
			return v, s[len(string(r)):], true
		}
		break
	}
	head, rest := digits(s)
	num, err := strconv.ParseFloat(head, 64)
	if err != nil || strings.ContainsRune(head, '.') {
		return 0, s, false
	}
	den, rest, ok := over(rest)
	return num / max(den, 1e-9), rest, ok
}
