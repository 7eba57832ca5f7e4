package daybook

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"sandarac/archive/record"
)

// Pattern is how a studio numbers its plates: text with words in braces.
//
//	{year}   2026        {yy}     26
//	{month}  05          {day}    03
//	{n}      1, 2, …     {n:3}    001, 002, …; it grows past its width
//
// The number counts the plates whose other words are the same: with
// {year}-{month}-{day}-{n:2} it begins again every day, with {yy}-{n:3} every
// year. Exactly one {n} must stand in it.
type Pattern struct {
	text  string
	parts []patternPart
	match *regexp.Regexp
}

type patternPart struct {
	literal string
	word    string
	width   int
}

var patternWord = regexp.MustCompile(`\{([^{}]*)\}`)

// ParsePattern reads a pattern. The error says what is accepted.
func ParsePattern(text string) (Pattern, error) {
	p := Pattern{text: text}
	numbers, at := 0, 0
	var expr strings.Builder
	literal := func(s string) error {
		if strings.ContainsAny(s, "{}") {
			return fmt.Errorf("%q has a brace that is not closed; accepted words: {year}, {yy}, {month}, {day}, {n}, {n:3}", text)
		}
		p.parts = append(p.parts, patternPart{literal: s})
		expr.WriteString(regexp.QuoteMeta(s))
		return nil
	}
	for _, m := range patternWord.FindAllStringSubmatchIndex(text, -1) {
		if err := literal(text[at:m[0]]); err != nil {
			return Pattern{}, err
		}
		at = m[1]
		part, digits, err := readWord(text, text[m[2]:m[3]])
		if err != nil {
			return Pattern{}, err
		}
		if part.word == "n" {
			numbers++
		}
		p.parts = append(p.parts, part)
		fmt.Fprintf(&expr, "(%s)", digits)
	}
	if err := literal(text[at:]); err != nil {
		return Pattern{}, err
	}
	if numbers != 1 {
		return Pattern{}, fmt.Errorf("%q has %d counters; accepted: exactly one {n} or {n:2}", text, numbers)
	}
	if id := p.ID(record.Date{Year: 2026, Month: time.May, Day: 3}, 1); !record.ValidID(id) {
		return Pattern{}, fmt.Errorf("%q makes the id %q; accepted: letters, digits, and - _ . between them", text, id)
	}
	p.match = regexp.MustCompile("^" + expr.String() + "$")
	return p, nil
}

func readWord(text, word string) (patternPart, string, error) {
	name, width, sized := strings.Cut(word, ":")
	switch {
	case word == "year":
		return patternPart{word: word}, `\d{4}`, nil
	case word == "yy" || word == "month" || word == "day":
		return patternPart{word: word}, `\d{2}`, nil
	case word == "n":
		return patternPart{word: "n", width: 1}, `\d+`, nil
	case name == "n" && sized:
		n, err := strconv.Atoi(width)
		if err == nil && n >= 1 && n <= 9 {
			return patternPart{word: "n", width: n}, fmt.Sprintf(`\d{%d,}`, n), nil
		}
	}
	return patternPart{}, "", fmt.Errorf("%q holds {%s}; accepted words: {year}, {yy}, {month}, {day}, {n}, {n:3}", text, word)
}

// String is the pattern as written.
func (p Pattern) String() string { return p.text }

// ID is the id of the n-th plate of a day.
func (p Pattern) ID(day record.Date, n int) string {
	before, after, width := p.around(day)
	return fmt.Sprintf("%s%0*d%s", before, width, n, after)
}

// around is what stands before and after the number on a day.
func (p Pattern) around(day record.Date) (before, after string, width int) {
	var b strings.Builder
	for _, part := range p.parts {
		switch part.word {
		case "":
			b.WriteString(part.literal)
		case "year":
			fmt.Fprintf(&b, "%04d", day.Year)
		case "yy":
			fmt.Fprintf(&b, "%02d", day.Year%100)
		case "month":
			fmt.Fprintf(&b, "%02d", int(day.Month))
		case "day":
			fmt.Fprintf(&b, "%02d", day.Day)
		case "n":
			before, width = b.String(), part.width
			b.Reset()
		}
	}
	return before, b.String(), width
}

// Number is the number in an id of that day's sequence, 0 if it is none.
func (p Pattern) Number(day record.Date, id string) int {
	before, after, _ := p.around(day)
	rest, ok := strings.CutPrefix(id, before)
	if !ok {
		return 0
	}
	if rest, ok = strings.CutSuffix(rest, after); !ok || rest == "" || strings.Trim(rest, "0123456789") != "" {
		return 0
	}
	n, err := strconv.Atoi(rest)
	if err != nil || n > 1e8 {
		return 0
	}
	return n
}

// Day is the day that an id of the pattern names; false if the id is none, or
// if the pattern does not name days.
func (p Pattern) Day(id string) (record.Date, bool) {
	m := p.match.FindStringSubmatch(id)
	if m == nil {
		return record.Date{}, false
	}
	var d record.Date
	i := 0
	for _, part := range p.parts {
		if part.word == "" {
			continue
		}
		i++
		n, _ := strconv.Atoi(m[i]) // digits, by the expression
		switch part.word {
		case "year":
			d.Year = n
		case "yy":
			d.Year = 2000 + n
		case "month":
			d.Month = time.Month(n)
		case "day":
			d.Day = n
		}
	}
	day, err := record.ParseDate(fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day))
	return day, err == nil
}

// Is reports whether an id is of the pattern, of whatever day.
func (p Pattern) Is(id string) bool { return p.match.MatchString(id) }
