package daybook

import (
	"fmt"
	"io"
	"maps"
	"slices"

	"sandarac/archive/daybook/sheet"
	"sandarac/archive/finding"
	"sandarac/archive/record"
)

// WriteCSV writes the archive's plates as a table, one row each, in the order of
// their making: the record's file, every key by its path, the sitters, the own
// keys that are used, the notes. Read again with intake, every column gives the
// record back as it was; only own keys that hold lists or groups are left out.
// Cells that a spreadsheet would run as formulas are made harmless, and reading
// undoes that. Plates with errors are left out, and a finding names each.
func WriteCSV(w io.Writer, a *record.Archive) ([]finding.Finding, error) {
	var left []finding.Finding
	entries, files, own := []*Entry{}, []string{}, map[string]bool{}
	for _, p := range a.Plates {
		if p.Broken {
			left = append(left, finding.Finding{Severity: finding.Warning, Code: "not-exported", File: p.File, Line: p.Line("plate"), Plate: p.ID,
				Message: fmt.Sprintf("plate %s has errors and is not in the table", p.ID), Remedy: "run check, mend the record, and export again"})
			continue
		}
		e := Of(a, p)
		entries, files = append(entries, e), append(files, p.File)
		for _, key := range e.Own() {
			own[key] = true
		}
	}
	header := []string{"file"}
	header = append(header, paths()...)
	header = append(header, "sitters")
	header = append(header, slices.Sorted(maps.Keys(own))...)
	header = append(header, "notes")
	err := sheet.Write(w, func(yield func([]string) bool) {
		if !yield(header) {
			return
		}
		for i, e := range entries {
			row := []string{files[i]}
			for _, key := range header[1:] {
				row = append(row, e.Text(key))
			}
			if !yield(row) {
				return
			}
		}
	})
	return left, err
}
