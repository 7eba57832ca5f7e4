// Package journal makes files of an archive exactly once for each entry that a
// device sends, however often it is sent and wherever the process dies.
//
// In go an entry's id, made on the device, and the files it becomes; out comes
// what was written for that id, now or before. Begin puts the whole entry on the
// disk, then its files are made, then Finish says so: what was begun and not
// finished is made by the next run. Files that are there already are never
// written over: the caller chooses another place and begins again. The one file
// that an entry may replace is a record it changes, and only while that holds
// what the change was made from.
//
// The journal is two folders of small files, open and done, in the tool's own
// folder of the archive. Losing it loses no record; it only means that an entry
// which a device sends once more would be written once more.
package journal

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"sandarac/archive/swap"
)

// File is a file of the archive that an entry becomes.
type File struct {
	Path string      `json:"path"` // relative to the archive, with slashes
	Data []byte      `json:"data,omitempty"`
	Mode fs.FileMode `json:"mode"`
	// Was is a sum (SHA-256, hex) of the content that Data takes the place of, in
	// a record that is there; empty for a file that is to be new.
	Was string `json:"was,omitempty"`
}

// Entry is what was sent and what it became.
type Entry struct {
	ID     string    `json:"id"`
	Kind   string    `json:"kind"`   // "plate", "consent", "picture" or "change"
	Sum    string    `json:"sum"`    // of what was sent
	Sent   []byte    `json:"sent"`   // what was sent, to make it anew elsewhere
	Result string    `json:"result"` // id of the record it became
	Files  []File    `json:"files"`
	When   time.Time `json:"when"`
}

// Journal is the journal of one archive. It may be used from several goroutines,
// but one entry only by one at a time.
type Journal struct{ dir string }

// Errors of a journal.
var (
	// ErrUnknown: no entry of that id was begun.
	ErrUnknown = errors.New("no such entry")
	// ErrBadID: the id is not one that a device makes.
	ErrBadID = errors.New("an entry's id is 16 to 40 small letters and digits")
)

var validID = regexp.MustCompile(`^[a-z0-9]{16,40}$`)

// ValidID reports whether an id may name an entry.
func ValidID(id string) bool { return validID.MatchString(id) }

// keepMost is the size in bytes up to which a finished entry keeps the bytes of
// its files; pictures are not kept twice.
const keepMost = 64 << 10

// Open opens the journal below a folder, making it if need be.
func Open(dir string) (*Journal, error) {
	for _, sub := range []string{"open", "done"} {
		if err := os.MkdirAll(filepath.Join(dir, sub), 0o700); err != nil {
			return nil, fmt.Errorf("opening the journal of the bench: %w", err)
		}
	}
	return &Journal{dir}, nil
}

func (j *Journal) path(sub, id string) string { return filepath.Join(j.dir, sub, id+".json") }

// Find finds an entry and says whether it is finished. The error is ErrUnknown if
// it was never begun.
func (j *Journal) Find(id string) (e Entry, done bool, err error) {
	if !ValidID(id) {
		return Entry{}, false, ErrBadID
	}
	if e, err = j.read("done", id); err == nil {
		return e, true, nil
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return Entry{}, false, err
	}
	e, err = j.read("open", id)
	if errors.Is(err, fs.ErrNotExist) {
		return Entry{}, false, ErrUnknown
	}
	return e, false, err
}

func (j *Journal) read(sub, id string) (Entry, error) {
	data, err := os.ReadFile(j.path(sub, id))
	if err != nil {
		return Entry{}, err
	}
	var e Entry
	if err := json.Unmarshal(data, &e); err != nil {
		return Entry{}, fmt.Errorf("reading the journal of the bench, entry %s: %w", id, err)
	}
	return e, nil
}

// Begin puts an entry on the disk before its files are made, or puts another
// place for them in its stead.
func (j *Journal) Begin(e Entry) error {
	if !ValidID(e.ID) {
		return ErrBadID
	}
	data, err := json.Marshal(e)
	if err != nil {
		return err
	}
	return swap.WriteFile(j.path("open", e.ID), data, 0o600)
}

// Drop forgets an entry of which nothing was made.
func (j *Journal) Drop(id string) error { return os.Remove(j.path("open", id)) }

// Finish says that an entry's files are there.
func (j *Journal) Finish(e Entry) error {
	size := 0
	for _, f := range e.Files {
		size += len(f.Data)
	}
	if size <= keepMost {
		return swap.Rename(j.path("open", e.ID), j.path("done", e.ID))
	}
	files := slices.Clone(e.Files)
	for i := range files {
		files[i].Data = nil
	}
	e.Files = files
	data, err := json.Marshal(e)
	if err != nil {
		return err
	}
	if err := swap.WriteFile(j.path("done", e.ID), data, 0o600); err != nil {
		return err
	}
	return os.Remove(j.path("open", e.ID))
}

// Unfinished lists the entries that were begun and not finished, oldest first.
func (j *Journal) Unfinished() ([]Entry, error) {
	names, err := os.ReadDir(filepath.Join(j.dir, "open"))
	if err != nil {
		return nil, err
	}
	var out []Entry
	for _, n := range names {
		id, ok := strings.CutSuffix(n.Name(), ".json")
		if !ok || !ValidID(id) {
			continue
		}
		e, err := j.read("open", id)
		if err != nil {
			return nil, err
		}
		if _, done, err := j.Find(id); err == nil && done {
			_ = os.Remove(j.path("open", id)) // it was finished; only the tidying was not
			continue
		}
		out = append(out, e)
	}
	slices.SortFunc(out, func(a, b Entry) int { return a.When.Compare(b.When) })
	return out, nil
}
