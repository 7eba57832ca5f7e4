package intake

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"sandarac/archive/daybook"
	"sandarac/archive/daybook/sheet"
	"sandarac/archive/record"
)

// Mapping says what the columns of a table are. It lives in a small file beside
// the table, which the photographer reads and changes.
type Mapping struct {
	Record    string // "plate" or "batch"
	Encoding  sheet.Encoding
	Delimiter rune
	Decimal   string // Point, Comma, or "" if it must be said
	Dates     string // DayFirst, MonthFirst, or "" if it must be said
	Serials   string // Serial1900, Serial1904, or ""
	Folder    string // where records without a scan go; "": where the studio's are
	Columns   []Column

	notes map[string]string // comments of the file, by setting
}

// Column is one column of the table.
type Column struct {
	Heading string
	To      string            // a key, made.time, sitters, notes, an own key, or Skip
	Unit    string            // "" is the key's own
	Values  map[string]string // what stands in a cell → what the record takes; "" keeps it as an own key

	line int
	note string
}

// Skip is where a column goes that is left out.
const Skip = "skip"

// madeTime is the column of a plate's time of day, if its date has its own.
const madeTime = "made.time"

// fileTarget is the column of the record's own file, as an export writes it.
const fileTarget = "file"

// isTarget reports whether a name is where a column may go.
func isTarget(name string, known map[string][]string) bool {
	if _, ok := known[name]; ok {
		return true
	}
	if known["plate"] == nil {
		return name == Skip || daybook.IsOwn(name) && !strings.Contains(name, ".")
	}
	k, ok := daybook.KeyOf(name)
	return ok && k.Path == name || daybook.IsOwn(name) || name == Skip
}

func targetsOf(record string) map[string][]string {
	if record == "batch" {
		return batchHeadings
	}
	return headings
}

// Propose makes a mapping from headings and cells. What cannot be told is left
// open in it.
func Propose(t *sheet.Table, today record.Date) *Mapping {
	m := &Mapping{Record: recordOf(t), Encoding: t.Encoding, Delimiter: t.Delimiter, notes: map[string]string{}}
	known := targetsOf(m.Record)
	used := map[string]bool{}
	for i, h := range t.Header {
		c := Column{Heading: h}
		c.To, c.Unit = keyFor(h, known)
		if c.To == "" || used[c.To] && c.To != "notes" {
			c.To, c.Unit = unusedOwn(ownKey(h), used), ""
		}
		used[c.To] = true
		d, isNumber := dimensionOf(c.To)
		if _, _, length := millimetres.unit(c.Unit); (c.To != "format" && c.To != "size_mm" || !length) && (!isNumber || !d.foreign(c.Unit)) {
			c.Unit = ""
		}
		c.note = sample(t, i)
		c.Values = wordsOf(t, i, c.To, c.Unit)
		m.Columns = append(m.Columns, c)
	}
	m.timeOfDay()
	m.settle(t, today)
	return m
}

// recordOf tells a table of batches by its columns.
func recordOf(t *sheet.Table) string {
	has := map[string]bool{}
	for _, h := range t.Header {
		name, _ := splitHeading(h)
		has[name] = true
	}
	if (has["volume"] || has["mixed"] || has["date mixed"] || has["volume_ml"]) && (has["kind"] || has["solution"] || has["type"] || has["batch"]) && !has["plate"] {
		return "batch"
	}
	return "plate"
}

// foreign reports whether a unit is one that the key's numbers can be converted
// from, or an ounce that is to be asked about.
func (d dimension) foreign(u string) bool {
	if u == "oz" {
		return d == millilitres
	}
	name, _, ok := d.unit(u)
	return ok && name != factors[d][0].name
}

func unusedOwn(name string, used map[string]bool) string {
	unique := name
	for n := 2; used[unique]; n++ {
		unique = fmt.Sprintf("%s_%d", name, n)
	}
	return unique
}

// timeOfDay drops a column of hours that no column of days goes with.
func (m *Mapping) timeOfDay() {
	at := m.column(madeTime)
	if at >= 0 && m.column("made") < 0 {
		m.Columns[at].To = ownKey(m.Columns[at].Heading)
	}
}

func (m *Mapping) column(to string) int {
	return slices.IndexFunc(m.Columns, func(c Column) bool { return c.To == to })
}

// settle judges by the cells how numbers and dates are written.
func (m *Mapping) settle(t *sheet.Table, today record.Date) {
	var numbers, dates []string
	for i, c := range m.Columns {
		_, isNumber := dimensionOf(c.To)
		for _, r := range t.Rows {
			switch cell := r.Cells[i]; {
			case cell == "":
			case isNumber:
				numbers = append(numbers, cell)
			case isDate(c.To):
				dates = append(dates, cell)
			}
		}
	}
	if m.exported(t) {
		m.Decimal = Point
		m.notes["decimal"] = "the table has the keys of records for headings"
		return
	}
	var example string
	m.Decimal, example = decimalOf(numbers)
	switch {
	case m.Decimal == "":
		m.notes["decimal"] = fmt.Sprintf("%s can be read in two ways: write point or comma", daybook.Clip(example))
	case example != "":
		m.notes["decimal"] = fmt.Sprintf("told by %s", daybook.Clip(example))
	}
	m.Dates, example = orderOf(dates)
	switch {
	case m.Dates == "" && example != "":
		m.notes["dates"] = fmt.Sprintf("%s can be read in two ways: write %s or %s", daybook.Clip(example), DayFirst, MonthFirst)
	case m.Dates != "":
		m.notes["dates"] = fmt.Sprintf("told by %s", daybook.Clip(example))
	}
	for _, d := range dates {
		if serialDate.MatchString(strings.TrimSpace(d)) {
			m.notes["serials"] = fmt.Sprintf("%s is a spreadsheet's day number: write %s (Excel, LibreOffice) or %s (old Excel on a Macintosh)", daybook.Clip(d), Serial1900, Serial1904)
			break
		}
	}
	if slices.ContainsFunc(dates, func(d string) bool { return twoDigitYear(d) }) {
		m.notes["years"] = fmt.Sprintf("two digits of a year stand for %d and the hundred years before", today.Year+1)
	}
}

