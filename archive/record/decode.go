package record

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"sandarac/archive/finding"
)

// decoder takes a record's values out of its tree, one key at a time, and keeps
// every fault. Keys that nobody asked for are reported at the end, by leave.
type decoder struct {
	src    *Source
	plate  string
	zone   *time.Location
	path   string // prefix of keys, "" or "exposure."
	table  value
	asked  []string
	own    bool // x_ keys are allowed here
	faults *[]finding.Finding
}

func (d *decoder) fault(line int, code, message, remedy string) {
	d.src.Broken = true
	*d.faults = append(*d.faults, finding.Finding{
		Severity: finding.Error, Code: code, File: d.src.File, Line: line,
		Message: message, Remedy: remedy, Plate: d.plate,
	})
}

// said is a key as messages name it: items of a list are counted from 1.
func (d *decoder) said(key string) string {
	if key == "" && d.path == "" {
		return ""
	}
	out, join := "", ""
	for i, part := range strings.Split(d.path+key, ".") {
		if n, err := strconv.Atoi(part); err == nil && i > 0 {
			out, join = fmt.Sprintf("%s no. %d", out, n+1), ": "
			continue
		}
		out, join = out+join+part, "."
	}
	return out
}

func (d *decoder) wrong(key string, v value, accepted string) {
	d.fault(v.line, "wrong-type", fmt.Sprintf("%s is %s", d.said(key), v.describe()), "accepted: "+accepted)
}

// get takes a key; a null counts as not given.
func (d *decoder) get(key string) (value, bool) {
	d.asked = append(d.asked, key)
	for _, e := range d.table.entries {
		if e.key == key {
			d.src.lines[d.path+key] = e.line
			return e.value, e.value.kind != null
		}
	}
	return value{}, false
}

// text reads one line of text. Numbers and dates are taken as written, so that
// an id 012 stays 012.
func (d *decoder) text(key string, to *string) {
	v, ok := d.get(key)
	if !ok {
		return
	}
	if v.kind != scalar {
		d.wrong(key, v, "text")
		return
	}
	*to = d.clean(key, v)
}

// clean trims a text and refuses control characters, which no title or id needs
// and which turn up as broken pages, feeds and file names later.
func (d *decoder) clean(key string, v value) string {
	s := strings.TrimSpace(v.text)
	if !utf8.ValidString(s) {
		d.fault(v.line, "bad-text", d.said(key)+" is not valid UTF-8", "save the file as UTF-8 and type the text again")
		return ""
	}
	for _, c := range s {
		if Unseen(c) && c != '\n' && c != '\t' {
			d.fault(v.line, "bad-text", fmt.Sprintf("%s holds the invisible control character U+%04X", d.said(key), c), "type the text again without it")
			return ""
		}
	}
	return s
}

// id reads an identifier: a short word that can stand in a file name.
func (d *decoder) id(key string, to *string) {
	var s string
	d.text(key, &s)
	if s == "" {
		return
	}
	if !ValidID(s) {
		v, _ := d.get(key)
		d.fault(v.line, "bad-id", fmt.Sprintf("%s is “%s”", d.said(key), clip(s)), "accepted: up to 80 letters, digits, and - _ . between them, such as 2026-05-03-04")
		return
	}
	*to = s
}

// ValidID reports whether s may name a record: 1 to 80 letters, digits, and
// - _ . or spaces inside.
func ValidID(s string) bool {
	if s == "" || utf8.RuneCountInString(s) > 80 || strings.TrimSpace(s) != s || strings.Trim(s, ".") == "" || s[0] == '.' || s[0] == '-' {
		return false
	}
	for _, c := range s {
		ok := c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_' || c == '.' || c == ' ' || c > 0xa0
		if !ok {
			return false
		}
	}
	return true
}

