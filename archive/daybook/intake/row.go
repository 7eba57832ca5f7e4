package intake

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"

	"sandarac/archive/daybook"
	"sandarac/archive/daybook/sheet"
	"sandarac/archive/record"
)

// rowSum is a short sum of a row's cells; the second row with the same cells has
// another one.
func rowSum(cells []string, seen map[string]int) string {
	text := strings.Join(cells, "\x1f")
	seen[text]++
	sum := sha256.Sum256(fmt.Appendf(nil, "%s\x1e%d", text, seen[text]))
	return hex.EncodeToString(sum[:6])
}

// reading is one row being read.
type reading struct {
	*planner
	row   Row
	draft *daybook.Draft
	date  string // as the row has it
	time  string
	scans string
}

// plate reads a row of plates.
func (p *planner) plate(from sheet.Row) Row {
	r := &reading{planner: p, row: Row{Line: from.Line}, draft: &daybook.Draft{Entry: p.book.Entry()}}
	sum := rowSum(from.Cells, p.sums)
	if id := p.known[sum]; id != "" {
		r.row.Already = id
		return r.row
	}
	for i, c := range p.mapping.Columns {
		if cell := p.cell(from, i); cell != "" {
			r.column(c, cell)
		}
	}
	r.made()
	if len(r.row.Refused) > 0 {
		return r.row
	}
	r.findScans()
	if id := r.draft.ID(); id != "" && p.book.Taken(id) && p.lines[strings.ToLower(id)] == 0 {
		r.row.Already = id
	}
	if r.row.Already != "" || len(r.row.Refused) > 0 {
		return r.row
	}
	r.settle(sum)
	return r.row
}

// cell is the cell of a mapped column, trimmed.
func (p *planner) cell(from sheet.Row, i int) string {
	return strings.TrimSpace(from.Cells[p.at[i]])
}

func (r *reading) refuse(err error) { r.row.Refused = append(r.row.Refused, err) }

// keep keeps a cell that its key cannot take as an own key, and says so.
func (r *reading) keep(key, cell, why string) {
	if err := r.draft.Keep(key, cell); err != nil {
		r.refuse(err)
		return
	}
	r.row.Kept = append(r.row.Kept, why)
}

// column reads one cell.
func (r *reading) column(c Column, cell string) {
	m, zone := r.mapping, r.book.Archive.Studio.Zone
	set := func(text string, err error) {
		if err == nil {
			err = r.draft.Set(c.To, text)
		}
		if err != nil {
			r.keep(c.To, cell, fmt.Sprintf("%s: %v", c.To, err))
		}
	}
	_, isNumber := dimensionOf(c.To)
	switch {
	case c.To == Skip:
	case daybook.IsOwn(c.To):
		set(cell, nil)
	case c.To == "made":
		r.date = cell
	case c.To == madeTime:
		r.time = cell
	case c.To == "plate":
		if err := r.draft.Set("plate", cell); err != nil {
			r.refuse(fmt.Errorf("%w; or let the column go to x_number, and the studio's pattern gives the ids", err))
		}
	case c.To == fileTarget:
		if err := daybook.CheckFile(cell); err != nil {
			r.refuse(err)
			return
		}
		r.draft.File = cell
	case c.To == "scans":
		r.scans = cell
	case c.To == "notes":
		r.note(c.Heading, cell)
	case c.To == "varnished":
		text, err := m.moment(cell, zone, r.book.Today)
		set(text, err)
	case c.To == "sitters":
		r.people(cell)
	case isNumber:
		x, err := m.quantity(cell, c.To, c.Unit)
		set(daybook.FormatNumber(x), err)
	case c.To == "format" || c.To == "size_mm":
		r.size(c, cell)
	case c.To == "lens" || c.To == "client" || strings.HasPrefix(c.To, "batches."):
		r.reference(c, cell)
	default:
		r.words(c, cell, set)
	}
}

func (r *reading) note(heading, cell string) {
	if heading != "notes" {
		cell = heading + ": " + cell
	}
	if err := r.draft.AddNote(cell); err != nil {
		r.refuse(err)
	}
}

// words reads a text, or words by the column's list of what stands for what.
func (r *reading) words(c Column, cell string, set func(string, error)) {
	key, _ := daybook.KeyOf(c.To)
	if len(c.Values) == 0 {
		set(cell, nil)
		return
	}
	if key.Kind != daybook.List {
		word := oneLine(cell)
		means, listed := c.Values[word]
		switch {
		case !listed:
			set(cell, nil)
		case means == "":
			r.keep(c.To, cell, fmt.Sprintf("%s: the mapping says nothing for “%s”", c.To, daybook.Clip(cell)))
		default:
			set(means, nil)
		}
		return
	}
	parts, err := daybook.ParseList(cell)
	if err != nil {
		set(cell, nil)
		return
	}
	var out []string
	for _, part := range parts {
		word := oneLine(part)
		if means, listed := c.Values[word]; listed && means == "" {
			r.note(c.Heading, part)
			r.row.Kept = append(r.row.Kept, fmt.Sprintf("%s: the mapping says nothing for “%s”: kept in the notes", c.To, daybook.Clip(part)))
			continue
		} else if listed {
			word = means
		}
		out = append(out, word)
	}
	set(daybook.FormatList(out), nil)
}

