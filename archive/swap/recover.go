package swap

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// Recover finishes or undoes what a run that was killed left beside place: a
// replacement that was complete is put in place, one that was not is removed,
// and place holds the old tree or the new one whole. With nothing left behind it
// does nothing. The caller holds the archive's lock.
func Recover(place string) error {
	t, err := names(place)
	if err != nil {
		return err
	}
	return t.recover()
}

// recover reads the state from which folders there are:
//
//	place  old  fresh   killed                        so
//	 yes    –    any    before, or after an exchange  remove fresh
//	 yes    yes  any    after both renames            remove old (and fresh)
//	 –      yes  yes    between the two renames       fresh → place, remove old
//	 –      yes  –      (someone removed fresh)       old → place
//	 –      –    yes    before the first was placed   remove fresh
//
// Fresh is complete in the third row because old is moved aside only then.
func (t *Tree) recover() error {
	if _, err := os.Lstat(t.old); err == nil {
		// A server may have made an empty folder in the gap.
		if err := dropEmpty(t.place); err != nil {
			return explain(t.place, err)
		}
		if err := t.finish(); err != nil {
			return explain(t.place, err)
		}
	}
	if err := os.RemoveAll(t.old); err != nil {
		return explain(t.old, err)
	}
	moment("recover: old removed")
	if err := os.RemoveAll(t.fresh); err != nil {
		return explain(t.fresh, err)
	}
	moment("recover: fresh removed")
	return nil
}

// finish sees to it that place exists, given that old does.
func (t *Tree) finish() error {
	if exists(t.place) {
		return nil
	}
	source := t.fresh
	if !exists(t.fresh) {
		source = t.old
	}
	if err := Rename(source, t.place); err != nil {
		return err
	}
	moment("recover: placed")
	return syncDir(filepath.Dir(t.place))
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

// litter is what file managers put into a folder by looking at it.
var litter = map[string]bool{".DS_Store": true, "Thumbs.db": true, "desktop.ini": true}

// isEmpty says whether a folder holds nothing but litter.
func isEmpty(dir string) (bool, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return false, err
	}
	for _, entry := range entries {
		if !litter[entry.Name()] {
			return false, nil
		}
	}
	return true, nil
}

// dropEmpty removes place if it is an empty folder.
func dropEmpty(place string) error {
	info, err := os.Lstat(place)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil || !info.IsDir() {
		return err
	}
	empty, err := isEmpty(place)
	if err != nil || !empty {
		return err
	}
	return os.RemoveAll(place)
}

// ours refuses a place that must not be replaced.
func (t *Tree) ours() error {
	info, err := os.Lstat(t.place)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return explain(t.place, err)
	}
	if !info.IsDir() {
		return &Error{Path: t.place, Why: "it is a file, not a folder", Mend: "name a folder", Err: ErrKind}
	}
	empty, err := isEmpty(t.place)
	if err != nil {
		return explain(t.place, err)
	}
	if empty || exists(filepath.Join(t.place, Mark)) {
		return nil
	}
	return &Error{
		Path: t.place,
		Why:  "the folder holds files that this tool did not put there, and would be replaced whole",
		Mend: "name a new or an empty folder",
		Err:  ErrNotOurs,
	}
}
