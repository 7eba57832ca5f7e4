package bench

import (
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"sandarac/archive/bench/journal"
	"sandarac/archive/swap"
)

// A journal that came with somebody else's archive writes nothing outside it, and
// nothing that is no record.
func TestPlantedJournal(t *testing.T) {
	for _, to := range []string{"../planted.md", "a/../../planted.md", "/tmp/planted.md", ".sandarac/secret", "a/.hidden/x.md", `..\planted.md`, ""} {
		root := rooms(t)
		e := journal.Entry{ID: entryID(7), Kind: "plate", Result: "x", Files: []journal.File{{Path: "fine.md", Data: []byte("fine"), Mode: 0o644}, {Path: to, Data: []byte("planted"), Mode: 0o644}}}
		body, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		put(t, root, ".sandarac/bench/open/"+e.ID+".json", string(body))
		if _, err := OpenLogbook(t.Context(), root, at); err == nil || !strings.Contains(err.Error(), e.ID) {
			t.Errorf("%q: %v", to, err)
		}
		for _, name := range []string{"../planted.md", "fine.md", ".sandarac/secret", "/tmp/planted.md"} {
			if !filepath.IsAbs(name) {
				name = filepath.Join(root, name)
			}
			if _, err := os.Lstat(name); !errors.Is(err, fs.ErrNotExist) {
				t.Errorf("%q: %s was written", to, name)
			}
		}
	}
}

func TestLinkedJournal(t *testing.T) {
	if runtime.GOOS == "windows" {
		return // links need rights there
	}
	for _, name := range []string{".sandarac", ".sandarac/bench", ".sandarac/bench/open"} {
		root, home := rooms(t), t.TempDir()
		at := filepath.Join(root, filepath.FromSlash(name))
		if err := errors.Join(os.RemoveAll(at), os.MkdirAll(filepath.Dir(at), 0o755), os.Symlink(home, at)); err != nil {
			t.Fatal(err)
		}
		if _, err := OpenLogbook(t.Context(), root, nil); !errors.Is(err, swap.ErrSymlink) {
			t.Errorf("%s: %v", name, err)
		}
		if left, err := os.ReadDir(home); err != nil || len(left) > 0 {
			t.Errorf("%s: written to %v, %v", name, left, err)
		}
	}
}
