package swap

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

func TestReplaceIf(t *testing.T) {
	for _, twice := range []bool{false, true} {
		t.Run(fmt.Sprintf("renamed over %v", twice), func(t *testing.T) {
			if twice {
				defer func(was func(a, b string) error) { exchangeNames = was }(exchangeNames)
				exchangeNames = func(_, _ string) error { return errUnsupported }
			}
			dir := t.TempDir()
			path := filepath.Join(dir, "plate.md")
			if err := os.WriteFile(path, []byte("one"), 0o640); err != nil {
				t.Fatal(err)
			}
			if err := ReplaceIf(path, []byte("two"), []byte("three")); !errors.Is(err, ErrChanged) {
				t.Errorf("another content: %v", err)
			}
			if err := ReplaceIf(path, []byte("one"), []byte("three")); err != nil {
				t.Error(err)
			}
			if got, err := os.ReadFile(path); err != nil || string(got) != "three" {
				t.Errorf("%q, %v", got, err)
			}
			if info, err := os.Stat(path); err != nil || info.Mode().Perm()&0o077 != 0o040 && info.Mode().Perm() != 0o666 {
				t.Errorf("mode %v, %v", info.Mode(), err)
			}
			noSiblings(t, dir, "plate.md")
		})
	}
}

func TestReplaceIfRefuses(t *testing.T) {
	dir := t.TempDir()
	if err := ReplaceIf(filepath.Join(dir, "none.md"), nil, []byte("x")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("an absent file: %v", err)
	}
	if err := os.Mkdir(filepath.Join(dir, "folder"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := ReplaceIf(filepath.Join(dir, "folder"), nil, []byte("x")); !errors.Is(err, ErrKind) {
		t.Errorf("a folder: %v", err)
	}
	real := filepath.Join(dir, "real.md")
	if err := os.WriteFile(real, []byte("one"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(real, filepath.Join(dir, "link.md")); err != nil {
		t.Skipf("no symbolic links here: %v", err)
	}
	if err := ReplaceIf(filepath.Join(dir, "link.md"), []byte("one"), []byte("x")); !errors.Is(err, ErrSymlink) {
		t.Errorf("a link: %v", err)
	}
	noSiblings(t, dir, "folder", "real.md", "link.md")
}

// An editor saves at the very moments between the steps; its save stands.
func TestReplaceIfAgainstAnEditorAtEachMoment(t *testing.T) {
	saves := map[string]func(path string, n int) error{
		"in place": func(path string, n int) error { return os.WriteFile(path, fmt.Appendf(nil, "edit %d", n), 0o644) },
		"by renaming": func(path string, n int) error {
			return errors.Join(os.WriteFile(path+"~", fmt.Appendf(nil, "edit %d", n), 0o644), os.Rename(path+"~", path))
		},
	}
	for way, save := range saves {
		for at := range 3 {
			t.Run(fmt.Sprintf("%s at %d", way, at), func(t *testing.T) {
				dir := t.TempDir()
				path := filepath.Join(dir, "plate.md")
				if err := os.WriteFile(path, []byte("old"), 0o644); err != nil {
					t.Fatal(err)
				}
				n := 0
				defer func(was func(string)) { moment = was }(moment)
				moment = func(string) {
					if n++; n-1 == at {
						if err := save(path, at); err != nil {
							t.Error(err)
						}
					}
				}
				err := ReplaceIf(path, []byte("old"), []byte("new"))
				got, readErr := os.ReadFile(path)
				want := fmt.Sprintf("edit %d", at)
				if readErr != nil || string(got) != want {
					t.Errorf("%q, want %q; %v, %v", got, want, err, readErr)
				}
				// An edit before the names are traded is noticed; one after them
				// is a later edit of a file that was replaced.
				if before := at < 2; before != errors.Is(err, ErrChanged) {
					t.Errorf("%v", err)
				}
				noSiblings(t, dir, "plate.md")
			})
		}
	}
}

// An editor that was faster, and saves once more while the names are traded
// back, has the last word.
func TestReplaceIfEditorSavesTwice(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "plate.md")
	if err := os.WriteFile(path, []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	was := exchangeNames
	defer func() { exchangeNames = was }()
	trades := 0
	exchangeNames = func(a, b string) error {
		if trades++; trades <= 2 { // right before each trade, as late as can be
			if err := os.WriteFile(path+"~", fmt.Appendf(nil, "edit %d", trades), 0o644); err != nil {
				return err
			}
			if err := os.Rename(path+"~", path); err != nil {
				return err
			}
		}
		return was(a, b)
	}
	if err := ReplaceIf(path, []byte("old"), []byte("new")); !errors.Is(err, ErrChanged) {
		if errors.Is(err, errUnsupported) || trades == 0 {
			t.Skip("this disk cannot trade names")
		}
		t.Errorf("%v", err)
	}
	if got, _ := os.ReadFile(path); string(got) != "edit 2" {
		t.Errorf("%q", got)
	}
	noSiblings(t, dir, "plate.md")
}

// A program that changes a line again and again, and an editor that knows of no
// lock: no save of the editor's is ever undone.
func TestReplaceIfNeverUndoesAnEditor(t *testing.T) {
	path := filepath.Join(t.TempDir(), "plate.md")
	if err := os.WriteFile(path, []byte("editor 0\nprogram 0\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	done := make(chan struct{})
	var wg sync.WaitGroup
	changes, conflicts := 0, 0
	wg.Go(func() {
		for n := 1; ; n++ {
			select {
			case <-done:
				return
			default:
			}
			old, err := os.ReadFile(path)
			if err != nil {
				t.Error(err)
				return
			}
			first, _, _ := bytes.Cut(old, []byte("\n"))
			switch err := ReplaceIf(path, old, fmt.Appendf(nil, "%s\nprogram %d\n", first, n)); {
			case errors.Is(err, ErrChanged):
				conflicts++
			case err != nil:
				t.Error(err)
				return
			default:
				changes++
			}
		}
	})
	for n := 1; n <= 150; n++ {
		if err := os.WriteFile(path+"~", fmt.Appendf(nil, "editor %d\nprogram ?\n", n), 0o644); err != nil {
			t.Fatal(err)
		}
		if err := os.Rename(path+"~", path); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(n%7) * time.Millisecond)
	}
	close(done)
	wg.Wait()
	got, err := os.ReadFile(path)
	if err != nil || !strings.HasPrefix(string(got), "editor 150\n") {
		t.Errorf("%q, %v", got, err)
	}
	if changes == 0 {
		t.Error("the program never changed anything")
	}
	t.Logf("%d changes, %d times the editor was faster", changes, conflicts)
}
