package benchbook

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"sandarac/archive/analysis"
	"sandarac/archive/check"
	"sandarac/archive/consent"
	"sandarac/archive/finding"
	"sandarac/archive/hugo"
	"sandarac/archive/record"
)

// hostile is text that has broken pages elsewhere.
var hostile = []string{
	`</script><script>alert(1)</script> "q" & <!-- x --> O'Hara`,
	`{{ .Site.Params }} {{< figure src="x" >}} {{% ref "y" %}}`,
	`" onload="alert(1)" x="`,
	`<img src=x onerror=alert(1)>`,
	`]]> &amp; &#x27; %2e%2e/ ../../etc`,
	"\u202eright to left\u202c ünïcödé 銀板 🜛",
	`javascript:alert(1)`,
}

// archiveOf writes records into a folder and reads and checks them.
func archiveOf(t testing.TB, files map[string]string) Input {
	t.Helper()
	root := t.TempDir()
	for name, body := range files {
		full := filepath.Join(root, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(full), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(full, []byte(body), 0o644); err != nil {
			t.Fatal(err)
		}
	}
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
	for _, p := range consent.Publish(a, today).Plates {
		in.PublicPaths[p.ID] = "https://studio.example/plates/" + slug(p.ID) + "/"
	}
	if in.Analysis, err = analysis.Analyse(ctx, a, today); err != nil {
		t.Fatal(err)
	}
	return in
}

const studioRecord = "---\nstudio: Larkspur Plates\nurl: https://studio.example/\ntime_zone: Europe/Dublin\npoison_centre: 555 0100\n---\n"

// TestHostile builds a book whose words try to break it: what a person wrote is
// shown as it is, loads nothing, runs nothing and stops nothing.
func TestHostile(t *testing.T) {
	files := map[string]string{"studio.md": studioRecord + strings.Join(hostile, "\n\n")}
	notes := strings.Join(append(hostile, "# A heading", "![far](https://far.example/x.png) ![near](near.png)", "[out](https://far.example/) [in](../b.md) [odd](http://[::1) [odder](%zz)",
		"`{{< code >}}`", "{{{< figure src=\"https://far.example/x.png\" >}} {{{{{% nothing-of-this-name %}}", "    {{ indented }}", "| a | b |\n|--:|:-:|\n| 1 | 2 |", "+++\ntitle = \"x\"\n+++", "```go {style=\"x\"}\nfunc\n```"), "\n\n")
	for i, h := range hostile {
		files[fmt.Sprintf("p%d.md", i)] = fmt.Sprintf("---\nplate: 26-%03d\nmade: 2026-05-0%dT10:00\ntitle: %q\nalt: %[3]q\ntags: [%[3]q]\ncamera: %[3]q\nlight: {kind: %[3]q, note: %[3]q}\noutcome: keeper\nsitters: [{name: %[3]q}]\nclient: \"c%[1]d\"\nx_mine: %[3]q\n---\n%[4]s",
			i, i+1, h, notes)
		files[fmt.Sprintf("c%d.md", i)] = fmt.Sprintf("---\nclient: c%d\nname: %q\nemail: a@studio.example\ngallery: {title: %q, message: %q}\n---\n%s", i, h, h, h, notes)
		files[fmt.Sprintf("b%d.md", i)] = fmt.Sprintf("---\nbatch: b%d\nkind: fixer\nmixed: 2026-05-01\nvolume_ml: 500\nparts: [{substance: %q, grams: 10}]\nlog: [{date: 2026-05-02, action: %q, note: %q}]\n---\n%s", i, h, h, h, notes)
	}
	in := archiveOf(t, files)
	_, out := build(t, in)
	for _, name := range pagesOf(t, out) {
		body, err := os.ReadFile(filepath.Join(out, filepath.FromSlash(name)))
		if err != nil {
			t.Fatal(err)
		}
		for _, bad := range []*regexp.Regexp{
			regexp.MustCompile(`<script>`), regexp.MustCompile(`<[a-z][^>]*\son[a-z]+=`), regexp.MustCompile(`<img[^>]*(far|near|src=x)`), regexp.MustCompile(`href="javascript`),
			regexp.MustCompile(`\sstyle=`), regexp.MustCompile(`ZgotmplZ`), regexp.MustCompile(`HAHAHUGO`), regexp.MustCompile(`b\.md"`),
		} {
			if at := bad.FindIndex(body); at != nil {
				t.Errorf("%s matches %s: %.120s", name, bad, body[max(0, at[0]-20):])
			}
		}
		if n := strings.Count(string(body), "<h1"); n != 1 {
			t.Errorf("%s has %d first headings", name, n)
		}
	}
	body, _ := os.ReadFile(filepath.Join(out, "plates", "26-001", "index.html"))
	for _, want := range []string{"{\u2060{&lt; code &gt;}}", "[picture: far]", "[picture: near]", `href="https://far.example/"`, "noreferrer", "{{ .Site.Params }}"} {
		if !strings.Contains(string(body), want) {
			t.Errorf("the page of 26-001 lacks %q", want)
		}
	}
}

// TestTwinsAndNeighbours: two plates that claim one id, and ids that fold to one
// address, each have a page, with their own findings.
func TestTwinsAndNeighbours(t *testing.T) {
	plate := func(id string) string {
		return "---\nplate: " + id + "\nmade: 2026-05-01T10:00\noutcome: keeper\n---\n"
	}
	in := archiveOf(t, map[string]string{"studio.md": studioRecord, "one.md": plate("26-1"), "two.md": plate("26-1"), "three.md": plate("a-B"), "four.md": plate("A-b"),
		"five.md": plate("page"), "six.md": plate("index"), "seven.md": "---\nplate: 26-7\nmade: 2026-05-01\nexposure: {seconds: -3}\n---\n"})
	staged, out := build(t, in)
	if staged.Pages != 7 {
		t.Errorf("%d pages, want 7", staged.Pages)
	}
	s := newStage(in, "")
	seen := map[string]bool{}
	for _, p := range in.Archive.Plates {
		path := s.platePath(p)
		if seen[path] {
			t.Errorf("two plates at %s", path)
		}
		seen[path] = true
		body, err := os.ReadFile(filepath.Join(out, filepath.FromSlash(path), "index.html"))
		if err != nil {
			t.Errorf("plate %s (%s): %v", p.ID, p.File, err)
			continue
		}
		if !strings.Contains(string(body), p.File) {
			t.Errorf("the page of %s does not name its file %s", p.ID, p.File)
		}
		if p.Broken && !strings.Contains(string(body), "Check found") {
			t.Errorf("the page of the broken plate %s does not say what is wrong", p.File)
		}
		for _, other := range in.Archive.Plates {
			if p.ID == "26-1" && other.ID == "26-1" && other != p && strings.Contains(string(body), ">"+other.File+":") {
				t.Errorf("the page of %s shows findings of %s", p.File, other.File)
			}
		}
	}
}

// TestEmpty builds a book of a studio that has not begun.
func TestEmpty(t *testing.T) {
	_, out := build(t, archiveOf(t, map[string]string{"studio.md": studioRecord}))
	in := archiveOf(t, map[string]string{"studio.md": studioRecord})
	in.Analysis = nil
	build(t, in)
	for _, name := range pagesOf(t, out) {
		body, err := os.ReadFile(filepath.Join(out, filepath.FromSlash(name)))
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(body), `content="noindex, nofollow, noarchive"`) || !strings.Contains(string(body), "<h1") {
			t.Errorf("%s lacks a heading or noindex", name)
		}
	}
}

