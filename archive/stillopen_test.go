package archive_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sandarac/archive"
	"sandarac/archive/record"
	"sandarac/archive/seal"
)

// TestStillOpen: of the galleries in a built site, those that their clients'
// records keep open are passed, and each of the others is told with its reason.
func TestStillOpen(t *testing.T) {
	root := t.TempDir()
	site := filepath.Join(root, "public")
	write := func(name, content string) {
		if err := os.WriteFile(filepath.Join(root, name), []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	client := func(id, gallery string) {
		write(id+".md", "---\nclient: "+id+"\nname: Of "+id+"\ngallery: {"+gallery+"}\n---\n")
		write("p-"+id+".md", "---\nplate: p-"+id+"\nmade: 2026-05-01\nclient: "+id+"\nsitters: []\n---\n")
		write("p-"+id+".jpg", "x")
	}
	write("studio.md", "---\nstudio: S\nurl: https://plates.example/\n---\n")
	client("open", "until: 2026-07-01")
	client("ended", "until: 2026-06-30")
	client("renewed", "generation: 3")
	client("faulty", "untill: 2026-06-30")
	look := func() *archive.Looked {
		a, _, err := record.Read(context.Background(), root)
		if err != nil {
			t.Fatal(err)
		}
		return &archive.Looked{Archive: a, Today: record.Date{Year: 2026, Month: 7, Day: 1}}
	}
	told := func() []string {
		t.Helper()
		found, err := archive.StillOpen(context.Background(), look(), root, site)
		if err != nil {
			t.Fatal(err)
		}
		var out []string
		for _, f := range found {
			if f.Code != "still-open" || f.Line < 1 {
				t.Errorf("%+v", f)
			}
			out = append(out, f.File+": "+f.Message)
		}
		return out
	}
	if got := told(); got != nil {
		t.Errorf("no site: %q", got)
	}
	secret, err := seal.EnsureSecret(filepath.Join(root, ".sandarac", "secret"))
	if err != nil {
		t.Fatal(err)
	}
	stand := func(name string) {
		if err := os.MkdirAll(filepath.Join(site, "g", name), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	for id, generation := range map[string]int{"open": 1, "ended": 1, "renewed": 3, "faulty": 1} {
		keys, err := seal.NewGallery(secret, id, generation)
		if err != nil {
			t.Fatal(err)
		}
		stand(keys.Name())
	}
	old, err := seal.NewGallery(secret, "renewed", 2)
	if err != nil {
		t.Fatal(err)
	}
	stand(old.Name())
	stand("abcdefghijklmnopqrstuv")
	want := []string{"ended.md: the built site still holds the gallery of ended, which is ended",
		"renewed.md: the built site still holds the gallery of renewed under its old link, generation 2",
		"studio.md: the built site still holds a gallery of no client of these records at g/abcdefghijklmnopqrstuv/"}
	if got := told(); strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("%q, want %q", got, want)
	}
}
