package stamp_test

import (
	"context"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"sandarac/archive/stamp"
)

var ctx = context.Background()

// old is long before anything a test does.
var old = time.Date(2020, 2, 2, 2, 2, 2, 0, time.UTC)

// folder is a folder of three files, all with an old time of change.
func folder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range map[string]string{"a.md": "one", "b/c.md": "two", "b/d.jpg": "three"} {
		write(t, filepath.Join(dir, name), text)
	}
	return dir
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Chtimes(path, old, old); err != nil {
		t.Fatal(err)
	}
}

func sum(t *testing.T, dir string, byContent ...string) stamp.Sum {
	t.Helper()
	tree, err := stamp.Read(ctx, dir, func(name string) bool { return strings.HasPrefix(filepath.Base(name), ".") })
	if err != nil {
		t.Fatal(err)
	}
	s, err := tree.Sum(ctx, byContent)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestSum: every change gives another sum, none gives the same.
func TestSum(t *testing.T) {
	changes := map[string]func(t *testing.T, dir string){
		"longer":     func(t *testing.T, dir string) { write(t, filepath.Join(dir, "a.md"), "once") },
		"new file":   func(t *testing.T, dir string) { write(t, filepath.Join(dir, "b/e.md"), "four") },
		"new folder": func(t *testing.T, dir string) { os.Mkdir(filepath.Join(dir, "e"), 0o755) },
		"file gone":  func(t *testing.T, dir string) { os.Remove(filepath.Join(dir, "a.md")) },
		"renamed":    func(t *testing.T, dir string) { os.Rename(filepath.Join(dir, "a.md"), filepath.Join(dir, "A.md")) },
		"moved":      func(t *testing.T, dir string) { os.Rename(filepath.Join(dir, "b"), filepath.Join(dir, "c")) },
		"another time": func(t *testing.T, dir string) {
			os.Chtimes(filepath.Join(dir, "a.md"), old, old.Add(time.Nanosecond*100))
		},
		"a folder for it": func(t *testing.T, dir string) {
			os.Remove(filepath.Join(dir, "a.md"))
			os.Mkdir(filepath.Join(dir, "a.md"), 0o755)
		},
	}
	if runtime.GOOS == "linux" || runtime.GOOS == "darwin" {
		changes["same length and time"] = func(t *testing.T, dir string) { write(t, filepath.Join(dir, "a.md"), "ONE") }
		changes["replaced by the same"] = func(t *testing.T, dir string) {
			write(t, filepath.Join(dir, ".new"), "one")
			os.Rename(filepath.Join(dir, ".new"), filepath.Join(dir, "a.md"))
		}
		changes["permissions"] = func(t *testing.T, dir string) { os.Chmod(filepath.Join(dir, "a.md"), 0o600) }
		changes["a link for it"] = func(t *testing.T, dir string) {
			os.Remove(filepath.Join(dir, "a.md"))
			os.Symlink("b/c.md", filepath.Join(dir, "a.md"))
		}
	}
	for what, change := range changes {
		t.Run(what, func(t *testing.T) {
			dir := folder(t)
			before := sum(t, dir)
			if sum(t, dir) != before {
				t.Fatal("nothing changed, and the sum did")
			}
			write(t, filepath.Join(dir, ".hidden", "x"), "not read")
			if sum(t, dir) != before {
				t.Fatal("what is skipped counts")
			}
			change(t, dir)
			if sum(t, dir) == before {
				t.Error("not seen")
			}
		})
	}
}

// TestYoung: a file written within a tick of now counts by its content, whatever
// its times say.
func TestYoung(t *testing.T) {
	dir := folder(t)
	tree, err := stamp.Read(ctx, dir, nil)
	if err != nil {
		t.Fatal(err)
	}
	if tree.Files != 3 || tree.Size([]string{"a.md", "b/d.jpg", "none"}) != 8 {
		t.Errorf("%d files, %d bytes", tree.Files, tree.Size([]string{"a.md", "b/d.jpg", "none"}))
	}
	if young := tree.Young(time.Now().Add(time.Hour)); len(young) != 0 {
		t.Errorf("young in an hour: %v", young)
	}
	young := tree.Young(old)
	if slices.Sort(young); !slices.Equal(young, []string{"a.md", "b/c.md", "b/d.jpg"}) {
		t.Errorf("young when they were written: %v", young)
	}
	before := sum(t, dir, "a.md")
	write(t, filepath.Join(dir, "a.md"), "one")
	if sum(t, dir, "a.md") != before {
		t.Error("the same content gave another sum")
	}
	write(t, filepath.Join(dir, "a.md"), "eno")
	if sum(t, dir, "a.md") == before {
		t.Error("another content of the same length was not seen")
	}
}

func TestReadFails(t *testing.T) {
	if _, err := stamp.Read(ctx, filepath.Join(t.TempDir(), "none"), nil); err == nil {
		t.Error("a folder that is not there was read")
	}
	stopped, stop := context.WithCancel(ctx)
	stop()
	if _, err := stamp.Read(stopped, folder(t), nil); err == nil {
		t.Error("went on after the context ended")
	}
	if _, err := stamp.File(filepath.Join(t.TempDir(), "none")); err == nil {
		t.Error("a file that is not there has a stamp")
	}
}