// TestRefusesAFolderInUse keeps what is there.
func TestRefusesAFolderInUse(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "mine.txt"), []byte("kept"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Stage(context.Background(), archiveOf(t, map[string]string{"studio.md": studioRecord}), dir); err == nil || !strings.Contains(err.Error(), "fresh folder") {
		t.Errorf("staged into a folder in use: %v", err)
	}
	if body, err := os.ReadFile(filepath.Join(dir, "mine.txt")); err != nil || string(body) != "kept" {
		t.Errorf("what was there: %q, %v", body, err)
	}
}

// TestStops at a context that has ended.
func TestStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Stage(ctx, archiveOf(t, map[string]string{"studio.md": studioRecord}), filepath.Join(t.TempDir(), "stage")); err != context.Canceled {
		t.Errorf("got %v, want %v", err, context.Canceled)
	}
}

// TestSlugs: whatever the ids, addresses differ even to a disk that folds case,
// and are plain.
func TestSlugs(t *testing.T) {
	plain := regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)
	rapid.Check(t, func(t *rapid.T) {
		ids := rapid.SliceOfDistinct(rapid.OneOf(rapid.String(), rapid.StringMatching(`[aA]-?[bB]?|page|index|con|lpt1|`)), itself).Draw(t, "ids")
		got := slugs(ids, itself, itself)
		owner := map[string]string{}
		for _, id := range ids {
			s := got[id]
			if !plain.MatchString(s) || hugo.Taken(s) {
				t.Fatalf("%q has the address %q", id, s)
			}
			if other, taken := owner[s]; taken {
				t.Fatalf("%q and %q share the address %q", id, other, s)
			}
			owner[s] = id
		}
	})
}

