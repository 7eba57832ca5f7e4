package bench

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"sandarac/archive/bench/journal"
	"sandarac/archive/swap"
)

// ownFolder refuses an archive in which what the form keeps for itself is a
// link: an archive that somebody else made could have it lie anywhere.
func ownFolder(root string) error {
	for _, name := range []string{".sandarac", ".sandarac/bench", ".sandarac/bench/open", ".sandarac/bench/done"} {
		at := filepath.Join(root, filepath.FromSlash(name))
		if info, err := os.Lstat(at); err == nil && info.Mode()&fs.ModeSymlink != 0 {
			return &swap.Error{Path: at, Why: "it is a symbolic link, and what the form keeps for itself must lie in the archive", Mend: "remove the link; the form makes what it needs", Err: swap.ErrSymlink}
		}
	}
	return nil
}

// inside refuses an entry of the journal whose files would not be scans and
// records of this archive. The form writes no such entry; one that came with a
// copied archive could hold anything.
func inside(e journal.Entry) error {
	if len(e.Files) == 0 {
		return fmt.Errorf("entry %s of the journal has no files; remove it from .sandarac/bench/open", e.ID)
	}
	for _, f := range e.Files {
		hidden := strings.HasPrefix(f.Path, ".") || strings.Contains(f.Path, "/.")
		if hidden || !filepath.IsLocal(filepath.FromSlash(f.Path)) || strings.ContainsAny(f.Path, "\\\x00") {
			return fmt.Errorf("entry %s of the journal is for %q, which is no place for a scan or a record of this archive; look at it, and remove it from .sandarac/bench/open", e.ID, f.Path)
		}
	}
	return nil
}
