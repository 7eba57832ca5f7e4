package swap

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// ErrChanged: the file does not hold what the caller read any more.
var ErrChanged = errors.New("the file was changed meanwhile")

// keptPrefix begins the names of drafts of ReplaceIf. Sweep leaves them alone:
// what a kill leaves under such a name may be the only copy of an edit.
const keptPrefix = ".sandarac-before-"

// ReplaceIf makes data the whole content of the file at path if the file still
// holds old; if not, it returns an error for which errors.Is(err, ErrChanged)
// holds and the file stays as its last writer left it. The file keeps its
// permissions.
//
// It is for files that people edit while a program changes them. Between
// programs a lock decides; an editor holds none and may save at any moment. So
// old and new trade names in one step, and what came out is compared: if an
// editor was faster, they trade back. Where the system knows no such step
// (Windows), the file is read once more right before it is renamed over, and an
// editor that saves between these two is not noticed.
func ReplaceIf(path string, old, data []byte) error {
	info, err := os.Lstat(path)
	if err != nil {
		return explain(path, err)
	}
	if err := plainOrAbsent(path); err != nil {
		return err
	}
	if err := holds(path, old); err != nil {
		return explain(path, err)
	}
	dir := filepath.Dir(path)
	draft, err := os.CreateTemp(dir, keptPrefix+"*")
	if err != nil {
		return explain(path, err)
	}
	moment("draft made")
	err = fill(draft, data, info.Mode().Perm())
	if err == nil {
		err = os.Chmod(draft.Name(), info.Mode().Perm()) // the file's own, whatever the umask is now
	}
	if err != nil {
		os.Remove(draft.Name())
		return explain(path, err)
	}
	moment("draft filled")
	if err := trade(draft.Name(), path, old, data); err != nil {
		return explain(path, err)
	}
	return explain(path, syncDir(dir))
}

// holds says whether a file holds exactly these bytes: nil, ErrChanged, or why
// it cannot be read.
func holds(path string, want []byte) error {
	got, err := os.ReadFile(path)
	if err == nil && !bytes.Equal(got, want) {
		return ErrChanged
	}
	return err
}

// trade gives draft, which holds data, the name path if path holds old. The
// draft is gone afterwards, unless it holds what cannot be put back.
func trade(draft, path string, old, data []byte) error {
	err := holds(path, old) // once more: writing the draft took its time
	if err == nil {
		err = exchangeNames(draft, path)
	}
	if errors.Is(err, errUnsupported) {
		err = replaceFile(path, data, perm(path))
		return errors.Join(err, os.Remove(draft))
	}
	if err != nil {
		os.Remove(draft)
		return err
	}
	moment("traded")
	err = holds(draft, old)
	if err == nil {
		// An editor that had the old file open may be writing into it still.
		if err = syncDir(filepath.Dir(path)); err == nil {
			err = holds(draft, old)
		}
	}
	if err == nil {
		return os.Remove(draft)
	}
	// An editor was faster. Its save goes back to its place; should it have saved
	// again meanwhile, over ours, then that later save does.
	if back := exchangeNames(draft, path); back != nil {
		return errors.Join(err, back)
	}
	moment("traded back")
	if later := holds(draft, data); errors.Is(later, ErrChanged) {
		if back := exchangeNames(draft, path); back != nil {
			return errors.Join(err, back)
		}
	}
	return errors.Join(err, os.Remove(draft))
}

func perm(path string) fs.FileMode {
	if info, err := os.Lstat(path); err == nil {
		return info.Mode().Perm()
	}
	return 0o644
}
