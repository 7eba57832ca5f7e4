package daybook

import (
	"strings"

	"sandarac/archive/record"
)

// SourceKey is the own key that a record made from a row of a table carries, if
// its id does not come from the table: "plates.csv 3f9a17c2b04d", the table's
// name and a sum of the row. The row is known by it when the table is read again.
const SourceKey = "x_source"

// PrivateFolder holds what belongs to the archive and is no record: signatures
// of sitters. Their endings (.svg, .txt) are none that record reads, so they are
// never taken for a scan or a plate.
const PrivateFolder = "private"

// Source is a plate that was made from a row.
type Source struct {
	Table, Sum string
	Plate      string
	Day        record.Date
}

// Sources lists the plates that were made from rows of a table before.
func (b *Book) Sources(table string) []Source {
	var out []Source
	for _, p := range b.Archive.Plates {
		i := strings.LastIndexByte(p.Extra[SourceKey], ' ')
		if i > 0 && p.Extra[SourceKey][:i] == table {
			out = append(out, Source{table, p.Extra[SourceKey][i+1:], p.ID, p.MadeOn()})
		}
	}
	return out
}
