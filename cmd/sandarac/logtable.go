package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"sandarac/archive/daybook"
	"sandarac/archive/daybook/intake"
	"sandarac/archive/daybook/sheet"
	"sandarac/archive/swap"
)

// table imports a spreadsheet: the first time it proposes what its columns are,
// then it shows what each row becomes, and with --write it writes the records.
func (l *logging) table() error {
	tab, m, err := l.readTable()
	if err != nil {
		return err
	}
	if l.Write {
		lock, err := daybook.Lock(l.env.ctx, l.root, "log --from", l.waiting)
		if err != nil {
			return err
		}
		defer lock.Release()
		if err := l.open(); err != nil { // as it is under the lock
			return err
		}
	}
	plan, err := intake.Make(l.book, tab, m, filepath.Base(l.From))
	if err != nil {
		return fmt.Errorf("%s: %w", l.mapName(), err)
	}
	counts := l.list(plan)
	for _, h := range plan.Unmapped {
		l.env.say.note("%s says nothing of column “%s”: its cells are left out", l.mapName(), daybook.Clip(h))
	}
	if len(plan.Questions) > 0 {
		for _, q := range plan.Questions {
			l.env.say.note("%s: %s", l.mapName(), q)
		}
		l.env.say.note("nothing can be written before this is said")
		return errFaults
	}
	if !l.Write {
		l.env.say.print("%s; nothing was written: add --write to write them", counts)
		return counts.fault()
	}
	n, left, err := plan.Write(l.env.ctx, l.book, func(done, total int) { l.env.say.Step("writing records", done, total) })
	if err != nil {
		return err
	}
	for _, r := range left {
		l.env.say.note("line %d: not written: a file of that name came in between", r.Line)
	}
	counts.become, counts.refused = n, counts.refused+len(left)
	l.env.say.print("%s: %s written", counts, plural(n, "record"))
	return counts.fault()
}

// mapName is the file of the mapping beside the table.
func (l *logging) mapName() string { return l.From + ".map.yaml" }

// readTable reads the table and its mapping, and proposes one if there is none.
func (l *logging) readTable() (*sheet.Table, *intake.Mapping, error) {
	data, err := readBounded(l.From, sheet.BytesMost)
	if err != nil {
		return nil, nil, err
	}
	settled, err := os.ReadFile(l.mapName())
	if err == nil {
		m, err := intake.ReadMapping(settled)
		if err != nil {
			return nil, nil, fmt.Errorf("%s: %w", l.mapName(), err)
		}
		t, err := sheet.Read(data, sheet.Options{Encoding: m.Encoding, Delimiter: m.Delimiter})
		if err != nil {
			return nil, nil, fmt.Errorf("%s: %w", l.From, err)
		}
		return t, m, nil
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return nil, nil, err
	}
	t, err := sheet.Read(data, sheet.Options{})
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", l.From, err)
	}
	m := intake.Propose(t, l.book.Today)
	if err := swap.CreateNew(l.mapName(), m.YAML(filepath.Base(l.From)), 0o644); err != nil {
		return nil, nil, err
	}
	l.env.say.print("wrote %s: it says what each column was taken for; read it, change what is wrong, and run this again", l.mapName())
	return t, m, nil
}

// readBounded reads a file that may be no larger than most bytes.
func readBounded(name string, most int64) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, withHint(err, "name the spreadsheet, saved as CSV text")
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, most+1))
}

// tally is what the rows of a table come to.
type rowTally struct{ become, already, kept, refused int }

func (t rowTally) String() string {
	out := fmt.Sprintf("%s become records", plural(t.become, "row"))
	if t.become == 1 {
		out = "1 row becomes a record"
	}
	if t.already > 0 {
		out += fmt.Sprintf(", %d are there already", t.already)
	}
	if t.kept > 0 {
		out += fmt.Sprintf(", %d with something kept as an own key or in the notes", t.kept)
	}
	if t.refused > 0 {
		out += fmt.Sprintf(", %d cannot be read", t.refused)
	}
	return out
}

func (t rowTally) fault() error {
	if t.refused > 0 {
		return errFaults
	}
	return nil
}

// list shows what each row becomes and what cannot be read.
func (l *logging) list(p *intake.Plan) rowTally {
	var t rowTally
	s := l.env.say
	for _, r := range p.Rows {
		head := fmt.Sprintf("line %d", r.Line)
		switch {
		case r.Already != "":
			t.already++
			s.print("%s  %s is there already", head, r.Already)
		case !r.Writes():
			t.refused++
			for _, err := range r.Refused {
				s.print("%s  cannot be read: %s", head, s.wrap(err.Error(), len(head)+18, 4))
			}
		case r.Batch != nil:
			t.become++
			s.print("%s  %s  → %s  %s, mixed %s", head, r.Batch.ID, r.Batch.File, r.Batch.Kind, r.Batch.Mixed)
		default:
			t.become++
			s.print("%s  %s  → %s", head, r.Plate.ID(), r.Plate.File)
			s.print("    %s", s.wrap(r.Plate.Said(), 4, 4))
		}
		for _, k := range r.Kept {
			s.print("    kept: %s", s.wrap(k, 10, 10))
		}
		if len(r.Kept) > 0 {
			t.kept++
		}
	}
	return t
}

// export writes the plates as a table. An existing file is replaced whole.
func (l *logging) export() error {
	var b strings.Builder
	left, err := daybook.WriteCSV(&b, l.book.Archive)
	if err != nil {
		return err
	}
	if l.Export == "-" {
		l.env.say.print("%s", strings.TrimSuffix(b.String(), "\r\n")+"\r")
	} else {
		if err := swap.WriteFile(l.Export, []byte(b.String()), 0o644); err != nil {
			return err
		}
		l.env.say.print("wrote %s: %s", l.Export, plural(len(l.book.Archive.Plates)-len(left), "plate"))
	}
	if len(left) > 0 {
		l.env.say.findings(l.env.say.err, left, false)
		return errFaults
	}
	return nil
}
