package daybook

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"sandarac/archive/record"
)

// valueMost bounds one value, in bytes. A title needs a hundred; a record may
// hold no more than 256 KB of keys.
const valueMost = 16 << 10

// Value is what stands under a key: a text as it is written, or several.
type Value struct {
	Text string
	List []string // not nil for a List, also when it is empty
}

// Normal reads a value as people write it and gives it as records hold it:
// numbers without padding, times in the studio's zone, sizes by their usual
// name. An error is a *Refusal.
func (k Key) Normal(text string, zone *time.Location) (Value, error) {
	s, err := cleanText(k.Path, text)
	if err != nil {
		return Value{}, err
	}
	if s == "" && k.Kind != List {
		return Value{}, refuse(k.Path, "nothing", k.Accepted())
	}
	switch k.Kind {
	case ID:
		if !record.ValidID(s) || strings.ContainsAny(s, "\n\t") {
			return Value{}, refuse(k.Path, s, k.Accepted())
		}
	case Word:
		return k.word(s)
	case Number:
		x, err := ParseNumber(k.figures(s))
		if err != nil || x < k.Min || x > k.Max {
			return Value{}, refuse(k.Path, s, k.Accepted())
		}
		s = FormatNumber(x)
	case Size:
		return k.size(s)
	case Moment:
		t, timed, err := ParseMoment(s, zone)
		if day, ok := record.DayOf(s); err != nil && ok {
			t, timed, err = day.Start(zone), false, nil
		}
		if err != nil || t.Year() < 1839 || t.Year() > 2200 {
			return Value{}, refuse(k.Path, s, k.Accepted())
		}
		s = FormatMoment(t, timed)
	case List:
		return k.list(s)
	case Truth:
		if s != "true" && s != "false" {
			return Value{}, refuse(k.Path, s, k.Accepted())
		}
	}
	return Value{Text: s}, nil
}

// Accepted says in words what the key takes.
func (k Key) Accepted() string {
	switch k.Kind {
	case ID:
		return "up to 80 letters, digits, and - _ . or spaces between them, such as 2026-05-03-04"
	case Word:
		return strings.Join(k.Words, ", ")
	case Number:
		switch {
		case k.Min == tiny:
			return "a number above 0; " + k.Help
		case k.Max == math.MaxFloat64:
			return "a number; " + k.Help
		}
		return fmt.Sprintf("a number from %v to %v; %s", k.Min, k.Max, k.Help)
	case Size:
		return "width and height in millimetres from 5 to 2000, such as 120 x 160"
	case Moment:
		return "local time such as 2026-05-03T10:20, RFC 3339 such as 2026-05-03T10:20:00+02:00, or a day such as 2026-05-03"
	case List:
		if len(k.Words) > 0 {
			return "any of " + strings.Join(k.Words, ", ")
		}
		return "texts with commas between"
	case Truth:
		return "true or false"
	}
	return "one line of text"
}

// commaNumber is a number with a decimal comma; with three digits after it, the
// comma might stand between thousands.
var commaNumber = regexp.MustCompile(`^[+-]?\d+,(\d{1,2}|\d{4,})$`)

// figures takes from a number what people write with it: the s of seconds, the
// f/ of a stop, a decimal comma.
func (k Key) figures(s string) string {
	low := strings.ToLower(s)
	switch k.Path {
	case "exposure.seconds", "development.seconds":
		low = strings.TrimRight(strings.TrimSuffix(low, "s"), " ")
	case "exposure.stop":
		low = strings.TrimLeft(strings.TrimPrefix(low, "f"), "/ ")
	}
	if commaNumber.MatchString(low) {
		low = strings.Replace(low, ",", ".", 1)
	}
	return low
}

// OneDecimal is a number with one sign in it, point or comma, that stands before
// one or two figures at the end and so is the decimal one: 5,6 and 5.6 are 5.6.
func OneDecimal(s string) string {
	if at := strings.IndexAny(s, ".,"); at > 0 && at >= len(s)-3 && at < len(s)-1 && strings.Trim(s[:at]+s[at+1:], "0123456789") == "" {
		return s[:at] + "." + s[at+1:]
	}
	return ""
}

func (k Key) word(s string) (Value, error) {
	low := strings.ToLower(s)
	if f, ok := record.FormatNamed(s); ok && k.Path == "format" {
		low = f.Slug
	}
	for _, w := range k.Words {
		if w == low {
			return Value{Text: w}, nil
		}
	}
	return Value{}, refuse(k.Path, s, k.Accepted())
}

func (k Key) size(s string) (Value, error) {
	bad := refuse(k.Path, s, k.Accepted())
	t := strings.NewReplacer("×", "x", "X", "x", "mm", "", "[", "", "]", "", ",", "x").Replace(s)
	a, b, ok := strings.Cut(t, "x")
	if !ok {
		return Value{}, bad
	}
	w, err1 := ParseNumber(strings.TrimSpace(a))
	h, err2 := ParseNumber(strings.TrimSpace(b))
	if err1 != nil || err2 != nil || w < 5 || w > 2000 || h < 5 || h > 2000 {
		return Value{}, bad
	}
	return Value{Text: FormatNumber(w) + " x " + FormatNumber(h)}, nil
}

func (k Key) list(s string) (Value, error) {
	items, err := ParseList(s)
	if err != nil {
		return Value{}, refuse(k.Path, s, k.Accepted())
	}
	out := []string{}
	for _, item := range items {
		item, err := cleanText(k.Path, item)
		if err != nil {
			return Value{}, err
		}
		if item == "" {
			continue
		}
		if len(k.Words) > 0 {
			v, err := k.word(strings.ReplaceAll(item, " ", "-"))
			if err != nil {
				return Value{}, refuse(k.Path, item, k.Accepted())
			}
			item = v.Text
		}
		out = append(out, item)
	}
	return Value{List: out}, nil
}

// cleanText trims a text and refuses what record refuses in one, unseen
// characters and bytes that are no UTF-8, and traces of a broken encoding.
func cleanText(key, text string) (string, error) {
	s := strings.TrimSpace(text)
	if len(s) > valueMost {
		return "", refuse(key, s, fmt.Sprintf("at most %d KB; long texts belong into the notes", valueMost>>10))
	}
	if !utf8.ValidString(s) {
		return "", refuse(key, s, "text in UTF-8")
	}
	for _, c := range s {
		if record.Unseen(c) && c != '\n' && c != '\t' || c == 0xfeff || c == 0xfffd {
			return "", refuse(key, s, fmt.Sprintf("text without the invisible character U+%04X", c))
		}
	}
	return s, nil
}

// ParseNumber reads a plain decimal number.
func ParseNumber(s string) (float64, error) {
	if s == "" || strings.Trim(s, "0123456789.+-eE") != "" {
		return 0, strconv.ErrSyntax
	}
	x, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, strconv.ErrSyntax
	}
	if x == 0 {
		x = 0 // not minus zero
	}
	return x, nil
}

// FormatNumber writes a number as a record holds it, without an exponent.
func FormatNumber(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
