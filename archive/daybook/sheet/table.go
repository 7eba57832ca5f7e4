package sheet

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
)

// Bounds of a table.
const (
	BytesMost   = 64 << 20
	RowsMost    = 200_000
	ColumnsMost = 300
	CellMost    = 256 << 10
)

// Table is a header and the rows below it.
type Table struct {
	Encoding  Encoding
	Delimiter rune
	Header    []string // unique; a column without a name is called by its letter
	Line      int      // of the header
	Rows      []Row
	Faults    []Fault // rows that could not be read, and were left out
}

// Row is one row; it has as many cells as the header.
type Row struct {
	Line  int
	Cells []string
}

// Fault is a row that could not be read.
type Fault struct {
	Line    int
	Message string
	Remedy  string
}

func (f Fault) Error() string { return fmt.Sprintf("line %d: %s: %s", f.Line, f.Message, f.Remedy) }

// ErrEmpty says that there is no table: not one row of at least two cells.
var ErrEmpty = errors.New("no table: it needs a row of headings and rows below it, in at least two columns")

// Options settle what is otherwise found out. Zero values are found out.
type Options struct {
	Encoding  Encoding
	Delimiter rune
}

// Read reads a table. An error says that there is none, or that a bound is
// passed; single rows that cannot be read are in Faults.
func Read(data []byte, opt Options) (*Table, error) {
	if len(data) > BytesMost {
		return nil, fmt.Errorf("the table is larger than %d MB; accepted: a spreadsheet saved as CSV text, in parts if need be", BytesMost>>20)
	}
	if err := foreign(data); err != nil {
		return nil, err
	}
	text, enc, err := decode(data, opt.Encoding)
	if err != nil {
		return nil, err
	}
	t := &Table{Encoding: enc, Delimiter: opt.Delimiter}
	text = lineEnds(text)
	text, skipped := t.hint(text)
	if t.Delimiter == 0 {
		t.Delimiter = detectDelimiter(text)
	}
	records, err := t.records(text)
	if err != nil {
		return nil, err
	}
	for i := range records {
		records[i].Line += skipped
	}
	for i := range t.Faults {
		t.Faults[i].Line += skipped
	}
	return t, t.lay(records)
}

// foreign names files that are no text, before they are read as some.
func foreign(data []byte) error {
	for _, f := range []struct{ magic, what string }{
		{"PK\x03\x04", "a spreadsheet or a zip file"}, {"\xD0\xCF\x11\xE0", "an old Excel file"}, {"%PDF", "a PDF"}, {"{\\rtf", "an RTF document"},
	} {
		if bytes.HasPrefix(data, []byte(f.magic)) {
			return fmt.Errorf("this is %s; accepted: the spreadsheet saved as CSV text (File, Save as, CSV)", f.what)
		}
	}
	return nil
}

// lineEnds gives old Macintosh line ends the form that is read.
func lineEnds(text string) string {
	if !strings.Contains(text, "\n") && strings.Contains(text, "\r") {
		return strings.ReplaceAll(text, "\r", "\n")
	}
	return text
}

// hint takes off a first line such as sep=; by which some programs name the
// delimiter.
func (t *Table) hint(text string) (rest string, lines int) {
	first, rest, ok := strings.Cut(text, "\n")
	first = strings.Trim(strings.TrimSpace(first), `"`)
	if sep, is := strings.CutPrefix(strings.ToLower(first), "sep="); ok && is && len([]rune(sep)) <= 1 {
		if t.Delimiter == 0 {
			t.Delimiter = '\t'
			for _, c := range sep {
				t.Delimiter = c
			}
		}
		if strings.ContainsRune("\"\r\n", t.Delimiter) || t.Delimiter == 0xfffd {
			t.Delimiter = 0
		}
		return rest, 1
	}
	return text, 0
}

