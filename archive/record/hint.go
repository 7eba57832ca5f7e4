package record

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// These are guesses at what somebody meant who wrote something a record does not
// take. They go into a message and are never taken for the value.

var (
	commaDecimal  = regexp.MustCompile(`^[+-]?\d+,\d+$`)
	plainFraction = regexp.MustCompile(`^\d{1,6}/[1-9]\d{0,5}$`)
	stopSign      = regexp.MustCompile(`^(?i:f\s*[/:]?\s*)(\d+(?:[.,]\d+)?)$`)
	dottedDay     = regexp.MustCompile(`^(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})\b`)
)

// numberHint says how a number is to be written that was written otherwise.
func numberHint(key, text string) string {
	switch p := stopSign.FindStringSubmatch(text); {
	case commaDecimal.MatchString(text):
		return "; the decimal sign is a point: " + strings.Replace(text, ",", ".", 1)
	case plainFraction.MatchString(text):
		above, below, _ := strings.Cut(text, "/")
		x, _ := strconv.ParseFloat(above, 64) // figures, by the expression
		y, _ := strconv.ParseFloat(below, 64)
		return "; write it as a decimal: " + strconv.FormatFloat(math.Round(x/y*1000)/1000, 'f', -1, 64)
	case p != nil && key == "stop":
		return "; write the number alone: " + strings.Replace(p[1], ",", ".", 1)
	}
	if u := unitOf(key); u != "" && startsWithDigit(text) {
		return "; the unit is in the key (" + u + "), so write the number alone"
	}
	return ""
}

// truthHint says how yes and no are written.
func truthHint(v value) string {
	switch strings.ToLower(v.text) {
	case "true", "false":
		if v.quoted {
			return "; write it without quotes"
		}
		return "; in small letters"
	case "yes", "y", "on", "ja", "oui", "si", "1":
		return "; write true if yes is meant"
	case "no", "n", "off", "nein", "non", "0":
		return "; write false if no is meant"
	}
	return ""
}

// spelledDays are days with the month in words. A day in figures with slashes
// can be meant in two ways, so nothing is guessed from it.
var spelledDays = []string{"2 January 2006", "2 Jan 2006", "January 2, 2006", "Jan 2, 2006", "2006 January 2", "2006/1/2", "2006.1.2", "2006-1-2"}

// DayOf reads a day as people write it, if it can be meant in one way only:
// 18.3.2026, 8 March 2026. Records themselves hold YYYY-MM-DD.
func DayOf(text string) (Date, bool) {
	day := dayBefore(text)
	p := dottedDay.FindStringSubmatch(strings.TrimSpace(text))
	return day, !day.IsZero() && (p == nil || day.Day > 12 || day.Day == int(day.Month))
}

// dayBefore reads a day with the day before the month, where both are figures.
func dayBefore(text string) Date {
	text = strings.TrimSpace(text)
	day := Date{}
	if p := dottedDay.FindStringSubmatch(text); p != nil {
		d, _ := strconv.Atoi(p[1]) // digits, by the expression
		m, _ := strconv.Atoi(p[2])
		y, _ := strconv.Atoi(p[3])
		if t := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC); t.Day() == d && int(t.Month()) == m {
			day = DateOf(t)
		}
	}
	for _, layout := range spelledDays {
		if t, err := time.Parse(layout, text); err == nil {
			day = DateOf(t)
		}
	}
	return day
}

// meantDay asks back for a day that a record does not take as it is written.
func meantDay(text string) string {
	if day := dayBefore(text); !day.IsZero() {
		return "did you mean " + day.String() + "? "
	}
	return ""
}

// places are keys that people look for at the top of a plate's record, and where
// they belong.
var places = map[string]string{
	"seconds": "exposure", "stop": "exposure", "magnification": "exposure", "extension_mm": "exposure",
	"collodion": "batches", "bath": "batches", "developer": "batches", "fixer": "batches", "varnish": "batches",
	"ev100": "light", "lux": "light", "humidity_pct": "air",
}

// elsewhere says where a key belongs that stands in the wrong place.
func (d *decoder) elsewhere(key string) string {
	if _, err := strconv.ParseFloat(key, 64); err == nil {
		return "between { and } a comma begins the next key: write a decimal point, such as 8.5"
	}
	if key == "guardian" && strings.HasSuffix(d.path, "consent.") {
		return "guardian stands beside consent:, not inside it: as far to the left as name:"
	}
	if d.path != "" || len(d.asked) == 0 {
		return ""
	}
	switch d.asked[0] {
	case "plate":
		switch group, in := places[key]; {
		case in:
			return key + " belongs inside " + group + ":, written as " + group + ": {" + key + ": …}"
		case key == "consent" || key == "guardian" || key == "name":
			return "a person's " + key + " belongs to that person: under sitters:, or in the sitter's own record"
		case key == "date" || key == "taken":
			return "the key is made:"
		case key == "size":
			return "the key is format:, or size_mm: for a size without a name"
		case key == "notes" || key == "note" || key == "comment":
			return "notes stand below the second line of dashes, without a key"
		}
	case "sitter":
		switch key {
		case "portfolio", "promotion", "given", "until", "withdrawn", "minor", "release":
			return key + " belongs inside consent:, written as consent: {" + key + ": …}"
		}
	}
	return ""
}

var yamlText = regexp.MustCompile(`^\s*(?:- )?[\w-]+:\s+[^"'\[{|>&*#].*(?:: |:$| #)`)

// yamlRemedy says what most often is the matter with a line that the parser
// stumbles over.
func yamlRemedy(block []byte, line int) string {
	const check = "check quotes, colons and indentation on this line and the one above"
	lines := strings.Split(string(block), "\n")
	if line < 1 || line > len(lines) {
		return check
	}
	text := strings.TrimRight(lines[line-1], "\r")
	switch {
	case strings.Contains(text[:len(text)-len(strings.TrimLeft(text, " \t"))], "\t"):
		return "indent with spaces, not with tabs"
	case yamlText.MatchString(text):
		key, rest, _ := strings.Cut(strings.TrimSpace(text), ":")
		return "a text that holds a colon stands in quotes, such as " + clip(key+`: "`+strings.ReplaceAll(strings.TrimSpace(rest), `"`, "'")+`"`)
	}
	return check
}
