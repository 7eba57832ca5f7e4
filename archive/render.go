package archive

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"sandarac/archive/hugo"
	"sandarac/archive/record"
	"sandarac/archive/swap"
)

// workDir is a fresh folder for what is staged and rendered, on the archive's
// disk. Its name is new: when a run is killed its Hugo may live on for a while,
// and must not write among the files of the next. What earlier runs left is
// removed, as far as it can be. now is the time by the clock of that disk.
func workDir(root string) (work string, now time.Time, err error) {
	base := filepath.Join(toolDir(root), "work")
	_ = os.RemoveAll(base)
	if err := os.MkdirAll(base, 0o700); err != nil {
		return "", now, fmt.Errorf("making a folder to work in: %w", err)
	}
	if work, err = os.MkdirTemp(base, "run-"); err != nil {
		return "", now, fmt.Errorf("making a folder to work in: %w", err)
	}
	info, err := os.Stat(work)
	if err != nil {
		return "", now, fmt.Errorf("making a folder to work in: %w", err)
	}
	return work, info.ModTime(), nil
}

// sweep removes the unfinished drafts of files that killed runs left in the tool's
// folder and beside records, once they are old enough to be nobody's.
func sweep(a *record.Archive) {
	folders := map[string]bool{toolDir(a.Root): true, a.Root: true}
	for _, p := range a.Plates {
		folders[filepath.Dir(a.Path(p.File))] = true
	}
	for folder := range folders {
		_, _ = swap.Sweep(folder) // what cannot be removed now is the next run's
	}
}

// dropWork removes a folder of workDir.
func dropWork(work string) {
	_ = os.RemoveAll(work)
	_ = os.Remove(filepath.Dir(work)) // stays if another's is in it
}

// render lets Hugo make the pages of a stage, and puts them into a tree that is to
// stand at place.
func (b *build) render(ctx context.Context, stage, config, tree, place string) error {
	r, err := b.newRerender(ctx, stage, place)
	if err != nil {
		return err
	}
	b.renders = append(b.renders, r)
	return r.run(ctx, b, config, tree)
}

// explainHugo says in our words that the disk is full, which Hugo says in the
// system's.
func explainHugo(tree string, err error) error {
	var failed *hugo.BuildError
	if !errors.As(err, &failed) {
		return err
	}
	for _, words := range []string{"no space left on device", "not enough space on the disk", "disk quota exceeded"} {
		if strings.Contains(failed.Output, words) {
			return &swap.Error{Path: tree, Why: "the disk is full", Mend: "free some space and run it again; what was there before is unchanged", Err: err}
		}
	}
	return err
}

// carry moves everything in a folder to another; where that is on another disk,
// it is copied.
func carry(from, to string) error {
	entries, err := os.ReadDir(from)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if os.Rename(filepath.Join(from, e.Name()), filepath.Join(to, e.Name())) == nil {
			continue
		}
		if err := placeAll(from, e.Name(), to); err != nil {
			return err
		}
	}
	return nil
}

// placeAll puts the files of from, below name, to the same paths in to.
func placeAll(from, name, to string) error {
	return filepath.WalkDir(filepath.Join(from, name), func(file string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		rel, err := filepath.Rel(from, file)
		if err != nil {
			return err
		}
		return place(to, file, filepath.ToSlash(rel))
	})
}

func place(tree, from, to string) error {
	at := filepath.Join(tree, filepath.FromSlash(to))
	if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
		return err
	}
	return swap.Place(from, at)
}
