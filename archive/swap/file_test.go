package swap

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestWriteFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.md")
	for _, text := range []string{"first", "", "second, longer"} {
		if err := WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if got, _ := os.ReadFile(path); string(got) != text {
			t.Errorf("got %q, want %q", got, text)
		}
	}
	noSiblings(t, dir, "a.md")
}

func TestWriteFileRefuses(t *testing.T) {
	dir := t.TempDir()
	target := filepath.Join(dir, "master.md")
	os.WriteFile(target, []byte("keep"), 0o644)
	link := filepath.Join(dir, "link.md")
	if err := os.Symlink(target, link); err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]error{
		link:                             ErrSymlink,
		dir:                              ErrKind,
		filepath.Join(dir, "no", "a.md"): fs.ErrNotExist,
	} {
		err := WriteFile(path, []byte("new"), 0o644)
		var told *Error
		if !errors.Is(err, want) || !errors.As(err, &told) || told.Path != path || told.Mend == "" {
			t.Errorf("%s: %v, want %v", path, err, want)
		}
	}
	if got, _ := os.ReadFile(target); string(got) != "keep" {
		t.Errorf("written through the link: %q", got)
	}
}

func TestWriteChanged(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.json")
	for i, want := range []bool{true, false, true, false} {
		wrote, err := WriteChanged(path, []byte(strconv.Itoa(i/2)), 0o644)
		if err != nil || wrote != want {
			t.Errorf("%d: wrote %v, %v", i, wrote, err)
		}
	}
}

func TestCreateNewNeverOverwrites(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "a.md")
	os.WriteFile(file, []byte("keep"), 0o644)
	dangling := filepath.Join(dir, "dangling.md")
	if err := os.Symlink(filepath.Join(dir, "nowhere"), dangling); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{file, dangling, dir} {
		if err := CreateNew(path, []byte("new"), 0o644); !errors.Is(err, fs.ErrExist) {
			t.Errorf("%s: %v", path, err)
		}
	}
	if got, _ := os.ReadFile(file); string(got) != "keep" {
		t.Errorf("overwritten: %q", got)
	}
	noSiblings(t, dir, "a.md", "dangling.md")
}

// renameNew is the way of disks without hard links.
func TestRenameNewNeverOverwrites(t *testing.T) {
	dir := t.TempDir()
	a, b := filepath.Join(dir, "a"), filepath.Join(dir, "b")
	os.WriteFile(a, []byte("new"), 0o644)
	os.WriteFile(b, []byte("keep"), 0o644)
	err := renameNew(a, b)
	if errors.Is(err, errUnsupported) {
		t.Skip("not on this file system")
	}
	if !errors.Is(err, fs.ErrExist) {
		t.Errorf("got %v", err)
	}
	if got, _ := os.ReadFile(b); string(got) != "keep" {
		t.Errorf("overwritten: %q", got)
	}
	os.Remove(b)
	if err := renameNew(a, b); err != nil {
		t.Error(err)
	}
}

func TestCreateNewOneWins(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.md")
	var won atomic.Int32
	var group sync.WaitGroup
	for i := range 16 {
		group.Go(func() {
			err := CreateNew(path, content(strconv.Itoa(i)), 0o644)
			if err == nil {
				won.Store(int32(i + 1))
			} else if !errors.Is(err, fs.ErrExist) {
				t.Error(err)
			}
		})
	}
	group.Wait()
	got, _ := os.ReadFile(path)
	if w := won.Load(); w == 0 || !bytes.Equal(got, content(strconv.Itoa(int(w-1)))) {
		t.Errorf("writer %d won, but the file holds %.20q", w-1, got)
	}
}

func TestSweep(t *testing.T) {
	dir := t.TempDir()
	long := time.Now().Add(-2 * time.Hour)
	keep := []string{"plate.md", ".hidden", ".2026-06-14", ".plate.md5577006791947779410.txt", "5577006791947779410", ".young.md5577006791947779410"}
	for _, name := range append(keep, ".plate.md5577006791947779410", ".sandarac-draft-123") {
		os.WriteFile(filepath.Join(dir, name), nil, 0o644)
		if name[:2] != ".y" {
			os.Chtimes(filepath.Join(dir, name), long, long)
		}
	}
	gone, err := Sweep(dir)
	if err != nil || len(gone) != 2 {
		t.Errorf("swept %v, %v", gone, err)
	}
	noSiblings(t, dir, keep...)
}

// Whatever is written, in whatever order, the files hold the last of each.
func TestFilesLikeAMap(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		dir, err := os.MkdirTemp(t.TempDir(), "")
		if err != nil {
			rt.Fatal(err)
		}
		model := map[string][]byte{}
		for range rapid.IntRange(1, 15).Draw(rt, "steps") {
			name := rapid.SampledFrom([]string{"a", "b", "c d", "é"}).Draw(rt, "name")
			data := rapid.SliceOfN(rapid.Byte(), 0, 40).Draw(rt, "data")
			path := filepath.Join(dir, name)
			if rapid.Bool().Draw(rt, "new") {
				err := CreateNew(path, data, 0o644)
				if _, there := model[name]; there != errors.Is(err, fs.ErrExist) {
					rt.Fatalf("CreateNew %s: %v", name, err)
				}
				if err != nil {
					continue
				}
			} else if err := WriteFile(path, data, 0o644); err != nil {
				rt.Fatal(err)
			}
			model[name] = data
		}
		entries, _ := os.ReadDir(dir)
		if len(entries) != len(model) {
			rt.Fatalf("%d files, want %d", len(entries), len(model))
		}
		for name, want := range model {
			if got, _ := os.ReadFile(filepath.Join(dir, name)); !bytes.Equal(got, want) {
				rt.Fatalf("%s: %q, want %q", name, got, want)
			}
		}
	})
}

func BenchmarkWriteFile(b *testing.B) {
	path := filepath.Join(b.TempDir(), "a.md")
	for b.Loop() {
		if err := WriteFile(path, content("1"), 0o644); err != nil {
			b.Fatal(err)
		}
	}
}
