package archive_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sandarac/archive"
	"sandarac/archive/record"
)

func TestStillPublic(t *testing.T) {
	root := t.TempDir()
	lay := func(name, content string) {
		at := filepath.Join(root, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(at, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	lay("studio.md", "---\nstudio: S\n---\n")
	lay("a.md", "---\nplate: a\nmade: 2026-05-01\noutcome: keeper\nsitters:\n  - {name: Ada Quill, consent: {portfolio: true, given: 2026-05-01, withdrawn: 2026-06-01}}\n---\n")
	lay("b.md", "---\nplate: b b\nmade: 2026-05-01\noutcome: scrapped\nsitters: []\n---\n")
	lay("c.md", "---\nplate: c\nmade: 2026-05-01\noutcome: keeper\nsitters: []\n---\n")
	lay("c.jpg", "x")
	read := func() *archive.Looked {
		a, _, err := record.Read(context.Background(), root)
		if err != nil {
			t.Fatal(err)
		}
		return &archive.Looked{Archive: a, Today: record.Date{Year: 2026, Month: 7, Day: 1}}
	}
	site := filepath.Join(root, "public")
	if found, err := archive.StillPublic(context.Background(), read(), site); err != nil || found != nil {
		t.Errorf("no site: %v, %v", found, err)
	}
	page := func(name, id string) {
		lay("public/plates/"+name+"/index.html", `<script type="application/ld+json">{"@type":"Photograph","identifier":"`+id+`"}</script>`)
	}
	page("plate-1", "a")
	page("plate-2", "b b")
	page("plate-3", "c")
	page("plate-4", "of another archive")
	lay("public/plates/index.html", "")
	found, err := archive.StillPublic(context.Background(), read(), site)
	if err != nil || len(found) != 2 {
		t.Fatalf("%v, %v", found, err)
	}
	if f := found[0]; f.File != "a.md" || f.Line != 6 || !strings.Contains(f.Message, "plates/plate-1/, and it may not be seen: Ada Quill: consent was withdrawn on 2026-06-01") || f.Code != "still-public" {
		t.Errorf("%+v", f)
	}
	if f := found[1]; f.Plate != "b b" || !strings.Contains(f.Message, "its outcome is scrapped") {
		t.Errorf("%+v", f)
	}
}