// exported reports whether a table has the keys of plate records for headings:
// then it was written by this tool, whose notation is known.
func (m *Mapping) exported(t *sheet.Table) bool {
	for _, h := range t.Header {
		if !isTarget(h, headings) {
			return false
		}
	}
	return slices.Contains(t.Header, "plate") && slices.Contains(t.Header, "made") && slices.Contains(t.Header, "exposure.seconds")
}

func twoDigitYear(s string) bool {
	for _, expr := range []int{0, 1, 2} {
		p := [][]string{numericDate.FindStringSubmatch(s), dayMonth.FindStringSubmatch(s), monthDay.FindStringSubmatch(s)}[expr]
		if p != nil && len(p[len(p)-1]) == 2 {
			return true
		}
	}
	return false
}

func isDate(to string) bool { return to == "made" || to == "varnished" || to == "mixed" }

// Questions lists what the mapping leaves open and the table needs.
func (m *Mapping) Questions() []string {
	var out []string
	for _, key := range []string{"decimal", "dates", "serials"} {
		open := map[string]string{"decimal": m.Decimal, "dates": m.Dates, "serials": m.Serials}[key] == ""
		if note := m.notes[key]; note != "" && open {
			out = append(out, key+": "+note)
		}
	}
	for _, c := range m.Columns {
		if ounces[strings.ToLower(c.Unit)] {
			out = append(out, fmt.Sprintf("column “%s”: unit: which ounce? write fl oz US or fl oz imp", daybook.Clip(c.Heading)))
		}
	}
	if m.column("made") < 0 && m.Record == "plate" {
		out = append(out, "no column goes to made: write to: made for the one with the plate's date")
	}
	if m.Record == "batch" && (m.column("mixed") < 0 || m.column("kind") < 0 || m.column("batch") < 0) {
		out = append(out, "a table of batches needs columns that go to batch, kind and mixed")
	}
	return out
}

// sample describes a column's cells in a comment.
func sample(t *sheet.Table, i int) string {
	n := 0
	var seen []string
	for _, r := range t.Rows {
		cell := strings.TrimSpace(r.Cells[i])
		if cell == "" {
			continue
		}
		n++
		if short := shorten(cell); len(seen) < 3 && !slices.Contains(seen, short) {
			seen = append(seen, short)
		}
	}
	if n == 0 {
		return "empty"
	}
	return fmt.Sprintf("%d filled, such as %s", n, strings.Join(seen, " | "))
}

func shorten(s string) string {
	r := []rune(daybook.Clip(s))
	if len(r) > 24 {
		return string(r[:24]) + "…"
	}
	return string(r)
}

// wordsMost is how many different cells a column of words may have before its
// words are no longer listed.
const wordsMost = 200

// wordsOf proposes what each word of a column stands for, where the record takes
// certain words only. Words that the record takes as they are need no line.
func wordsOf(t *sheet.Table, i int, to, unit string) map[string]string {
	key, ok := daybook.KeyOf(to)
	if to == "kind" {
		key, ok = daybook.Key{Path: "kind", Kind: daybook.Word, Words: record.BatchKinds}, true
	}
	if !ok || len(key.Words) == 0 && key.Kind != daybook.Truth {
		return nil
	}
	out := map[string]string{}
	for _, r := range t.Rows {
		parts := []string{r.Cells[i]}
		if key.Kind == daybook.List {
			list, err := daybook.ParseList(r.Cells[i])
			if err != nil {
				continue
			}
			parts = list
		}
		for _, part := range parts {
			part = strings.Join(strings.Fields(part), " ")
			if part == "" || len(out) >= wordsMost {
				continue
			}
			if _, err := key.Normal(part, time.UTC); err == nil {
				continue
			}
			if to == "format" {
				if _, err := plateSize(part, unit); err == nil {
					continue
				}
			}
			out[part] = likeWord(part, to, key.Words)
		}
	}
	if len(out) == 0 {
		return nil
	}
	return out
}

// Same reports whether two mappings say the same.
func (m *Mapping) Same(n *Mapping) bool {
	return m.Record == n.Record && m.Encoding == n.Encoding && m.Delimiter == n.Delimiter && m.Decimal == n.Decimal && m.Dates == n.Dates && m.Serials == n.Serials && m.Folder == n.Folder &&
		slices.EqualFunc(m.Columns, n.Columns, func(c, d Column) bool {
			return c.Heading == d.Heading && c.To == d.To && c.Unit == d.Unit && maps.Equal(c.Values, d.Values)
		})
}
