package record

import (
	"path"
	"path/filepath"
	"slices"
	"strings"
)

// Archive is everything that was read from one folder. Records whose id could
// not be read are not in the maps; Broken records are.
type Archive struct {
	Root    string // the folder, absolute
	Studio  *Studio
	Batches map[string]*Batch
	Clients map[string]*Client
	Sitters map[string]*Sitter
	Pages   map[string]*Page // by name
	Plates  []*Plate         // by Made, then ID; of two that claim one id both, broken
	// Orphans are images beside which no plate record stands.
	Orphans []string
	// Unreadable lists record files that could not be read at all.
	Unreadable []string
	// StraySitters and StrayClients are those of records that are left out for
	// want of an id of their own. Nobody refers to them; their names are still
	// private.
	StraySitters []*Sitter
	StrayClients []*Client

	plates map[string]*Plate
}

// Plate finds a plate by its id.
func (a *Archive) Plate(id string) (*Plate, bool) {
	p, ok := a.plates[id]
	return p, ok
}

// Path is the place on disk of a file of the archive.
func (a *Archive) Path(rel string) string {
	return filepath.Join(a.Root, filepath.FromSlash(rel))
}

// Sitter resolves a sitting to its sitter; false when the record is missing.
func (a *Archive) Sitter(s Sitting) (*Sitter, bool) {
	if s.Inline != nil {
		return s.Inline, true
	}
	if s.Ref == "" {
		return nil, false
	}
	sitter, ok := a.Sitters[s.Ref]
	return sitter, ok
}

// Batch finds a batch of a kind.
func (a *Archive) Batch(kind, id string) (*Batch, bool) {
	b, ok := a.Batches[id]
	return b, ok && b.Kind == kind
}

// AgeDays is the plate's age of collodion: the calendar day of Made less the
// day the batch was mixed. False when either is unknown.
func (a *Archive) AgeDays(p *Plate) (int, bool) {
	b, ok := a.Batch("collodion", p.Batches.Collodion)
	if !ok || b.Mixed.IsZero() || p.Made.IsZero() {
		return 0, false
	}
	return p.MadeOn().DaysSince(b.Mixed), true
}

// ImageExtensions are the endings of scans, best master first.
var ImageExtensions = []string{".tif", ".tiff", ".png", ".jpg", ".jpeg"}

// IsImage reports whether a file's name ends as a scan's does.
func IsImage(name string) bool {
	return slices.Contains(ImageExtensions, strings.ToLower(path.Ext(name)))
}

// stem is a file's path without its ending.
func stem(rel string) string { return strings.TrimSuffix(rel, path.Ext(rel)) }

func byMadeThenID(a, b *Plate) int {
	if c := a.Made.Compare(b.Made); c != 0 {
		return c
	}
	return strings.Compare(a.ID, b.ID)
}
