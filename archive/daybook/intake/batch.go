package intake

import (
	"errors"
	"fmt"
	"math"
	"path"
	"slices"
	"strings"

	"sandarac/archive/daybook"
	"sandarac/archive/daybook/sheet"
	"sandarac/archive/record"
)

// Batch is a batch on its way into a record.
type Batch struct {
	ID, Kind string
	Mixed    record.Date
	File     string
	Numbers  map[string]string // volume_ml and the like
	Own      map[string]string
	Notes    string
}

// batchNumbers are the keys of a batch that are numbers, in order, and whether
// they are whole.
var batchNumbers = []struct {
	key      string
	whole    bool
	min, max float64
}{
	{"volume_ml", false, math.SmallestNonzeroFloat64, math.MaxFloat64}, {"ready_after_days", true, 0, 3650}, {"retire_after_days", true, 1, 36500},
	{"cure_hours", false, 0, math.MaxFloat64}, {"retained_ml_per_dm2", false, math.SmallestNonzeroFloat64, math.MaxFloat64},
}

// batch reads a row of batches.
func (p *planner) batch(from sheet.Row) Row {
	out := Row{Line: from.Line}
	b := &Batch{Numbers: map[string]string{}, Own: map[string]string{}}
	for i, c := range p.mapping.Columns {
		cell := p.cell(from, i)
		if cell == "" || c.To == Skip {
			continue
		}
		if err := p.batchCell(b, c, cell, &out); err != nil {
			out.Refused = append(out.Refused, err)
		}
	}
	for _, missing := range []struct {
		what  string
		there bool
	}{{"id", b.ID != ""}, {"kind", b.Kind != ""}, {"date", !b.Mixed.IsZero()}} {
		if !missing.there && len(out.Refused) == 0 {
			out.Refused = append(out.Refused, errors.New("the row has no "+missing.what))
		}
	}
	if len(out.Refused) > 0 {
		return out
	}
	for id := range p.book.Archive.Batches {
		if strings.EqualFold(id, b.ID) {
			out.Already = id
			return out
		}
	}
	if line := p.lines[strings.ToLower(b.ID)]; line > 0 {
		out.Refused = append(out.Refused, fmt.Errorf("the id “%s” stands in line %d already", b.ID, line))
		return out
	}
	p.lines[strings.ToLower(b.ID)] = from.Line
	b.File = path.Join(p.batchFolder(b.Kind), daybook.FileName(b.ID)+".md")
	out.Batch = b
	return out
}

func (p *planner) batchCell(b *Batch, c Column, cell string, out *Row) error {
	text := cell
	if means, listed := c.Values[oneLine(cell)]; listed {
		text = means
	}
	switch c.To {
	case "batch":
		if !record.ValidID(text) {
			return &daybook.Refusal{Key: "batch", Found: daybook.Clip(text), Accepted: "up to 80 letters, digits, and - _ . between them"}
		}
		b.ID = text
	case "kind":
		if text = strings.ToLower(text); !slices.Contains(record.BatchKinds, text) {
			return &daybook.Refusal{Key: "kind", Found: daybook.Clip(cell), Accepted: strings.Join(record.BatchKinds, ", ")}
		}
		b.Kind = text
	case "mixed":
		when, err := p.mapping.moment(text, p.book.Archive.Studio.Zone, p.book.Today)
		if err != nil {
			return err
		}
		if b.Mixed, err = record.ParseDate(when[:10]); err != nil {
			return err
		}
	case "notes":
		if c.Heading != "notes" {
			text = c.Heading + ": " + text
		}
		b.Notes = strings.TrimSpace(b.Notes + "\n\n" + text)
		return daybook.NewEntry(nil).Set("notes", b.Notes)
	default:
		if daybook.IsOwn(c.To) {
			b.Own[c.To] = text
			return daybook.NewEntry(nil).Set(c.To, text)
		}
		return p.batchNumber(b, c, cell, out)
	}
	return nil
}

func (p *planner) batchNumber(b *Batch, c Column, cell string, out *Row) error {
	x, err := p.mapping.quantity(cell, c.To, c.Unit)
	for _, n := range batchNumbers {
		if n.key == c.To && err == nil && (x < n.min || x > n.max || n.whole && x != math.Trunc(x)) {
			err = fmt.Errorf("“%s” is out of range", daybook.Clip(cell))
		}
	}
	if err != nil {
		b.Own["x_"+c.To] = cell
		out.Kept = append(out.Kept, fmt.Sprintf("%s: %v", c.To, err))
		return daybook.NewEntry(nil).Set("x_"+c.To, cell)
	}
	b.Numbers[c.To] = daybook.FormatNumber(x)
	return nil
}

// batchFolder is where the archive keeps batches of a kind.
func (p *planner) batchFolder(kind string) string {
	if p.mapping.Folder != "" {
		return p.mapping.Folder
	}
	var like, any []string
	for _, b := range p.book.Archive.Batches {
		any = append(any, path.Dir(b.File))
		if b.Kind == kind {
			like = append(like, path.Dir(b.File))
		}
	}
	slices.Sort(like)
	slices.Sort(any)
	switch {
	case len(like) > 0:
		return like[len(like)-1]
	case len(any) > 0 && any[0] == any[len(any)-1]:
		return any[0]
	}
	return "batches"
}

// Markdown writes the batch as a record. Its recipe, if the table held one, is in
// the notes: amounts of a recipe are read by hand, not guessed.
func (b *Batch) Markdown() []byte {
	e := daybook.NewEntry(nil)
	e.Notes = b.Notes
	var out strings.Builder
	fmt.Fprintf(&out, "---\nbatch: %s\nkind: %s\nmixed: %s\n", daybook.Scalar(b.ID), b.Kind, b.Mixed)
	for _, n := range batchNumbers {
		if text, ok := b.Numbers[n.key]; ok {
			fmt.Fprintf(&out, "%s: %s\n", n.key, text)
		}
	}
	keys := make([]string, 0, len(b.Own))
	for k := range b.Own {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	for _, k := range keys {
		fmt.Fprintf(&out, "%s: %s\n", k, daybook.Scalar(b.Own[k]))
	}
	out.WriteString("---\n")
	out.WriteString(e.Body())
	return []byte(out.String())
}
