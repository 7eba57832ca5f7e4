package benchbook

import (
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"sandarac/archive/analysis"
	"sandarac/archive/check"
	"sandarac/archive/consent"
	"sandarac/archive/finding"
	"sandarac/archive/gallery"
	"sandarac/archive/hugo"
	"sandarac/archive/picture"
	"sandarac/archive/record"
	"sandarac/archive/seal"
	"sandarac/plates"
)

var today = record.Date{Year: 2026, Month: 11, Day: 20}

// TestMain clears away the book of the demo archive, which tests share.
func TestMain(m *testing.M) {
	code := m.Run()
	os.RemoveAll(shared.root)
	os.Exit(code)
}

var shared struct {
	once sync.Once
	root string
	in   Input
	out  string
}

// demoSite is the bench book of the demo archive, built once for all tests that
// only read it.
func demoSite(t testing.TB) (Input, string) {
	t.Helper()
	shared.once.Do(func() {
		root, err := os.MkdirTemp("", "bench-book-")
		if err != nil {
			t.Fatal(err)
		}
		shared.root = root
		in := demo(t)
		_, out := build(t, in)
		if err := os.CopyFS(filepath.Join(root, "bench"), os.DirFS(out)); err != nil {
			t.Fatal(err)
		}
		shared.in, shared.out = in, filepath.Join(root, "bench")
	})
	if shared.out == "" {
		t.Fatal("the bench book of the demo archive could not be built")
	}
	return shared.in, shared.out
}

// demo is the demo archive on disk, read and checked, with its pictures made.
func demo(t testing.TB) Input {
	t.Helper()
	root := t.TempDir()
	src, err := fs.Sub(plates.FS, "archive")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.CopyFS(root, src); err != nil {
		t.Fatal(err)
	}
	return look(t, root)
}

// look reads, checks and makes pictures, as a build does.
func look(t testing.TB, root string) Input {
	t.Helper()
	ctx := context.Background()
	a, found, err := record.Read(ctx, root)
	if err != nil {
		t.Fatal(err)
	}
	more, err := check.Run(ctx, a, check.Options{Today: today})
	if err != nil {
		t.Fatal(err)
	}
	in := Input{Archive: a, Today: today, Findings: append(found, more...), PublicPaths: map[string]string{}}
	finding.Sort(in.Findings)
	maker, err := picture.New(pictureCache(t), picture.Options{})
	if err != nil {
		t.Fatal(err)
	}
	sets, faults, err := maker.Make(ctx, Jobs(a, picture.Rights{}), nil)
	if err != nil {
		t.Fatal(err)
	}
	for master, fault := range faults {
		t.Errorf("%s: %v", master, fault)
	}
	in.Sets = sets
	for _, p := range consent.Publish(a, today).Plates {
		in.PublicPaths[p.ID] = "plates/" + p.ID + "/"
	}
	if in.Analysis, err = analysis.Analyse(ctx, a, today); err != nil {
		t.Fatal(err)
	}
	secret, err := seal.SecretFrom([]byte("a secret of these tests, no other"[:32]))
	if err != nil {
		t.Fatal(err)
	}
	if in.Links, err = gallery.Links(consent.Galleries(a, today), secret, "https://osmunda-plates.example/"); err != nil {
		t.Fatal(err)
	}
	return in
}

// pictureCache is kept over runs, so that scans are decoded once.
func pictureCache(t testing.TB) string {
	dir, err := os.UserCacheDir()
	if err != nil {
		return t.TempDir()
	}
	return filepath.Join(dir, "sandarac-tests", "bench-pictures")
}

// build stages, runs Hugo and copies the pictures: the tree as it is served.
func build(t testing.TB, in Input) (Staged, string) {
	t.Helper()
	ctx := context.Background()
	dir, out := filepath.Join(t.TempDir(), "stage"), filepath.Join(t.TempDir(), "bench")
	if keep := os.Getenv("SANDARAC_KEEP"); keep != "" { // to look at
		dir, out = filepath.Join(keep, "stage"), filepath.Join(keep, "bench")
		os.RemoveAll(dir)
		os.RemoveAll(out)
	}
	staged, err := Stage(ctx, in, dir)
	if err != nil {
		t.Fatal(err)
	}
	program, err := hugo.Find(ctx, hugo.Options{})
	if err != nil {
		t.Fatal(err)
	}
	err = hugo.Run(ctx, program, hugo.Site{Source: dir, Config: filepath.Join(dir, ConfigFile), Destination: out, Cache: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range staged.Copies {
		to := filepath.Join(out, filepath.FromSlash(c.To))
		if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
			t.Fatal(err)
		}
		body, err := os.ReadFile(c.From)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(to, body, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return staged, out
}

func TestDemo(t *testing.T) {
	in := demo(t)
	staged, out := build(t, in)
	if staged.Pages != len(in.Archive.Plates) {
		t.Errorf("%d pages of plates for %d plates", staged.Pages, len(in.Archive.Plates))
	}
	var pages []string
	s := newStage(in, "")
	for _, p := range in.Archive.Plates {
		pages = append(pages, s.platePath(p)+"index.html")
	}
	for id := range in.Archive.Batches {
		pages = append(pages, s.batchPath(id)+"index.html")
	}
	for id := range in.Archive.Clients {
		pages = append(pages, s.clientPath(id)+"index.html")
	}
	missing, err := hugo.Missing(out, append(pages, "index.html", "plates/index.html", "batches/index.html", "check/index.html"))
	if err != nil {
		t.Fatal(err)
	}
	if len(missing) > 0 {
		t.Errorf("pages missing: %v", missing)
	}
}
