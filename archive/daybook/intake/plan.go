package intake

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"sandarac/archive/daybook"
	"sandarac/archive/daybook/sheet"
	"sandarac/archive/record"
)

// Plan is what a table becomes.
type Plan struct {
	Table string
	Rows  []Row
	// Questions are settings that must be said before anything is written.
	Questions []string
	// Unmapped are headings of which the mapping says nothing: they came into the
	// table later. Their cells are left out.
	Unmapped []string
}

// Row is what one row becomes: a draft, something that is there already, or
// nothing, with the reasons.
type Row struct {
	Line    int
	Plate   *daybook.Draft // of a table of plates
	Batch   *Batch         // of a table of batches
	Already string         // id of the record that is there
	Refused []error        // why nothing is written
	Kept    []string       // what could not be read or named nothing, and was kept as an own key
}

// Writes reports whether the row will become a record.
func (r Row) Writes() bool {
	return len(r.Refused) == 0 && r.Already == "" && (r.Plate != nil || r.Batch != nil)
}

// Make plans what each row of a table becomes. Name is the table's, for the
// records to say where they are from. An error is a fault of the mapping.
func Make(b *daybook.Book, t *sheet.Table, m *Mapping, name string) (*Plan, error) {
	if err := m.check(t); err != nil {
		return nil, err
	}
	p := &planner{book: b, table: t, mapping: m, name: oneLine(name), lines: map[string]int{}, sums: map[string]int{}, orphans: orphansByName(b.Archive.Orphans)}
	for _, c := range m.Columns {
		p.at = append(p.at, slices.Index(t.Header, c.Heading))
	}
	p.knowSources()
	out := &Plan{Table: name, Questions: m.Questions()}
	for _, h := range t.Header {
		if !slices.ContainsFunc(m.Columns, func(c Column) bool { return c.Heading == h }) {
			out.Unmapped = append(out.Unmapped, h)
		}
	}
	for _, f := range t.Faults {
		out.Rows = append(out.Rows, Row{Line: f.Line, Refused: []error{fmt.Errorf("%s: %s", f.Message, f.Remedy)}})
	}
	for _, r := range t.Rows {
		if m.Record == "batch" {
			out.Rows = append(out.Rows, p.batch(r))
		} else {
			out.Rows = append(out.Rows, p.plate(r))
		}
	}
	slices.SortStableFunc(out.Rows, func(a, b Row) int { return a.Line - b.Line })
	return out, nil
}

// check holds a mapping against its table.
func (m *Mapping) check(t *sheet.Table) error {
	if m.Record == "" {
		m.Record = "plate"
	}
	if m.Folder != "" {
		if err := daybook.CheckFolder(m.Folder); err != nil {
			return &MapError{1, err.Error()}
		}
	}
	known := targetsOf(m.Record)
	seen, goes := map[string]bool{}, map[string]string{}
	for _, c := range m.Columns {
		fault := func(format string, args ...any) error {
			return &MapError{c.line, fmt.Sprintf("column “%s”: ", daybook.Clip(c.Heading)) + fmt.Sprintf(format, args...)}
		}
		switch {
		case !slices.Contains(t.Header, c.Heading):
			return fault("the table has no such heading; it has %s", daybook.Clip(strings.Join(t.Header, ", ")))
		case seen[c.Heading]:
			return fault("it stands twice in the mapping")
		case !isTarget(c.To, known):
			return fault("to: “%s” is no key of a %s; accepted: a key of the record, notes, an own key that begins with x_, or skip", daybook.Clip(c.To), m.Record)
		case goes[c.To] != "" && c.To != Skip && c.To != "notes":
			return fault("to: %s is taken by column “%s”", c.To, daybook.Clip(goes[c.To]))
		}
		seen[c.Heading], goes[c.To] = true, c.Heading
		if d, isNumber := dimensionOf(c.To); isNumber && c.Unit != "" && !ounces[strings.ToLower(c.Unit)] {
			if _, _, ok := d.unit(c.Unit); !ok {
				return fault("unit: “%s”; accepted: %s", daybook.Clip(c.Unit), d.units())
			}
		}
		if _, _, length := millimetres.unit(c.Unit); (c.To == "format" || c.To == "size_mm") && c.Unit != "" && !length {
			return fault("unit: “%s”; accepted: %s", daybook.Clip(c.Unit), millimetres.units())
		}
	}
	return nil
}

// planner makes one plan.
type planner struct {
	book    *daybook.Book
	table   *sheet.Table
	mapping *Mapping
	name    string
	at      []int          // where each column of the mapping stands in the table
	lines   map[string]int // line by id, folded
	sums    map[string]int // how often a row of that sum came up
	known   map[string]string
	changed map[record.Date]bool // days on which a row that was imported is no longer in the table
	orphans map[string][]string
}

// knowSources finds which rows became records in an earlier run, and the days on
// which the table was changed since.
func (p *planner) knowSources() {
	p.known, p.changed = map[string]string{}, map[record.Date]bool{}
	sources := p.book.Sources(p.name)
	if len(sources) == 0 {
		return
	}
	here, count := map[string]bool{}, map[string]int{}
	for _, r := range p.table.Rows {
		here[rowSum(r.Cells, count)] = true
	}
	for _, s := range sources {
		p.known[s.Sum] = s.Plate
		if !here[s.Sum] {
			p.changed[s.Day] = true
		}
	}
}

// Write makes the records of a plan, several at a time, since a disk takes its
// time for each. It tells progress how many are there, and returns the plan's
// rows that could not be written because a file of their name came in between.
func (p *Plan) Write(ctx context.Context, b *daybook.Book, progress func(done, total int)) (written int, left []Row, err error) {
	if len(p.Questions) > 0 {
		return 0, nil, errors.New("the mapping leaves questions open")
	}
	total := 0
	for _, r := range p.Rows {
		if r.Writes() {
			total++
		}
	}
	var done atomic.Int64
	missed := make([]bool, len(p.Rows))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(32)
	for i, r := range p.Rows {
		if !r.Writes() {
			continue
		}
		g.Go(func() error {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			err := r.write(b)
			if errors.Is(err, fs.ErrExist) {
				missed[i] = true
				return nil
			}
			if err == nil {
				n := done.Add(1)
				if progress != nil {
					progress(int(n), total)
				}
			}
			return err
		})
	}
	err = g.Wait()
	for i, m := range missed {
		if m {
			left = append(left, p.Rows[i])
		}
	}
	return int(done.Load()), left, err
}

func (r Row) write(b *daybook.Book) error {
	if r.Batch != nil {
		return b.Create(r.Batch.File, r.Batch.Markdown(), 0o644)
	}
	return b.Write(r.Plate)
}
