//go:build unix

package swap

import (
	"io/fs"
	"os"
	"path/filepath"
	"testing"
)

func TestModes(t *testing.T) {
	dir := t.TempDir()
	for _, c := range []struct {
		name         string
		before, mode fs.FileMode // before 0: no file
		want         fs.FileMode
	}{
		{"new", 0, 0o644, 0o644},
		{"new secret", 0, 0o600, 0o600},
		{"the photographer's own rights stay", 0o640, 0o644, 0o640},
		{"a secret is never left open", 0o644, 0o600, 0o600},
	} {
		path := filepath.Join(dir, c.name)
		if c.before != 0 {
			os.WriteFile(path, nil, 0o600)
			os.Chmod(path, c.before)
		}
		if err := WriteFile(path, []byte("x"), c.mode); err != nil {
			t.Fatal(err)
		}
		info, _ := os.Stat(path)
		if want := c.want &^ umask; info.Mode().Perm() != want {
			t.Errorf("%s: %o, want %o", c.name, info.Mode().Perm(), want)
		}
	}
	path := filepath.Join(dir, "created")
	if err := CreateNew(path, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if info, _ := os.Stat(path); info.Mode().Perm() != 0o600 {
		t.Errorf("CreateNew: %o", info.Mode().Perm())
	}
}