func (d *decoder) oneOf(key string, to *string, accepted ...string) {
	var s string
	d.text(key, &s)
	if s == "" {
		return
	}
	if !slices.Contains(accepted, s) {
		v, _ := d.get(key)
		remedy := "accepted: " + strings.Join(accepted, ", ")
		if near := nearest(s, accepted); near != "" {
			remedy = "did you mean “" + near + "”? " + remedy
		}
		d.fault(v.line, "wrong-value", fmt.Sprintf("%s is “%s”", d.said(key), clip(s)), remedy)
		return
	}
	*to = s
}

func (d *decoder) truth(key string, to *bool) {
	v, ok := d.get(key)
	if !ok {
		return
	}
	switch {
	case v.kind == scalar && !v.quoted && v.text == "true":
		*to = true
	case v.kind == scalar && !v.quoted && v.text == "false":
		*to = false
	default:
		d.wrong(key, v, "true or false"+truthHint(v))
	}
}

// bounds say which numbers a key accepts, in words for the message.
type bounds struct {
	min, max float64
	words    string
}

var (
	anyNumber = bounds{-math.MaxFloat64, math.MaxFloat64, "a number"}
	positive  = bounds{math.SmallestNonzeroFloat64, math.MaxFloat64, "a number above 0"}
	notBelow0 = bounds{0, math.MaxFloat64, "a number, 0 or above"}
	percent   = bounds{0, 100, "a number from 0 to 100"}
	airC      = bounds{-40, 60, "degrees Celsius from -40 to 60"}
	liquidC   = bounds{-10, 100, "degrees Celsius from -10 to 100"}
)

// number reads a number within bounds; ok is false when there is none.
func (d *decoder) number(key string, b bounds) (x float64, ok bool) {
	v, ok := d.get(key)
	if !ok {
		return 0, false
	}
	x, ok = d.parseNumber(key, v, b)
	return x, ok
}

func (d *decoder) parseNumber(key string, v value, b bounds) (float64, bool) {
	if v.kind != scalar || v.quoted {
		accepted := b.words
		if _, err := strconv.ParseFloat(v.text, 64); err == nil && v.quoted {
			accepted += "; write it without quotes"
		}
		d.wrong(key, v, accepted)
		return 0, false
	}
	x, err := strconv.ParseFloat(strings.ReplaceAll(v.text, "_", ""), 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		d.wrong(key, v, b.words+numberHint(key, v.text))
		return 0, false
	}
	if x < b.min || x > b.max {
		d.fault(v.line, "out-of-range", fmt.Sprintf("%s is %s", d.said(key), v.text), "accepted: "+b.words)
		return 0, false
	}
	return x, true
}

func (d *decoder) float(key string, to *float64, b bounds) {
	if x, ok := d.number(key, b); ok {
		*to = x
	}
}

// maybe reads a number for which 0 is a value, so that "not given" needs nil.
func (d *decoder) maybe(key string, to **float64, b bounds) {
	if x, ok := d.number(key, b); ok {
		*to = &x
	}
}

func (d *decoder) whole(key string, to *int, least, most int) {
	x, ok := d.number(key, bounds{float64(least), float64(most), fmt.Sprintf("a whole number from %d to %d", least, most)})
	if !ok {
		return
	}
	if x != math.Trunc(x) {
		d.fault(d.src.Line(d.path+key), "wrong-type", fmt.Sprintf("%s is %v", d.said(key), x), fmt.Sprintf("accepted: a whole number from %d to %d", least, most))
		return
	}
	*to = int(x)
}

func (d *decoder) texts(key string, to *[]string) {
	v, ok := d.get(key)
	if !ok {
		return
	}
	if v.kind != list {
		d.wrong(key, v, "a list of texts, such as [one, two]")
		return
	}
	out := []string{}
	for i, item := range v.list {
		if item.kind != scalar {
			d.wrong(fmt.Sprintf("%s.%d", key, i), item, "text")
			continue
		}
		if s := d.clean(key, item); s != "" {
			out = append(out, s)
		}
		d.src.lines[fmt.Sprintf("%s%s.%d", d.path, key, i)] = item.line
	}
	*to = out
}