// size reads a plate size by name, by the column's list, or by its lengths.
func (r *reading) size(c Column, cell string) {
	text := cell
	if means, listed := c.Values[oneLine(cell)]; listed {
		if text = means; text == "" {
			r.keep(c.To, cell, fmt.Sprintf("%s: the mapping says nothing for “%s”", c.To, daybook.Clip(cell)))
			return
		}
	}
	unit := c.Unit
	if c.To == "size_mm" {
		if unit = first(unit, "mm"); unit == "mm" && r.draft.Set("size_mm", text) == nil {
			return // as an export writes it: no size is rounded or named
		}
	}
	f, err := plateSize(text, unit)
	if err == nil && f.Slug != "" && c.To == "format" {
		err = r.draft.Set("format", f.Slug)
	} else if err == nil {
		err = r.draft.Set("size_mm", daybook.FormatNumber(f.WidthMM)+" x "+daybook.FormatNumber(f.HeightMM))
	}
	if err != nil {
		r.keep(c.To, cell, fmt.Sprintf("%s: %v", c.To, err))
	}
}

// reference finds the record that a cell names, in capitals or not, by id or by
// name; without one the cell is kept as an own key.
func (r *reading) reference(c Column, cell string) {
	text := cell
	if means, listed := c.Values[oneLine(cell)]; listed && means != "" {
		text = means
	}
	id, ok := r.lookUp(c.To, text)
	if !ok {
		r.keep(c.To, cell, fmt.Sprintf("%s: “%s” has no record in the archive%s", c.To, daybook.Clip(cell), r.near(c.To, text)))
		return
	}
	if err := r.draft.Set(c.To, id); err != nil {
		r.keep(c.To, cell, err.Error())
	}
}

// near says which record a cell may mean, and how to say so.
func (r *reading) near(key, text string) string {
	if id := record.NearestID(text, r.idsOf(key)); id != "" {
		return fmt.Sprintf("; if “%s” is meant, put %q: %q under the column's values: in the mapping", id, text, id)
	}
	return ""
}

func (r *reading) idsOf(key string) []string {
	a := r.book.Archive
	switch key {
	case "lens":
		var ids []string
		for _, l := range a.Studio.Lenses {
			ids = append(ids, l.ID)
		}
		return ids
	case "client":
		return slices.Collect(maps.Keys(a.Clients))
	}
	return r.book.BatchIDs(strings.TrimPrefix(key, "batches."))
}

func (r *reading) lookUp(key, text string) (string, bool) {
	a := r.book.Archive
	same := func(id string) bool { return strings.EqualFold(id, text) }
	found := ""
	add := func(id string) {
		if found == "" || id == text {
			found = id
		}
	}
	switch key {
	case "lens":
		for _, l := range a.Studio.Lenses {
			if same(l.ID) {
				add(l.ID)
			}
		}
	case "client":
		for id, cl := range a.Clients {
			if same(id) || same(cl.Name) {
				add(id)
			}
		}
	default:
		kind := strings.TrimPrefix(key, "batches.")
		for id, b := range a.Batches {
			if b.Kind == kind && same(id) {
				add(id)
			}
		}
	}
	return found, found != ""
}

// people reads who is in a plate. A name without a record is written into the
// plate's own record, without consent: it is not shown until there is one. Only
// "nobody" says that there is nobody.
func (r *reading) people(cell string) {
	if strings.HasPrefix(cell, "[") || strings.EqualFold(cell, daybook.Nobody) {
		if err := r.draft.Set("sitters", cell); err == nil {
			r.knownPeople()
			return
		}
	}
	var people []daybook.Person
	var fresh []string
	for _, name := range splitPeople(cell, r.book.Archive) {
		switch id := personID(name, r.book.Archive); {
		case id != "":
			people = append(people, daybook.Person{Ref: id})
		case strings.IndexFunc(name, isLetter) < 0:
			r.keep("sitters", cell, fmt.Sprintf("sitters: “%s” is nobody's name", daybook.Clip(cell)))
			return
		default:
			people = append(people, daybook.Person{Name: name})
			fresh = append(fresh, name)
		}
	}
	check := r.book.Entry()
	if err := check.Set("sitters", daybook.FormatPeople(people, true)); err != nil {
		r.keep("sitters", cell, err.Error())
		return
	}
	r.draft.People, r.draft.PeopleGiven = people, true
	for _, name := range fresh {
		r.row.Kept = append(r.row.Kept, fmt.Sprintf("sitters: “%s” has no sitter record: written by name, without consent", daybook.Clip(name)))
	}
}

