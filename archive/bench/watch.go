package bench

import (
	"context"
	"io/fs"
	"path/filepath"
	"strings"
	"time"

	"github.com/fsnotify/fsnotify"

	"sandarac/archive/record"
)

// quiet is how long an archive must be left alone before a change counts: a
// scanning program writes a file in many pieces.
const quiet = 700 * time.Millisecond

// Watch calls changed when records or scans below root have changed and were
// then left alone for a moment, until the context ends. Folders of the tool and
// of built sites are not watched.
func Watch(ctx context.Context, root string, skip []string, changed func()) error {
	w, err := fsnotify.NewWatcher()
	if err != nil {
		return err
	}
	defer w.Close()
	if err := addFolders(w, root, skip); err != nil {
		return err
	}
	timer := time.NewTimer(time.Hour)
	timer.Stop()
	for {
		select {
		case <-ctx.Done():
			return nil
		case e, ok := <-w.Events:
			if !ok {
				return nil
			}
			if e.Has(fsnotify.Create) {
				_ = addFolders(w, e.Name, skip) // a file is simply not a folder
			}
			if concerns(e) {
				timer.Reset(quiet)
			}
		case <-w.Errors:
			// The queue overflowed or a folder went away: look again.
			timer.Reset(quiet)
		case <-timer.C:
			changed()
		}
	}
}

func concerns(e fsnotify.Event) bool {
	if e.Op == fsnotify.Chmod {
		return false
	}
	name := filepath.Base(e.Name)
	if strings.HasPrefix(name, ".") {
		return false
	}
	ext := strings.ToLower(filepath.Ext(name))
	return ext == ".md" || ext == ".markdown" || ext == "" || record.IsImage(name)
}

func addFolders(w *fsnotify.Watcher, root string, skip []string) error {
	return filepath.WalkDir(root, func(p string, e fs.DirEntry, err error) error {
		if err != nil || !e.IsDir() {
			return nil
		}
		if p != root && strings.HasPrefix(e.Name(), ".") {
			return fs.SkipDir
		}
		for _, s := range skip {
			if p == s || strings.HasPrefix(p, s+".") {
				return fs.SkipDir
			}
		}
		return w.Add(p)
	})
}