// large is an archive of n plates in memory, with batches and clients that grow
// with it.
func large(t testing.TB, n int) Input {
	t.Helper()
	in := archiveOf(t, map[string]string{"studio.md": studioRecord})
	a := in.Archive
	day := time.Date(2016, 1, 4, 9, 0, 0, 0, a.Studio.Zone)
	for i := range n/60 + 1 {
		for _, kind := range record.BatchKinds {
			id := fmt.Sprintf("%s-%03d", kind, i)
			a.Batches[id] = &record.Batch{Source: record.Source{File: "batches/" + id + ".md"}, ID: id, Kind: kind, Mixed: record.DateOf(day.AddDate(0, 0, 16*i)), VolumeML: 500, RetainedMLPerDM2: 1.5}
		}
	}
	for i := range n/20 + 1 {
		id := fmt.Sprintf("client-%04d", i)
		a.Clients[id] = &record.Client{ID: id, Name: "Client " + id, Source: record.Source{File: id + ".md"}}
	}
	lights := []string{"north skylight", "open shade", "lamps"}
	for i := range n {
		ev := 8 + float64(i%9)/2
		p := &record.Plate{ID: fmt.Sprintf("%05d", i), Source: record.Source{File: fmt.Sprintf("plates/%05d.md", i), Body: "Notes of this plate, some of them long."}, Made: day.AddDate(0, 0, i*16/60), Timed: true,
			Purpose: "portrait", Support: record.Supports[i%4], Format: record.Formats[i%6], Client: fmt.Sprintf("client-%04d", i/20), Title: "A plate",
			Exposure: record.Exposure{Seconds: 4 * float64(1+i%5) / 2, Stop: 5.6}, Light: record.Light{Kind: lights[i%3], EV100: &ev}, Judged: record.Grades[(i*7)%3], Outcome: record.Outcomes[(i*i)%3]}
		b := i / 60
		p.Batches = record.PlateBatches{Collodion: fmt.Sprintf("collodion-%03d", b), Bath: fmt.Sprintf("bath-%03d", b), Developer: fmt.Sprintf("developer-%03d", b), Fixer: fmt.Sprintf("fixer-%03d", b), Varnish: fmt.Sprintf("varnish-%03d", b)}
		if i%5 == 0 {
			p.Flaws = []string{record.Flaws[i%len(record.Flaws)]}
		}
		a.Plates = append(a.Plates, p)
		in.Findings = append(in.Findings, finding.Finding{Severity: finding.Remark, Code: "not-scanned", File: p.File, Message: "no scan yet", Remedy: "scan it", Plate: p.ID})
	}
	var err error
	if in.Analysis, err = analysis.Analyse(context.Background(), a, today); err != nil {
		t.Fatal(err)
	}
	return in
}

// TestNoPageGrows: twice the archive makes twice the pages, and none of
// them larger by more than its numbers' digits.
func TestNoPageGrows(t *testing.T) {
	largest := func(n int) (name string, bytes int64) {
		dir := filepath.Join(t.TempDir(), "stage")
		if _, err := Stage(context.Background(), large(t, n), dir); err != nil {
			t.Fatal(err)
		}
		err := filepath.Walk(filepath.Join(dir, "content"), func(path string, info os.FileInfo, err error) error {
			if err == nil && !info.IsDir() && info.Size() > bytes {
				name, bytes = path, info.Size()
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		return filepath.Base(name), bytes
	}
	_, small := largest(1800)
	name, big := largest(3600)
	if float64(big) > 1.15*float64(small) {
		t.Errorf("the largest page, %s, grew from %d to %d bytes", name, small, big)
	}
	if big > 150_000 {
		t.Errorf("%s holds %d bytes", name, big)
	}
}

// BenchmarkStage stages 10,000 plates.
func BenchmarkStage(b *testing.B) {
	in := large(b, 10_000)
	for b.Loop() {
		if _, err := Stage(context.Background(), in, filepath.Join(b.TempDir(), "stage")); err != nil {
			b.Fatal(err)
		}
	}
}
