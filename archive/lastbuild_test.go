package archive_test

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/jpeg"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"sandarac/archive"
	"sandarac/archive/record"
)

// rooms is an archive small enough to be built for every case.
type rooms struct {
	t     *testing.T
	dir   string
	opt   archive.BuildOptions
	notes []string
}

func (r *rooms) Note(line string)      { r.notes = append(r.notes, line) }
func (*rooms) Step(string, int, int)   {}
func (r *rooms) at(name string) string { return filepath.Join(r.dir, filepath.FromSlash(name)) }
func (r *rooms) read(name string) string {
	r.t.Helper()
	text, err := os.ReadFile(r.at(name))
	if err != nil {
		r.t.Fatal(err)
	}
	return string(text)
}

func (r *rooms) write(name, text string) {
	r.t.Helper()
	if err := os.MkdirAll(filepath.Dir(r.at(name)), 0o755); err != nil {
		r.t.Fatal(err)
	}
	if err := os.WriteFile(r.at(name), []byte(text), 0o644); err != nil {
		r.t.Fatal(err)
	}
}

func (r *rooms) edit(name, old, new string) {
	r.t.Helper()
	text := r.read(name)
	if !strings.Contains(text, old) {
		r.t.Fatalf("%s does not say %q", name, old)
	}
	r.write(name, strings.Replace(text, old, new, 1))
}

func (r *rooms) day(text string) {
	r.opt.Today = func(*time.Location) (record.Date, error) { return record.ParseDate(text) }
}

// build builds, and says whether it was skipped.
func (r *rooms) build() (built *archive.Built, skipped bool) {
	r.t.Helper()
	r.notes = nil
	built, err := archive.Build(context.Background(), r.opt)
	if err != nil {
		r.t.Fatal(err)
	}
	return built, slices.ContainsFunc(r.notes, func(n string) bool { return strings.HasPrefix(n, "unchanged ") })
}

func plateRecord(id, sitter, title string) string {
	return fmt.Sprintf("---\nplate: %s\nmade: 2026-05-09T11:20\nsupport: tin\nformat: quarter\noutcome: keeper\nsitters: [{sitter: %s}]\nclient: reeds\ntitle: %s\nalt: Somebody by a door.\n---\nPoured thin.\n", id, sitter, title)
}

func sitterRecord(id, name, until string) string {
	return fmt.Sprintf("---\nsitter: %s\nname: %s\nconsent: {portfolio: true, name: true, given: 2026-05-01, until: %s}\n---\n", id, name, until)
}

