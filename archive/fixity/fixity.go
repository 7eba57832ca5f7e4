// Package fixity keeps checksums of masters and sidecars, finds out when one is
// no longer what it was, and hands files on as a BagIt bag (RFC 8493).
//
// In go a folder and the list of files that matter in it; out come findings. The
// sums lie in one text file in the archive's own folder, in the line syntax of
// BagIt and of sha256sum, beside it what a quick check needs: size, time, and
// when each file was last read whole. The manifest has a sum of its own and its
// previous generation. A master that changed is an error and never an update,
// until the photographer names the file; a sidecar is meant to be edited.
//
// Files are opened through os.Root: nothing outside the folder is read. Nothing
// but the manifest is written, and of bags nothing is ever fetched.
package fixity

import (
	"cmp"
	"slices"
	"sync"
	"time"
)

// Kind tells what may happen to a file.
type Kind uint8

const (
	Master  Kind = iota // a scan: never changes
	Sidecar             // a record: is edited on purpose
)

// File is one file that matters. Path is relative to the archive, with slashes.
type File struct {
	Path string
	Kind Kind
}

// Sum is a SHA-256.
type Sum [32]byte

// Entry is what is known of a file.
type Entry struct {
	Sum Sum
	Facts
}

// Facts are for the quick check. Zero values mean not known.
type Facts struct {
	Size    int64
	ModTime time.Time // as the file system tells it
	Checked time.Time // when it was last read whole and found right
}

// same says whether a file still looks as it did when its sum was taken.
func (f Facts) same(size int64, modTime time.Time) bool {
	return !f.ModTime.IsZero() && f.Size == size && f.ModTime.Equal(modTime)
}

// Report counts what a run met.
type Report struct {
	Files    int // that were listed
	Added    int // recorded now (record), or not recorded yet (verify)
	Same     int // read and found right, or by size and time the same
	Edited   int // sidecars edited since
	Replaced int // changed files that were named, and recorded anew
	Changed  int // masters that are not what they were; sidecars changed without being written
	Moved    int // the same bytes under another name
	Missing  int
	Read     int   // files read whole
	Bytes    int64 // read
}

// Progress is told how many bytes of how many are read, one call at a time.
type Progress func(done, total int64)

// counter gives a function that many may call with the bytes they have read.
func (p Progress) counter(total int64) func(n int64) {
	if p == nil {
		return func(int64) {}
	}
	var mu sync.Mutex
	done := int64(0)
	return func(n int64) {
		mu.Lock()
		defer mu.Unlock()
		done += n
		p(done, total)
	}
}

func sortFiles(files []File) []File {
	files = slices.Clone(files)
	slices.SortFunc(files, func(a, b File) int { return cmp.Or(cmp.Compare(a.Path, b.Path), cmp.Compare(a.Kind, b.Kind)) })
	return slices.CompactFunc(files, func(a, b File) bool { return a.Path == b.Path })
}
