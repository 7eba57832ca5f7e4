package fixity

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"golang.org/x/sync/errgroup"
)

// state is what a file on disk looks like, and its sum once it was read.
type state struct {
	File
	size    int64
	modTime time.Time
	missing bool
	problem string // why it cannot be read, in words
	sum     Sum
	read    bool
}

// all gives the files that are listed and those that are recorded: what is no
// longer listed must still be what it was, as long as it is there.
func (m *Manifest) all(files []File) []File {
	files = slices.Clone(files)
	listed := map[string]bool{}
	for _, f := range files {
		listed[f.Path] = true
	}
	for path := range m.entries {
		if !listed[path] {
			kind := Master
			if strings.EqualFold(filepath.Ext(path), ".md") {
				kind = Sidecar
			}
			files = append(files, File{path, kind})
		}
	}
	return sortFiles(files)
}

// look stats every file, without following links.
func look(root *os.Root, files []File) []*state {
	out := make([]*state, len(files))
	for i, f := range files {
		s := &state{File: f}
		out[i] = s
		info, err := root.Lstat(filepath.FromSlash(f.Path))
		switch {
		case errors.Is(err, fs.ErrNotExist):
			s.missing = true
		case err != nil:
			s.problem = err.Error()
		case !info.Mode().IsRegular():
			s.problem = "it is not a plain file"
		default:
			s.size, s.modTime = info.Size(), info.ModTime()
		}
	}
	return out
}

// pieceSize is how much is read at a time: enough to keep a disk busy, little
// enough to be cancelled soon.
const pieceSize = 1 << 20

var pieces = sync.Pool{New: func() any { b := make([]byte, pieceSize); return &b }}

// readAll takes the sums of files, several at a time. A file that cannot be read
// has a problem; the error is only a cancelled context.
func readAll(ctx context.Context, root *os.Root, files []*state, progress Progress) error {
	total := int64(0)
	for _, s := range files {
		total += s.size
	}
	tell := progress.counter(total)
	group, inner := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	for _, s := range files {
		if inner.Err() != nil {
			break
		}
		group.Go(func() error {
			h := sha256.New()
			size, err := readInto(inner, root, s.Path, h, tell)
			if inner.Err() != nil {
				return inner.Err()
			}
			if err == nil && size != s.size {
				err = fmt.Errorf("it changed while it was read")
			}
			if err != nil {
				s.problem = err.Error()
				return nil
			}
			s.read = true
			h.Sum(s.sum[:0])
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		return err
	}
	return ctx.Err()
}

// readInto feeds a file to w piece by piece.
func readInto(ctx context.Context, root *os.Root, path string, w io.Writer, tell func(int64)) (int64, error) {
	f, err := root.Open(filepath.FromSlash(path))
	if err != nil {
		return 0, err
	}
	defer f.Close()
	buf := pieces.Get().(*[]byte)
	defer pieces.Put(buf)
	size := int64(0)
	for {
		if err := ctx.Err(); err != nil {
			return size, err
		}
		n, err := f.Read(*buf)
		if n > 0 {
			if _, err := w.Write((*buf)[:n]); err != nil {
				return size, err
			}
			size += int64(n)
			tell(int64(n))
		}
		if errors.Is(err, io.EOF) {
			return size, nil
		}
		if err != nil {
			return size, err
		}
	}
}
