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
	"sync"

	"golang.org/x/sync/errgroup"
)

// Changes counts files of a new tree against the old one.
type Changes struct {
	Added, Changed, Removed, Same int
}

// Any says whether the two trees differ.
func (c Changes) Any() bool { return c.Added+c.Changed+c.Removed > 0 }

// pair is a path with a file in both trees, which hold the same bytes.
type pair struct {
	name       string
	old, fresh fs.FileInfo
}

// compare counts, and lists what is equal and yet two files.
func compare(ctx context.Context, place, fresh string) (Changes, []pair, error) {
	if !exists(place) {
		n := 0
		err := filepath.WalkDir(fresh, func(_ string, entry fs.DirEntry, err error) error {
			if err == nil && !entry.IsDir() {
				n++
			}
			return err
		})
		return Changes{Added: n}, nil, err
	}
	old := map[string]fs.FileInfo{}
	if err := files(place, func(name string, info fs.FileInfo) { old[name] = info }); err != nil {
		return Changes{}, nil, err
	}
	var c Changes
	var alike []pair // in size and kind; their bytes are compared next
	err := files(fresh, func(name string, info fs.FileInfo) {
		before, known := old[name]
		delete(old, name)
		switch {
		case !known:
			c.Added++
		case os.SameFile(before, info): // linked from one cache: nothing is read
			c.Same++
		case !before.Mode().IsRegular() || before.Mode() != info.Mode() || before.Size() != info.Size():
			c.Changed++
		default:
			alike = append(alike, pair{name, before, info})
		}
	})
	if err != nil {
		return Changes{}, nil, err
	}
	c.Removed = len(old)
	equal, err := equals(ctx, place, fresh, alike)
	c.Same, c.Changed = c.Same+len(equal), c.Changed+len(alike)-len(equal)
	return c, equal, err
}

// equals gives those of the pairs that hold the same bytes.
func equals(ctx context.Context, place, fresh string, alike []pair) ([]pair, error) {
	same := make([]bool, len(alike))
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i, p := range alike {
		group.Go(func() (err error) {
			if err := ctx.Err(); err != nil {
				return err
			}
			same[i], err = sameBytes(filepath.Join(place, p.name), filepath.Join(fresh, p.name))
			return err
		})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	equal := alike[:0]
	for i, p := range alike {
		if same[i] {
			equal = append(equal, p)
		}
	}
	return equal, nil
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

// linkSuffix ends a name that no file of a tree has.
const linkSuffix = ".sandarac-same"

// adopt puts the old file of each pair, by a second name, where the new one is: it
// keeps its inode and its times, and programs that copy trees by either send only
// what is new. Where the disk knows no second names, the new one gets the time of
// the old at least.
func adopt(ctx context.Context, place, fresh string, equal []pair) error {
	for _, p := range equal {
		if err := ctx.Err(); err != nil {
			return err
		}
		to := filepath.Join(fresh, p.name)
		second := to + linkSuffix
		if os.Link(filepath.Join(place, p.name), second) == nil {
			if os.Rename(second, to) == nil {
				continue
			}
			os.Remove(second)
		}
		if p.old.ModTime().Equal(p.fresh.ModTime()) {
			continue
		}
		if err := os.Chtimes(to, p.old.ModTime(), p.old.ModTime()); err != nil {
			return err
		}
	}
	return nil
}

// buffers are what two files are compared by; a tree of many small files would spend more
// on making them than on reading.
type buffers struct{ a, b [64 << 10]byte }

var comparing = sync.Pool{New: func() any { return new(buffers) }}

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
	buf := comparing.Get().(*buffers)
	defer comparing.Put(buf)
	for {
		n, errA := io.ReadFull(fa, buf.a[:])
		m, errB := io.ReadFull(fb, buf.b[:])
		if !bytes.Equal(buf.a[:n], buf.b[:m]) {
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
