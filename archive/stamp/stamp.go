// Package stamp tells whether a folder is as it was, from what the file system
// says of each name and, as a rule, without opening a file.
//
// In goes a folder, out come its names with kind, permissions, size, time of
// change and inode, and one sum over them all. Equal sums mean the same names with
// the same content as far as those can tell, and they cannot tell of one thing: a
// file that was written twice within a tick of the disk's clock. [Tree.Young] lists
// the files for which that could still happen; their content goes into the sum.
package stamp

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"hash"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// Sum stands for a folder as it was.
type Sum [sha256.Size]byte

// Tree is a folder as it was found.
type Tree struct {
	dir     string
	entries []entry
	Files   int // of the entries, those that are not folders
}

// entry is one name below the folder.
type entry struct {
	name    string // relative, with slashes
	mode    fs.FileMode
	size    int64
	changed int64 // ns: of the content
	touched int64 // ns: of anything, the content's time included; 0 where the system does not say
	inode   uint64
}

// Read lists everything below dir but what skip (nil for nothing) refuses; of a
// refused folder, all that is in it. A link is listed and not followed.
func Read(ctx context.Context, dir string, skip func(name string) bool) (*Tree, error) {
	t := &Tree{dir: dir}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || path == dir {
			return err
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		name := filepath.ToSlash(path[len(dir):])
		if name[0] == '/' {
			name = name[1:]
		}
		if skip != nil && skip(name) {
			if d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		if d.IsDir() {
			t.entries = append(t.entries, entry{name: name, mode: fs.ModeDir})
			return nil
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		t.entries, t.Files = append(t.entries, newEntry(name, info)), t.Files+1
		return nil
	})
	return t, err
}

func newEntry(name string, info fs.FileInfo) entry {
	e := entry{name: name, mode: info.Mode(), size: info.Size(), changed: info.ModTime().UnixNano()}
	e.touched, e.inode = beyond(info)
	return e
}

// tick is longer than the coarsest clock of a file system in use: FAT counts two
// seconds.
const tick = 3 * time.Second

// Young gives the files that were written less than a tick before now, by the
// clock of their disk, or after it: were such a file written again at once, its
// times might not show it.
func (t *Tree) Young(now time.Time) []string {
	var young []string
	for _, e := range t.entries {
		last := e.touched
		if last == 0 {
			last = e.changed
		}
		if e.mode.IsRegular() && last > now.Add(-tick).UnixNano() {
			young = append(young, e.name)
		}
	}
	return young
}

// Size is the length in bytes of the named files together.
func (t *Tree) Size(names []string) int64 {
	wanted, n := set(names), int64(0)
	for _, e := range t.entries {
		if wanted[e.name] {
			n += e.size
		}
	}
	return n
}

// Sum is the sum over all entries. Of the named files it takes the content and not
// the times; names that are not in the tree do not count.
func (t *Tree) Sum(ctx context.Context, byContent []string) (Sum, error) {
	wanted, sum := set(byContent), sha256.New()
	var line []byte
	for _, e := range t.entries {
		line = binary.AppendUvarint(line[:0], uint64(len(e.name)))
		line = append(line, e.name...)
		line = binary.LittleEndian.AppendUint32(line, uint32(e.mode))
		if e.mode.IsRegular() && wanted[e.name] {
			line = append(line, "content"...)
			if err := content(ctx, sum, line, filepath.Join(t.dir, filepath.FromSlash(e.name))); err != nil {
				return Sum{}, err
			}
			continue
		}
		for _, n := range []int64{e.size, e.changed, e.touched, int64(e.inode)} {
			line = binary.LittleEndian.AppendUint64(line, uint64(n))
		}
		sum.Write(line)
	}
	return Sum(sum.Sum(nil)), nil
}

// content adds an entry's line and what is in the file.
func content(ctx context.Context, sum hash.Hash, line []byte, path string) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	own := sha256.New()
	if _, err := io.Copy(own, f); err != nil {
		return err
	}
	sum.Write(own.Sum(line))
	return nil
}

func set(names []string) map[string]bool {
	out := make(map[string]bool, len(names))
	for _, n := range names {
		out[n] = true
	}
	return out
}

// File is the stamp of one file that is not in a tree, links followed.
func File(path string) (Sum, error) {
	info, err := os.Stat(path)
	if err != nil {
		return Sum{}, err
	}
	t := Tree{entries: []entry{newEntry(path, info)}}
	return t.Sum(context.Background(), nil)
}
