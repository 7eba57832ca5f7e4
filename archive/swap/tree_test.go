package swap

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"
)

// put builds a tree of the given files and commits it.
func put(t *testing.T, place string, files map[string]string) Changes {
	t.Helper()
	tree, err := Begin(place)
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range files {
		path := filepath.Join(tree.Dir(), name)
		os.MkdirAll(filepath.Dir(path), 0o755)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	changes, err := tree.Commit(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return changes
}

func TestTreeReplaces(t *testing.T) {
	for _, twice := range []bool{false, true} {
		t.Run(fmt.Sprintf("twice=%v", twice), func(t *testing.T) {
			if twice {
				exchangeNames = func(_, _ string) error { return errUnsupported }
				defer func() { exchangeNames = exchange }()
			}
			dir := t.TempDir()
			place := filepath.Join(dir, "deep", "public")
			if got := put(t, place, map[string]string{"a": "1", "b/c": "2"}); got != (Changes{Added: 3}) {
				t.Errorf("first: %+v", got)
			}
			if got := put(t, place, map[string]string{"a": "1", "b/c": "3", "d": "4"}); got != (Changes{Added: 1, Changed: 1, Same: 2}) {
				t.Errorf("second: %+v", got)
			}
			if got := put(t, place, map[string]string{"a": "1"}); got != (Changes{Removed: 2, Same: 2}) {
				t.Errorf("third: %+v", got)
			}
			noSiblings(t, filepath.Dir(place), "public")
			noSiblings(t, place, "a", Mark)
		})
	}
}

// Nothing changed: not even the folder is another. One file changed: the others
// keep their times.
func TestUnchangedStays(t *testing.T) {
	place := filepath.Join(t.TempDir(), "public")
	put(t, place, map[string]string{"a": "1", "b": "2"})
	long := time.Now().Add(-time.Hour).Truncate(time.Second)
	for _, name := range []string{"a", "b", Mark} {
		os.Chtimes(filepath.Join(place, name), long, long)
	}
	before, _ := os.Stat(place)
	if got := put(t, place, map[string]string{"a": "1", "b": "2"}); got.Any() {
		t.Errorf("changes: %+v", got)
	}
	if after, _ := os.Stat(place); !os.SameFile(before, after) {
		t.Error("an unchanged tree was replaced")
	}
	was := map[string]os.FileInfo{}
	for _, name := range []string{"a", "b", Mark} {
		was[name], _ = os.Stat(filepath.Join(place, name))
	}
	put(t, place, map[string]string{"a": "1", "b": "9"})
	for name, same := range map[string]bool{"a": true, "b": false, Mark: true} {
		info, err := os.Stat(filepath.Join(place, name))
		if err != nil || info.ModTime().Equal(long) != same || os.SameFile(was[name], info) != same {
			t.Errorf("%s: time %v, kept should be %v, file too (%v)", name, info.ModTime(), same, err)
		}
	}
	// Permissions are part of a file: one that the server may not read is mended.
	if os.Chmod(filepath.Join(place, "a"), 0o400) == nil && runtime.GOOS != "windows" {
		if got := put(t, place, map[string]string{"a": "1", "b": "9"}); got.Changed != 1 {
			t.Errorf("after chmod: %+v", got)
		}
	}
}

func TestPlace(t *testing.T) {
	dir := t.TempDir()
	from, to := filepath.Join(dir, "from"), filepath.Join(dir, "to")
	os.WriteFile(from, []byte("picture"), 0o644)
	long := time.Now().Add(-time.Hour).Truncate(time.Second)
	os.Chtimes(from, long, long)
	for name, place := range map[string]func(string, string) error{"link": Place, "copy": duplicate} {
		os.Remove(to)
		if err := place(from, to); err != nil {
			t.Fatal(err)
		}
		got, _ := os.ReadFile(to)
		if info, _ := os.Stat(to); string(got) != "picture" || !info.ModTime().Equal(long) {
			t.Errorf("%s: %q, %v", name, got, info.ModTime())
		}
		if err := place(from, to); !errors.Is(err, os.ErrExist) {
			t.Errorf("%s over a file: %v", name, err)
		}
	}
}

func TestForeignFolderIsNeverReplaced(t *testing.T) {
	dir := t.TempDir()
	place := filepath.Join(dir, "Pictures")
	os.Mkdir(place, 0o755)
	os.WriteFile(filepath.Join(place, "only-copy.tif"), []byte("x"), 0o644)
	if _, err := Begin(place); !errors.Is(err, ErrNotOurs) {
		t.Errorf("folder with files: %v", err)
	}
	if _, err := Begin(filepath.Join(place, "only-copy.tif")); !errors.Is(err, ErrKind) {
		t.Errorf("file: %v", err)
	}
	if _, err := Begin("/"); !errors.Is(err, ErrNotOurs) {
		t.Errorf("root: %v", err)
	}
	noSiblings(t, dir, "Pictures")
	empty := filepath.Join(dir, "empty")
	os.Mkdir(empty, 0o755)
	os.WriteFile(filepath.Join(empty, ".DS_Store"), nil, 0o644)
	put(t, empty, map[string]string{"a": "1"})
	noSiblings(t, empty, "a", Mark)
}

// A link to the site's folder stays a link.
func TestPlaceIsALink(t *testing.T) {
	dir := t.TempDir()
	real, link := filepath.Join(dir, "disk", "public"), filepath.Join(dir, "public")
	put(t, real, map[string]string{"a": "1"})
	if err := os.Symlink(real, link); err != nil {
		t.Fatal(err)
	}
	put(t, link, map[string]string{"a": "2"})
	if info, _ := os.Lstat(link); info.Mode()&os.ModeSymlink == 0 {
		t.Error("the link is gone")
	}
	if got, _ := os.ReadFile(filepath.Join(real, "a")); string(got) != "2" {
		t.Errorf("got %q", got)
	}
}

func TestDiscard(t *testing.T) {
	dir := t.TempDir()
	place := filepath.Join(dir, "public")
	put(t, place, map[string]string{"a": "1"})
	tree, err := Begin(place)
	if err != nil {
		t.Fatal(err)
	}
	os.WriteFile(filepath.Join(tree.Dir(), "a"), []byte("2"), 0o644)
	cancelled, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := tree.Commit(cancelled); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	if err := tree.Discard(); err != nil {
		t.Fatal(err)
	}
	noSiblings(t, dir, "public")
	if got, _ := os.ReadFile(filepath.Join(place, "a")); string(got) != "1" {
		t.Errorf("got %q", got)
	}
}

// If the second of two renames fails the first is taken back.
func TestSecondRenameFails(t *testing.T) {
	dir := t.TempDir()
	place := filepath.Join(dir, "public")
	put(t, place, map[string]string{"a": "1"})
	tree, err := Begin(place)
	if err != nil {
		t.Fatal(err)
	}
	os.RemoveAll(tree.Dir())
	if err := tree.renameTwice(); err == nil {
		t.Fatal("no error")
	}
	if got, _ := os.ReadFile(filepath.Join(place, "a")); string(got) != "1" {
		t.Errorf("got %q", got)
	}
}

// Each row of the table at recover, and the empty folder that a server may make
// in the gap.
func TestRecoverStates(t *testing.T) {
	for _, c := range []struct{ place, old, fresh, want string }{
		{"1", "", "", "1"},
		{"1", "", "2", "1"},
		{"2", "1", "", "2"},
		{"2", "1", "3", "2"},
		{"", "1", "2", "2"},
		{"", "1", "", "1"},
		{"", "", "2", ""},
		{"", "", "", ""},
		{"empty", "1", "2", "2"},
	} {
		dir := t.TempDir()
		tree, err := names(filepath.Join(dir, "public"))
		if err != nil {
			t.Fatal(err)
		}
		for path, text := range map[string]string{tree.place: c.place, tree.old: c.old, tree.fresh: c.fresh} {
			if text != "" {
				os.Mkdir(path, 0o755)
			}
			if text != "" && text != "empty" {
				os.WriteFile(filepath.Join(path, "a"), []byte(text), 0o644)
			}
		}
		if err := Recover(tree.place); err != nil {
			t.Errorf("%+v: %v", c, err)
		}
		got, _ := os.ReadFile(filepath.Join(tree.place, "a"))
		if string(got) != c.want {
			t.Errorf("%+v: got %q", c, got)
		}
		noSiblings(t, dir, "public")
	}
}

// A visitor who looks at the site while it is replaced always finds one.
func TestNeverAbsent(t *testing.T) {
	place := filepath.Join(t.TempDir(), "public")
	put(t, place, map[string]string{"a": "0"})
	probe := filepath.Join(t.TempDir(), "x")
	os.MkdirAll(probe+"1", 0o755)
	os.MkdirAll(probe+"2", 0o755)
	if errors.Is(exchange(probe+"1", probe+"2"), errUnsupported) {
		t.Skip("this system cannot exchange two names")
	}
	done := make(chan struct{})
	go func() {
		defer close(done)
		for i := range 60 {
			put(t, place, map[string]string{"a": fmt.Sprint(i)})
		}
	}()
	looks := 0
	for {
		if _, err := os.Stat(filepath.Join(place, "a")); err != nil {
			t.Fatalf("look %d: %v", looks, err)
		}
		looks++
		select {
		case <-done:
			return
		default:
		}
	}
}

func TestBeginNew(t *testing.T) {
	dir := t.TempDir()
	place := filepath.Join(dir, "bags", "season")
	tree, err := BeginNew(place)
	if err != nil {
		t.Fatal(err)
	}
	os.WriteFile(filepath.Join(tree.Dir(), "a"), []byte("1"), 0o644)
	if exists(place) {
		t.Error("it is there before it is complete")
	}
	if changes, err := tree.Commit(context.Background()); err != nil || changes != (Changes{Added: 1}) {
		t.Errorf("%+v, %v", changes, err)
	}
	noSiblings(t, place, "a")
	noSiblings(t, filepath.Dir(place), "season")
	if _, err := BeginNew(place); !errors.Is(err, os.ErrExist) {
		t.Errorf("over a folder: %v", err)
	}
	other, err := BeginNew(filepath.Join(dir, "late"))
	if err != nil {
		t.Fatal(err)
	}
	os.Mkdir(filepath.Join(dir, "late"), 0o755)
	if _, err := other.Commit(context.Background()); !errors.Is(err, os.ErrExist) {
		t.Errorf("made by another meanwhile: %v", err)
	}
	if err := other.Discard(); err != nil {
		t.Error(err)
	}
}
