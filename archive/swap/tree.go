package swap

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// Mark is the file at the root of every folder that [Tree.Commit] put in place.
// A folder with other content and without it is never replaced. It tells whoever
// finds the folder what it is; uploads may leave it out.
const Mark = ".sandarac-tree"

// MarkText is the content of [Mark].
const MarkText = "Sandarac made this folder and replaces it whole at every build. Keep nothing of your own in it.\n"

var errUnsupported = errors.New("not supported here")

// exchangeNames is exchange; the tests also take the way of systems without it.
var exchangeNames = exchange

// Tree is a folder being prepared beside the one it will replace. The caller
// holds the archive's lock from [Begin] to [Tree.Commit] or [Tree.Discard].
type Tree struct {
	place string
	fresh string
	old   string
	once  bool // place must not exist, and gets no mark
}

// names gives the three places a tree knows: where it will stand, where it is
// prepared, and where the old one is put aside on systems that cannot exchange.
func names(place string) (*Tree, error) {
	place, err := filepath.Abs(place)
	if err != nil {
		return nil, explain(place, err)
	}
	// A link to the folder stays a link: what it points at is replaced.
	if real, err := filepath.EvalSymlinks(place); err == nil {
		place = real
	}
	parent, name := filepath.Split(place)
	if name == "" {
		return nil, &Error{Path: place, Why: "it is the root of a disk", Mend: "name a folder inside it", Err: ErrNotOurs}
	}
	return &Tree{
		place: place,
		fresh: filepath.Join(parent, "."+name+".sandarac-new"),
		old:   filepath.Join(parent, "."+name+".sandarac-old"),
	}, nil
}

// Begin makes an empty folder, on the same disk as place, in which its
// replacement is to be built. First it does what [Recover] does. It refuses if
// place is a file, or a folder with content that this package did not put there.
func Begin(place string) (*Tree, error) {
	t, err := names(place)
	if err != nil {
		return nil, err
	}
	if err := t.recover(); err != nil {
		return nil, err
	}
	if err := t.ours(); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(filepath.Dir(t.place), 0o755); err != nil {
		return nil, explain(t.place, err)
	}
	if err := os.Mkdir(t.fresh, 0o755); err != nil {
		return nil, explain(t.fresh, err)
	}
	return t, nil
}

// BeginNew makes an empty folder that will become place, which must not exist: a
// folder for others, without [Mark], that appears complete or not at all.
func BeginNew(place string) (*Tree, error) {
	t, err := names(place)
	if err != nil {
		return nil, err
	}
	t.once = true
	if exists(t.place) {
		return nil, explain(t.place, &fs.PathError{Op: "create", Path: t.place, Err: fs.ErrExist})
	}
	if err := os.RemoveAll(t.fresh); err != nil {
		return nil, explain(t.fresh, err)
	}
	if err := os.MkdirAll(t.fresh, 0o755); err != nil {
		return nil, explain(t.fresh, err)
	}
	return t, nil
}

// Dir is the folder to fill.
func (t *Tree) Dir() string { return t.fresh }

// Discard removes what was prepared; the old folder was never touched.
func (t *Tree) Discard() error { return explain(t.fresh, os.RemoveAll(t.fresh)) }

// Commit puts the prepared folder in place of the old one. Where the system can
// exchange two names (Linux, macOS), visitors see the one or the other at every
// moment; elsewhere there is an instant without either, which Recover mends if
// the process dies in it. If nothing changed, the old folder stays as it is; a
// file whose bytes did not change is the same file afterwards, with its inode and
// times, where the disk knows second names, and keeps its modification time in any
// case, so that copying programs send only what is new.
//
// After an error the old folder stands, and the prepared one too, for Discard.
func (t *Tree) Commit(ctx context.Context) (Changes, error) {
	if t.once {
		return t.commitNew(ctx)
	}
	if err := WriteFile(filepath.Join(t.fresh, Mark), []byte(MarkText), 0o644); err != nil {
		return Changes{}, err
	}
	moment("marked")
	changes, equal, err := compare(ctx, t.place, t.fresh)
	if err != nil {
		return changes, explain(t.place, err)
	}
	moment("compared")
	if !changes.Any() {
		return changes, t.Discard()
	}
	if err := adopt(ctx, t.place, t.fresh, equal); err != nil {
		return changes, explain(t.place, err)
	}
	moment("adopted")
	if err := syncTree(t.fresh); err != nil {
		return changes, explain(t.place, err)
	}
	moment("synced")
	if err := ctx.Err(); err != nil {
		return changes, err
	}
	return changes, explain(t.place, t.swap())
}

// commitNew puts the prepared folder where nothing may be.
func (t *Tree) commitNew(ctx context.Context) (Changes, error) {
	changes := Changes{}
	if err := files(t.fresh, func(string, fs.FileInfo) { changes.Added++ }); err != nil {
		return changes, explain(t.place, err)
	}
	if err := syncTree(t.fresh); err != nil {
		return changes, explain(t.place, err)
	}
	moment("new synced")
	if err := ctx.Err(); err != nil {
		return changes, err
	}
	if exists(t.place) {
		return changes, explain(t.place, &fs.PathError{Op: "create", Path: t.place, Err: fs.ErrExist})
	}
	err := renameNew(t.fresh, t.place)
	if errors.Is(err, errUnsupported) {
		err = Rename(t.fresh, t.place)
	}
	if err != nil {
		return changes, explain(t.place, err)
	}
	moment("new renamed")
	return changes, explain(t.place, syncDir(filepath.Dir(t.place)))
}

// swap renames. It is short and not to be interrupted.
func (t *Tree) swap() error {
	if err := dropEmpty(t.place); err != nil {
		return err
	}
	moment("empty dropped")
	if _, err := os.Lstat(t.place); errors.Is(err, fs.ErrNotExist) {
		if err := Rename(t.fresh, t.place); err != nil {
			return err
		}
		moment("first placed")
		return syncDir(filepath.Dir(t.place))
	}
	// From here on t.fresh or t.old holds the site of before. If it cannot be
	// removed now (a program has it open), the next Begin does.
	err := exchangeNames(t.fresh, t.place)
	if err == nil {
		moment("exchanged")
		if err := syncDir(filepath.Dir(t.place)); err != nil {
			return err
		}
		moment("exchange synced")
		os.RemoveAll(t.fresh)
		moment("old removed")
		return nil
	}
	if !errors.Is(err, errUnsupported) {
		return err
	}
	return t.renameTwice()
}

// renameTwice is the way of systems that cannot exchange names.
func (t *Tree) renameTwice() error {
	if err := Rename(t.place, t.old); err != nil {
		return err
	}
	moment("old aside")
	if err := Rename(t.fresh, t.place); err != nil {
		return errors.Join(err, Rename(t.old, t.place))
	}
	moment("new placed")
	if err := syncDir(filepath.Dir(t.place)); err != nil {
		return err
	}
	moment("new synced")
	os.RemoveAll(t.old)
	moment("aside removed")
	return nil
}
