package swap

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"time"
)

// WriteFile makes data the whole content of the file at path, or leaves what
// was there. The folder must exist. The bytes and the name are on the disk when
// it returns.
//
// A file that exists keeps its permissions, as with os.WriteFile; but a mode
// without rights for others (0600) is always enforced, so that a secret does
// not inherit a careless one. A symbolic link or a folder at path is refused.
func WriteFile(path string, data []byte, mode fs.FileMode) error {
	if err := plainOrAbsent(path); err != nil {
		return err
	}
	if err := replaceFile(path, data, mode.Perm()); err != nil {
		return explain(path, err)
	}
	return explain(path, syncDir(filepath.Dir(path)))
}

// WriteChanged is WriteFile for content that is often the same: it writes, and
// says true, only if the file does not hold data already.
func WriteChanged(path string, data []byte, mode fs.FileMode) (bool, error) {
	if info, err := os.Lstat(path); err == nil && info.Mode().IsRegular() && info.Size() == int64(len(data)) {
		if old, err := os.ReadFile(path); err == nil && bytes.Equal(old, data) {
			return false, nil
		}
	}
	return true, WriteFile(path, data, mode)
}

// CreateNew writes data to a file at path that must not exist yet: afterwards it
// is there complete, or (with an error) it is not there at all. Anything of that
// name, a dangling link too, is an error for which errors.Is(err, fs.ErrExist)
// holds, and is left alone; of several writers at once exactly one succeeds.
func CreateNew(path string, data []byte, mode fs.FileMode) error {
	if _, err := os.Lstat(path); err == nil {
		return explain(path, &fs.PathError{Op: "create", Path: path, Err: fs.ErrExist})
	}
	dir := filepath.Dir(path)
	draft, err := os.CreateTemp(dir, draftPrefix+"*")
	if err != nil {
		return explain(path, err)
	}
	// After a move the draft's name is gone already, which is what is wanted.
	defer os.Remove(draft.Name())
	moment("draft made")
	if err := fill(draft, data, mode.Perm()); err != nil {
		return explain(path, err)
	}
	moment("draft filled")
	if err := settle(draft.Name(), path); err != nil {
		return explain(path, err)
	}
	moment("draft settled")
	os.Remove(draft.Name())
	return explain(path, syncDir(dir))
}

// fill writes data to f, sets its mode, and closes it with the bytes on disk.
func fill(f *os.File, data []byte, mode fs.FileMode) error {
	_, err := f.Write(data)
	if err == nil {
		err = setMode(f, mode)
	}
	if err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}

// plainOrAbsent refuses what a rename would silently put an end to.
func plainOrAbsent(path string) error {
	info, err := os.Lstat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return explain(path, err)
	case info.Mode()&fs.ModeSymlink != 0:
		return &Error{Path: path, Why: "it is a symbolic link", Mend: "put the file itself in its place", Err: ErrSymlink}
	case !info.Mode().IsRegular():
		return &Error{Path: path, Why: "it is not a plain file", Mend: "move it away first", Err: ErrKind}
	}
	return nil
}

const draftPrefix = ".sandarac-draft-"

// draftName matches what a killed WriteFile (a dot, the name, renameio's random
// number) or CreateNew leaves behind.
var draftName = regexp.MustCompile(`^\.(.+\d{14,19}|sandarac-draft-\d+)$`)

// draftAge is how old a draft must be before Sweep takes it for abandoned.
const draftAge = time.Hour

// Sweep removes from dir (not from below it) the unfinished drafts that killed
// runs left there, once they are an hour old, and returns their names. A draft
// was never the file it was to become, so nothing that was ever there is lost.
func Sweep(dir string) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, explain(dir, err)
	}
	var gone []string
	for _, entry := range entries {
		if !entry.Type().IsRegular() || !draftName.MatchString(entry.Name()) {
			continue
		}
		info, err := entry.Info()
		if err != nil || time.Since(info.ModTime()) < draftAge {
			continue
		}
		path := filepath.Join(dir, entry.Name())
		if err := os.Remove(path); err != nil {
			return gone, explain(path, err)
		}
		gone = append(gone, entry.Name())
	}
	return gone, nil
}
