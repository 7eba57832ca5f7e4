package swap

import (
	"bytes"
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"sync/atomic"

	"golang.org/x/sync/errgroup"
)

// Changes counts files of a new tree against the old one.
type Changes struct {
	Added, Changed, Removed, Same int
}

// Any says whether the two trees differ.
func (c Changes) Any() bool { return c.Added+c.Changed+c.Removed > 0 }

// compare counts, and gives each file of fresh that has the bytes of the one at
// the same path in place that one's modification time.
func compare(ctx context.Context, place, fresh string) (Changes, error) {
	if !exists(place) {
		n := 0
		err := filepath.WalkDir(fresh, func(_ string, entry fs.DirEntry, err error) error {
			if err == nil && !entry.IsDir() {
				n++
			}
			return err
		})
		return Changes{Added: n}, err
	}
	old := map[string]fs.FileInfo{}
	if err := files(place, func(name string, info fs.FileInfo) { old[name] = info }); err != nil {
		return Changes{}, err
	}
	var added, changed, same atomic.Int64
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	err := files(fresh, func(name string, info fs.FileInfo) {
		before, known := old[name]
		delete(old, name)
		if !known {
			added.Add(1)
			return
		}
		group.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			equal, err := adopt(filepath.Join(place, name), before, filepath.Join(fresh, name), info)
			if equal {
				same.Add(1)
			} else {
				changed.Add(1)
			}
			return err
		})
	})
	err = errors.Join(group.Wait(), err)
	return Changes{int(added.Load()), int(changed.Load()), len(old), int(same.Load())}, err
}

// files calls f with the slash-less relative name of everything below dir that
// is not a folder.
func files(dir string, f func(name string, info fs.FileInfo)) error {
	return filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		info, err := entry.Info()
		if err != nil {
			return err
		}
		name, err := filepath.Rel(dir, path)
		if err == nil {
			f(name, info)
		}
		return err
	})
}

// adopt says whether two files are equal, and if so gives the new one the time
// of the old. Files linked from one cache are the same file: nothing is read.
func adopt(oldPath string, old fs.FileInfo, newPath string, fresh fs.FileInfo) (bool, error) {
	if os.SameFile(old, fresh) {
		return true, nil
	}
	if !old.Mode().IsRegular() || !fresh.Mode().IsRegular() || old.Size() != fresh.Size() {
		return false, nil
	}
	equal, err := sameBytes(oldPath, newPath)
	if err != nil || !equal {
		return false, err
	}
	if old.ModTime().Equal(fresh.ModTime()) {
		return true, nil
	}
	return true, os.Chtimes(newPath, old.ModTime(), old.ModTime())
}

// sameBytes compares two files of equal size piece by piece.
func sameBytes(a, b string) (bool, error) {
	fa, err := os.Open(a)
	if err != nil {
		return false, err
	}
	defer fa.Close()
	fb, err := os.Open(b)
	if err != nil {
		return false, err
	}
	defer fb.Close()
	bufA, bufB := make([]byte, 64<<10), make([]byte, 64<<10)
	for {
		n, errA := io.ReadFull(fa, bufA)
		m, errB := io.ReadFull(fb, bufB)
		if !bytes.Equal(bufA[:n], bufB[:m]) {
			return false, nil
		}
		ended := errors.Is(errA, io.EOF) || errors.Is(errA, io.ErrUnexpectedEOF)
		if ended && (errors.Is(errB, io.EOF) || errors.Is(errB, io.ErrUnexpectedEOF)) {
			return true, nil
		}
		if err := errors.Join(errA, errB); err != nil {
			return false, err
		}
	}
}

// Place puts the file at from also at to, which must not exist: as a second name
// of the same file where the disk can do that, so that a thousand pictures cost
// nothing to carry from the cache into a tree, else as a copy with the same time.
func Place(from, to string) error {
	err := os.Link(from, to)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return explain(to, err)
	}
	return explain(to, duplicate(from, to))
}

// duplicate copies a file with its time and permissions; no half copy stays.
func duplicate(from, to string) error {
	source, err := os.Open(from)
	if err != nil {
		return err
	}
	defer source.Close()
	info, err := source.Stat()
	if err != nil {
		return err
	}
	target, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, info.Mode().Perm())
	if err != nil {
		return err
	}
	_, err = io.Copy(target, source)
	if err = errors.Join(err, target.Close()); err == nil {
		err = os.Chtimes(to, info.ModTime(), info.ModTime())
	}
	if err != nil {
		os.Remove(to)
	}
	return err
}
