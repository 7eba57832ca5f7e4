package daybook

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"sandarac/archive/check"
	"sandarac/archive/finding"
	"sandarac/archive/record"
)

var today = record.Date{Year: 2026, Month: time.May, Day: 20}

const studioRecord = `---
studio: Test Rooms
url: https://plates.example/
time_zone: Europe/Dublin
credit: Ilse Tarn
lenses:
  - {id: petzval, focal_mm: 210, widest_stop: 3.8}
  - {id: aplanat, focal_mm: 300, widest_stop: 7.7}
---
`

// studio is a small archive with one batch of each kind, a sitter and a client.
func studio() map[string]string {
	files := map[string]string{
		"studio.md":     studioRecord,
		"sitters/a.md":  "---\nsitter: ada-quill\nname: Ada Quill\nconsent: {portfolio: true, given: 2026-05-01}\n---\n",
		"clients/q.md":  "---\nclient: quill\nname: The Quill family\n---\n",
		"batches/c2.md": "---\nbatch: collodion-2\nkind: collodion\nmixed: 2026-05-10\n---\n",
	}
	for _, kind := range record.BatchKinds {
		files["batches/"+kind+".md"] = "---\nbatch: " + kind + "-1\nkind: " + kind + "\nmixed: 2026-04-20\n---\n"
	}
	return files
}

// write lays out an archive from "name → content" and gives its folder.
func write(t testing.TB, files map[string]string) string {
	t.Helper()
	root := t.TempDir()
	writeInto(t, root, files)
	return root
}

func writeInto(t testing.TB, root string, files map[string]string) {
	t.Helper()
	for name, content := range files {
		at := filepath.Join(root, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(at, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// read reads an archive and gives everything that reading and check say of it.
func read(t testing.TB, root string) (*record.Archive, []finding.Finding) {
	t.Helper()
	a, fs, err := record.Read(context.Background(), root)
	if err != nil {
		t.Fatal(err)
	}
	more, err := check.Run(context.Background(), a, check.Options{Today: today})
	if err != nil {
		t.Fatal(err)
	}
	return a, append(fs, more...)
}

// sound fails the test for every error found.
func sound(t testing.TB, fs []finding.Finding) {
	t.Helper()
	for _, f := range fs {
		if f.Severity == finding.Error {
			t.Errorf("%s", f)
		}
	}
}
