package journal

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func TestAnEntrysLife(t *testing.T) {
	dir := t.TempDir()
	j, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	const id = "0123456789abcdef"
	if _, _, err := j.Find(id); !errors.Is(err, ErrUnknown) {
		t.Errorf("an entry nobody began: %v", err)
	}
	for _, size := range []int{10, keepMost + 1} {
		e := Entry{ID: id, Kind: "plate", Sum: "s", Result: "p1", Files: []File{{Path: "a/p1.md", Data: []byte(strings.Repeat("x", size)), Mode: 0o644}}, When: time.Unix(1, 0).UTC()}
		if err := j.Begin(e); err != nil {
			t.Fatal(err)
		}
		if open, err := j.Unfinished(); err != nil || len(open) != 1 || len(open[0].Files[0].Data) != size {
			t.Errorf("unfinished: %d, %v", len(open), err)
		}
		e.Result = "p2" // another place
		if err := j.Begin(e); err != nil {
			t.Fatal(err)
		}
		if got, done, err := j.Find(id); done || err != nil || got.Result != "p2" {
			t.Errorf("begun: %+v %v %v", got, done, err)
		}
		if err := j.Finish(e); err != nil {
			t.Fatal(err)
		}
		got, done, err := j.Find(id)
		if !done || err != nil || got.Result != "p2" || (len(got.Files[0].Data) > 0) != (size <= keepMost) {
			t.Errorf("finished: %s %d bytes %v %v", got.Result, len(got.Files[0].Data), done, err)
		}
		if open, err := j.Unfinished(); err != nil || len(open) != 0 {
			t.Errorf("unfinished: %v, %v", open, err)
		}
		if err := os.Remove(j.path("done", id)); err != nil {
			t.Fatal(err)
		}
	}
	info, err := os.Stat(filepath.Join(dir, "open"))
	if err != nil || info.Mode().Perm() != 0o700 {
		t.Errorf("%v %v", info.Mode(), err)
	}
}

func TestIDs(t *testing.T) {
	j, err := Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range []string{"", "short", "../../../../etc/passwd", strings.Repeat("a", 41), "0123456789ABCDEF", "0123456789abcde/", "0123456789abcdef\n"} {
		if _, _, err := j.Find(id); !errors.Is(err, ErrBadID) {
			t.Errorf("%q: %v", id, err)
		}
		if err := j.Begin(Entry{ID: id}); !errors.Is(err, ErrBadID) {
			t.Errorf("begun %q: %v", id, err)
		}
	}
}
