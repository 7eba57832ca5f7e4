// Package finding is what is wrong with an archive, said so that the
// photographer can mend it: how bad, which file and line, what was found, what
// is accepted, and what to do.
package finding

import (
	"cmp"
	"fmt"
	"slices"
)

// Severity says what a finding does to the plate it is about.
type Severity string

const (
	// Error leaves the plate out of everything that is published.
	Error Severity = "error"
	// Warning needs a decision: a plate is hidden, a number is doubtful.
	Warning Severity = "warning"
	// Remark is worth knowing and needs nothing.
	Remark Severity = "remark"
)

func (s Severity) rank() int {
	switch s {
	case Error:
		return 0
	case Warning:
		return 1
	}
	return 2
}

// Finding is one fault of the archive. File is relative to the archive, with
// slashes; Line counts from 1 and is 0 when the file as a whole is meant; Plate
// is a plate id or empty.
type Finding struct {
	Severity Severity
	Code     string // kebab-case, stable
	File     string
	Line     int
	Message  string
	Remedy   string
	Plate    string
}

// Where is "file:line", "file", or nothing.
func (f Finding) Where() string {
	switch {
	case f.File == "":
		return ""
	case f.Line > 0:
		return fmt.Sprintf("%s:%d", f.File, f.Line)
	}
	return f.File
}

func (f Finding) String() string {
	where := f.Where()
	if where != "" {
		where += ": "
	}
	return fmt.Sprintf("%s%s: %s", where, f.Severity, f.Message)
}

// Sort orders findings by file, line, severity and code, the order in which a
// person mends them.
func Sort(fs []Finding) {
	slices.SortStableFunc(fs, func(a, b Finding) int {
		return cmp.Or(
			cmp.Compare(a.File, b.File),
			cmp.Compare(a.Line, b.Line),
			cmp.Compare(a.Severity.rank(), b.Severity.rank()),
			cmp.Compare(a.Code, b.Code),
			cmp.Compare(a.Message, b.Message),
		)
	})
}

// Count is the number of findings of one severity.
func Count(fs []Finding, s Severity) int {
	n := 0
	for _, f := range fs {
		if f.Severity == s {
			n++
		}
	}
	return n
}
