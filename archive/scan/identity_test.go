package scan

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"sandarac/archive/scan/limit"
	"sandarac/archive/scan/sample"
)

func identity(t *testing.T, path string) [32]byte {
	t.Helper()
	m, err := Open(path, limit.Default)
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	id, err := m.Identity(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return id
}

func TestIdentity(t *testing.T) {
	small := sample.TIFF(0, make([]byte, 64*48), sample.Plain(64, 48)...)
	large := sample.TIFF(0, make([]byte, 9000*8000), sample.Plain(9000, 8000)...)
	for name, data := range map[string][]byte{"small.tif": small, "large.tif": large} {
		path := sample.Write(t, name, data)
		at := time.Unix(1_700_000_000, 0)
		if err := os.Chtimes(path, at, at); err != nil {
			t.Fatal(err)
		}
		id := identity(t, path)
		moved := filepath.Join(filepath.Dir(path), "moved.tif")
		if err := os.Rename(path, moved); err != nil {
			t.Fatal(err)
		}
		if identity(t, moved) != id {
			t.Errorf("%s: moving changed it", name)
		}
		if err := os.Chtimes(moved, at.Add(time.Hour), at.Add(time.Hour)); err != nil {
			t.Fatal(err)
		}
		if touched := identity(t, moved) != id; touched != (name == "large.tif") {
			t.Errorf("%s: touching changed it: %v", name, touched)
		}
		// One byte anywhere, and the time of change that goes with it.
		data[len(data)/2+5] = 1
		if err := os.WriteFile(moved, data, 0o644); err != nil {
			t.Fatal(err)
		}
		if identity(t, moved) == id {
			t.Errorf("%s: a changed byte did not change it", name)
		}
	}
}