// records reads all rows. If quotes pair up in the whole text they are believed;
// if not, bare quotes are taken as signs, and a row that then runs over several
// lines is a fault.
func (t *Table) records(text string) ([]Row, error) {
	rows, err := t.parse(text, false)
	var bad *csv.ParseError
	if !errors.As(err, &bad) {
		return rows, err
	}
	if rows, err = t.parse(text, true); err != nil {
		return nil, err
	}
	kept := rows[:0]
	for _, r := range rows {
		if over := strings.Count(strings.Join(r.Cells, ""), "\n"); over > 0 {
			t.Faults = append(t.Faults, Fault{r.Line, fmt.Sprintf("quotes do not pair up, and %d lines from here on would be one row", over+1), "close the quote, or write two for one that is meant"})
			continue
		}
		kept = append(kept, r)
	}
	return kept, nil
}

func (t *Table) parse(text string, lazy bool) ([]Row, error) {
	in := csv.NewReader(strings.NewReader(text))
	in.Comma, in.LazyQuotes, in.FieldsPerRecord, in.ReuseRecord = t.Delimiter, lazy, -1, false
	var rows []Row
	for {
		cells, err := in.Read()
		if errors.Is(err, io.EOF) {
			return rows, nil
		}
		if err != nil {
			return nil, err
		}
		line, _ := in.FieldPos(0)
		if len(rows) > RowsMost {
			return nil, fmt.Errorf("line %d: more than %d rows; accepted: a table in parts", line, RowsMost)
		}
		if len(cells) > ColumnsMost {
			return nil, fmt.Errorf("line %d: %d columns; accepted: at most %d", line, len(cells), ColumnsMost)
		}
		for i, c := range cells {
			if len(c) > CellMost {
				return nil, fmt.Errorf("line %d, column %d: a cell of %d KB; accepted: at most %d KB", line, i+1, len(c)>>10, CellMost>>10)
			}
			cells[i] = Plain(c)
		}
		rows = append(rows, Row{line, cells})
	}
}

// lay finds the header (the first row with two filled cells) and brings the rows
// below it to its width.
func (t *Table) lay(records []Row) error {
	at := 0
	for at < len(records) && filled(records[at].Cells) < 2 {
		at++
	}
	if at == len(records) {
		return ErrEmpty
	}
	t.Line = records[at].Line
	t.header(records[at].Cells)
	for _, r := range records[at+1:] {
		if filled(r.Cells) == 0 {
			continue
		}
		for len(r.Cells) < len(t.Header) {
			r.Cells = append(r.Cells, "")
		}
		if filled(r.Cells[len(t.Header):]) > 0 {
			t.Faults = append(t.Faults, Fault{r.Line, fmt.Sprintf("this row has %d cells and the headings are %d", len(r.Cells), len(t.Header)), "a text that holds the sign between cells belongs in quotes"})
			continue
		}
		r.Cells = r.Cells[:len(t.Header)]
		t.Rows = append(t.Rows, r)
	}
	return nil
}

func (t *Table) header(cells []string) {
	for len(cells) > 0 && strings.TrimSpace(cells[len(cells)-1]) == "" {
		cells = cells[:len(cells)-1]
	}
	seen := map[string]bool{}
	for i, name := range cells {
		name = strings.Join(strings.Fields(name), " ")
		if name == "" {
			name = "column " + letter(i)
		}
		unique := name
		for n := 2; seen[unique]; n++ {
			unique = fmt.Sprintf("%s (%d)", name, n)
		}
		seen[unique] = true
		t.Header = append(t.Header, unique)
	}
}

// letter is a column's name in a spreadsheet.
func letter(i int) string {
	name := ""
	for i++; i > 0; i = (i - 1) / 26 {
		name = string(rune('A'+(i-1)%26)) + name
	}
	return name
}

func filled(cells []string) int {
	n := 0
	for _, c := range cells {
		if strings.TrimSpace(c) != "" {
			n++
		}
	}
	return n
}