// picture is a JPEG of soft fields of tone that differ by seed.
func picture(t *testing.T, seed uint64) string {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, seed))
	var field [9][9]float64
	for y := range field {
		for x := range field[y] {
			field[y][x] = 20 + 210*r.Float64()
		}
	}
	img := image.NewGray(image.Rect(0, 0, 320, 416))
	for y := range 416 {
		for x := range 320 {
			i, j := x/40, y/52
			fx, fy := float64(x%40)/40, float64(y%52)/52
			top, low := field[j][i]*(1-fx)+field[j][i+1]*fx, field[j+1][i]*(1-fx)+field[j+1][i+1]*fx
			img.Pix[y*img.Stride+x] = uint8(top*(1-fy) + low*fy)
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func newRooms(t *testing.T) *rooms {
	dir := t.TempDir()
	r := &rooms{t: t, dir: dir}
	r.opt = archive.BuildOptions{Root: dir, Out: filepath.Join(dir, "public"), Bench: filepath.Join(dir, "bench-book"), Report: r}
	r.day("2026-06-15")
	r.write("studio.md", "---\nstudio: Reed Street Rooms\nurl: https://plates.example/\ntime_zone: Europe/Dublin\nemail: studio@plates.example\ncredit: Ilse Tarn\ncopyright: © 2026 Ilse Tarn\n---\n")
	r.write("reeds.md", "---\nclient: reeds\nname: Dov Marsh\nemail: dov@plates.example\n---\n")
	for i, name := range []string{"Ada Quill", "Bo Tarn", "Cem Alder"} {
		id := strings.ToLower(strings.Fields(name)[0])
		until := []string{"2026-12-31", "2026-06-20", "2027-01-31"}[i]
		r.write("sitters/"+id+".md", sitterRecord(id, name, until))
		r.write("may/"+id+"-1.md", plateRecord("26-00"+string(rune('1'+i)), id, name+" by the door"))
		r.write("may/"+id+"-1.jpg", picture(t, uint64(i+1)))
	}
	return r
}

// standing is every file of both sites as the disk knows it.
func (r *rooms) standing() map[string]fs.FileInfo {
	out := map[string]fs.FileInfo{}
	for _, site := range []string{r.opt.Out, r.opt.Bench} {
		err := filepath.WalkDir(site, func(path string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			info, err := d.Info()
			out[path] = info
			return err
		})
		if err != nil {
			r.t.Fatal(err)
		}
	}
	return out
}

// kept holds two states of the sites against each other: the names that are new or
// not the same file any more, and those that are gone.
func kept(before, after map[string]fs.FileInfo) (replaced, gone []string) {
	for path, is := range after {
		if is.IsDir() {
			continue
		}
		if was, ok := before[path]; !ok || !os.SameFile(was, is) || !was.ModTime().Equal(is.ModTime()) {
			replaced = append(replaced, path)
		}
	}
	for path, was := range before {
		if _, ok := after[path]; !ok && !was.IsDir() {
			gone = append(gone, path)
		}
	}
	slices.Sort(replaced)
	slices.Sort(gone)
	return replaced, gone
}

// find gives a file of the sites by a pattern.
func (r *rooms) find(pattern string) string {
	r.t.Helper()
	found, err := filepath.Glob(r.at(pattern))
	if err != nil || len(found) == 0 {
		r.t.Fatalf("%s: nothing (%v)", pattern, err)
	}
	rel, _ := filepath.Rel(r.dir, found[0])
	return filepath.ToSlash(rel)
}

// TestBuildAgain: a build is skipped if and only if nothing that it depends on was
// touched, and then writes nothing.
func TestBuildAgain(t *testing.T) {
	r := newRooms(t)
	first, skipped := r.build()
	if skipped || first.Published != 3 || first.Galleries != 1 {
		t.Fatalf("first build: %+v, skipped %v", first, skipped)
	}
	again := func(t *testing.T) *archive.Built {
		t.Helper()
		before := r.standing()
		built, skipped := r.build()
		if !skipped {
			t.Error("nothing changed, and everything was built")
		}
		after := r.standing()
		for path, was := range before {
			if is := after[path]; is == nil || !os.SameFile(was, is) || !was.ModTime().Equal(is.ModTime()) {
				t.Errorf("%s was touched", path)
			}
		}
		return built
	}
	built := again(t)
	if built.Public.Any() || built.Public.Same == 0 || built.Decoded != 0 || built.Published != first.Published || built.Galleries != first.Galleries ||
		built.Today != first.Today || !slices.Equal(built.Findings, first.Findings) {
		t.Errorf("a skipped build says %+v, the first said %+v", built, first)
	}
	for _, c := range changes(r) {
		t.Run(c.what, func(t *testing.T) {
			r.t = t
			if c.only != "" && !strings.Contains(c.only, runtime.GOOS) {
				t.Skip("the system does not tell")
			}
			c.change()
			built, skipped := r.build()
			if skipped {
				t.Fatal("a change was not seen")
			}
			if c.after != nil {
				c.after(built)
			}
			again(t)
		})
	}
}

// inode are the systems on which a file's inode and its last change are known.
const inode = "linux darwin"

type change struct {
	what   string
	only   string // systems
	change func()
	after  func(*archive.Built)
}

// changes are made one after the other to one archive.
func changes(r *rooms) []change {
	mended := map[string]string{}
	spoil := func(name, text string) { // keeps time and length, if the text has it
		mended[name] = r.read(name)
		info, _ := os.Stat(r.at(name))
		r.write(name, text)
		os.Chtimes(r.at(name), info.ModTime(), info.ModTime())
	}
	whole := func(*archive.Built) {
		for name, text := range mended {
			if r.read(name) != text {
				r.t.Errorf("%s was not mended", name)
			}
			delete(mended, name)
		}
	}
	published := func(n int) func(*archive.Built) {
		return func(b *archive.Built) {
			if b.Published != n {
				r.t.Errorf("%d plates published, want %d", b.Published, n)
			}
		}
	}
	page := func() string { return r.find("public/plates/ada-quill-*/index.html") }
	return []change{
		{what: "a note", change: func() { r.edit("may/ada-1.md", "Poured thin.", "Poured thick.") }},
		{what: "as many letters, at the same time", only: inode, change: func() {
			info, _ := os.Stat(r.at("may/ada-1.md"))
			r.edit("may/ada-1.md", "thick", "thinn")
			os.Chtimes(r.at("may/ada-1.md"), info.ModTime(), info.ModTime())
		}},
		{what: "the studio", change: func() { r.edit("studio.md", "Rooms", "Room") }},
		{what: "a client", change: func() { r.edit("reeds.md", "Dov", "Dora") }},
		{what: "a scan", change: func() { r.write("may/ada-1.jpg", picture(r.t, 77)) }},
		{what: "a scan renamed with its sidecar", change: func() {
			os.Rename(r.at("may/cem-1.md"), r.at("may/cem-2.md"))
			os.Rename(r.at("may/cem-1.jpg"), r.at("may/cem-2.jpg"))
		}},
		{what: "a new plate", change: func() {
			r.write("may/ada-3.md", plateRecord("26-009", "ada", "Ada Quill again"))
			r.write("may/ada-3.jpg", picture(r.t, 9))
		}, after: published(4)},
		{what: "a plate removed", change: func() { os.Remove(r.at("may/ada-3.md")); os.Remove(r.at("may/ada-3.jpg")) }, after: published(3)},
		{what: "consent withdrawn", change: func() { r.edit("sitters/cem.md", "until: 2027-01-31", "withdrawn: 2026-06-10") }, after: published(2)},
		{what: "the last day of a consent", change: func() { r.day("2026-06-20") }, after: published(2)},
		{what: "the day after it", change: func() { r.day("2026-06-21") }, after: func(b *archive.Built) {
			published(1)(b)
			if found, _ := filepath.Glob(r.at("public/plates/bo-tarn-*")); len(b.Gone) != 1 || len(found) != 0 {
				r.t.Errorf("gone: %v; still there: %v", b.Gone, found)
			}
		}},
		{what: "strictness", change: func() { r.opt.Strict = true }},
		{what: "a page edited", only: inode, change: func() { spoil(page(), strings.Replace(r.read(page()), "Ada Quill", "Adam Quil", 1)) }, after: whole},
		{what: "a page written shorter", change: func() { spoil(page(), "gone") }, after: whole},
		{what: "a page removed", change: func() { mended[page()] = r.read(page()); os.Remove(r.at(page())) }, after: whole},
		{what: "a picture removed", change: func() {
			name := r.find("public/iiif/*/full/max/0/default.jpg")
			mended[name] = r.read(name)
			os.Remove(r.at(name))
		}, after: whole},
		{what: "a page of the bench book", change: func() { spoil("bench-book/index.html", "gone") }, after: whole},
		{what: "a stranger's file", change: func() { r.write("public/plates/note.txt", "who put me here?") }, after: func(*archive.Built) {
			if _, err := os.Stat(r.at("public/plates/note.txt")); err == nil {
				r.t.Error("it is still there")
			}
		}},
		{what: "the public site removed", change: func() { os.RemoveAll(r.opt.Out) }, after: published(1)},
		{what: "the secret", change: func() { os.Remove(r.at(".sandarac/secret")) }},
		{what: "the memory removed", change: func() { os.Remove(r.at(".sandarac/cache/last-build")) }},
		{what: "the memory damaged", change: func() { r.edit(".sandarac/cache/last-build", `"Layout":`, `"Layout":9`) }},
		{what: "the cache removed", change: func() { os.RemoveAll(r.at(".sandarac/cache")) }},
		{what: "another place", change: func() { r.opt.Bench = filepath.Join(r.t.TempDir(), "book") }},
	}
}

// TestBuildUnsure: where a scan cannot be read, the next build tries again.
func TestBuildUnsure(t *testing.T) {
	r := newRooms(t)
	whole := r.read("may/bo-1.jpg")
	r.write("may/bo-1.jpg", whole[:len(whole)/2])
	for range 2 {
		if built, skipped := r.build(); skipped || built.Published != 2 {
			t.Errorf("published %d, skipped %v", built.Published, skipped)
		}
	}
}

// TestBuildIgnoresHidden: what no build reads changes nothing.
func TestBuildIgnoresHidden(t *testing.T) {
	r := newRooms(t)
	r.build()
	r.write(".DS_Store", "litter")
	r.write("may/.thumbs/x.md", "litter")
	r.write(".sandarac/bench/journal", "a day's work")
	if _, skipped := r.build(); !skipped {
		t.Error("built for nothing")
	}
}