// knownPeople turns ids of sitter records that are not there into names.
func (r *reading) knownPeople() {
	for i, p := range r.draft.People {
		if _, ok := r.book.Archive.Sitters[p.Ref]; p.Ref != "" && !ok {
			r.draft.People[i] = daybook.Person{Name: p.Ref}
			r.row.Kept = append(r.row.Kept, fmt.Sprintf("sitters: “%s” has no sitter record: written by name, without consent", daybook.Clip(p.Ref)))
		}
	}
}

// made puts day and hour together.
func (r *reading) made() {
	if r.date == "" {
		r.refuse(errors.New("the row has no date"))
		return
	}
	text, err := r.mapping.moment(r.date, r.book.Archive.Studio.Zone, r.book.Today)
	if err != nil {
		r.refuse(err)
		return
	}
	if r.time != "" && !strings.Contains(text, "T") {
		if at, err := clock(r.time); err == nil {
			text += "T" + at
		} else {
			r.keep("made_time", r.time, err.Error())
		}
	}
	if err := r.draft.Set("made", text); err != nil {
		r.refuse(err)
	}
}

// settle places the draft and moves to own keys what the archive will not have.
func (r *reading) settle(sum string) {
	d := r.draft
	if d.ID() == "" {
		if r.changed[d.Day()] {
			r.refuse(fmt.Errorf("plates of %s came from this table before, and it was changed since: to write no plate twice, give the row an id of its own, or change that record by hand", d.Day()))
			return
		}
		if err := d.Set(daybook.SourceKey, r.name+" "+sum); err != nil {
			r.refuse(err)
			return
		}
	}
	if err := r.book.Place(d, r.mapping.Folder); err != nil {
		if line := r.lines[strings.ToLower(d.ID())]; line > 0 {
			err = fmt.Errorf("the id “%s” stands in line %d already", d.ID(), line)
		}
		r.refuse(err)
		return
	}
	for _, err := range r.book.Judge(d) {
		var refusal *daybook.Refusal
		if !errors.As(err, &refusal) || refusal.Key == "made" || refusal.Key == "plate" {
			r.refuse(err)
			continue
		}
		if text := d.Text(refusal.Key); text != "" {
			r.keep(refusal.Key, text, err.Error())
		}
	}
	if _, err := d.Markdown(); err != nil {
		r.refuse(err)
	}
	if len(r.row.Refused) > 0 {
		return
	}
	r.book.Settle(d)
	r.lines[strings.ToLower(d.ID())] = r.row.Line
	r.row.Plate = d
}

// findScans finds the scan a row names: beside the file the row names, else by
// its name among the scans that have no record.
func (r *reading) findScans() {
	if r.scans == "" {
		return
	}
	names, err := daybook.ParseList(r.scans)
	if err != nil || len(names) == 0 && r.scans != "[]" {
		r.keep("scans", r.scans, "scans: this is no list of names")
		return
	}
	if r.draft.File != "" || r.scans == "[]" {
		if err := r.draft.SetList("scans", names); err != nil {
			r.keep("scans", r.scans, err.Error())
		}
		return
	}
	name := strings.ToLower(path.Base(strings.ReplaceAll(names[0], `\`, "/")))
	found := r.orphans[name]
	switch {
	case len(names) == 1 && len(found) == 1:
		r.draft.Scan = found[0]
	case len(found) > 1:
		r.keep("scans", r.scans, fmt.Sprintf("scans: %d files are called “%s”", len(found), daybook.Clip(names[0])))
	default:
		r.keep("scans", r.scans, fmt.Sprintf("scans: no scan without a record is called “%s”", daybook.Clip(r.scans)))
	}
}

// orphansByName lists unrecorded scans by file name, with and without ending.
func orphansByName(rels []string) map[string][]string {
	out := map[string][]string{}
	for _, rel := range rels {
		name := strings.ToLower(path.Base(rel))
		out[name] = append(out[name], rel)
		bare := strings.TrimSuffix(name, path.Ext(name))
		if list := out[bare]; len(list) == 0 || strings.TrimSuffix(list[len(list)-1], path.Ext(list[len(list)-1])) != strings.TrimSuffix(rel, path.Ext(rel)) {
			out[bare] = append(list, rel)
		}
	}
	return out
}
