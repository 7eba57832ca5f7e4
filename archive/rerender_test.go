package archive_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// whole builds the archive as it is with nothing to take over, elsewhere.
func (r *rooms) whole() (out, bench string) {
	r.t.Helper()
	memory := map[string]string{}
	for _, name := range []string{"last-build", "rendered-portfolio", "rendered-bench-book"} {
		memory[name] = r.read(".sandarac/cache/" + name)
		os.Remove(r.at(".sandarac/cache/" + name))
	}
	here := r.opt
	defer func() {
		r.opt = here
		for name, text := range memory {
			r.write(".sandarac/cache/"+name, text)
		}
	}()
	r.opt.Out, r.opt.Bench = filepath.Join(r.t.TempDir(), "public"), filepath.Join(r.t.TempDir(), "bench-book")
	r.build()
	if r.tookOver() {
		r.t.Fatal("a whole build took something over")
	}
	return r.opt.Out, r.opt.Bench
}

// tookOver tells whether the last build took pages over.
func (r *rooms) tookOver() bool {
	return slices.ContainsFunc(r.notes, func(n string) bool { return strings.HasPrefix(n, "rendered ") })
}

// content is every file of a folder.
func content(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		body, err := os.ReadFile(path)
		rel, _ := filepath.Rel(dir, path)
		out[filepath.ToSlash(rel)] = string(body)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// TestRerender: a site whose unchanged pages were taken over is to the byte the one
// that a whole build makes.
func TestRerender(t *testing.T) {
	r := newRooms(t)
	for i, id := range []string{"ada", "bo", "cem", "ada", "cem"} {
		name := "june/" + id + "-" + string(rune('5'+i))
		r.write(name+".md", strings.Replace(plateRecord("26-10"+string(rune('1'+i)), id, "The reed cutters, "+id), "05-09", "06-0"+string(rune('1'+i)), 1))
		r.write(name+".jpg", picture(t, uint64(20+i)))
	}
	r.build()
	for _, c := range []struct {
		what     string
		change   func()
		takeOver bool
	}{
		{"a note", func() { r.edit("june/ada-5.md", "Poured thin.", "Poured thick.") }, true},
		{"a description", func() { r.edit("june/bo-6.md", "alt: Somebody", "alt: A reed cutter") }, true},
		{"a title, and with it an address", func() { r.edit("may/ada-1.md", "title: Ada Quill", "title: Miss Quill") }, true},
		{"a plate that is hidden", func() { r.edit("june/cem-9.md", "outcome: keeper", "outcome: remake") }, false},
		{"a plate that is shown again", func() { r.edit("june/cem-9.md", "outcome: remake", "outcome: keeper") }, false},
		{"a new plate", func() {
			r.write("june/bo-10.md", plateRecord("26-110", "bo", "Bo Tarn with a lamp"))
			r.write("june/bo-10.jpg", picture(t, 40))
		}, false},
		{"a plate removed", func() { os.Remove(r.at("june/bo-10.md")); os.Remove(r.at("june/bo-10.jpg")) }, false},
		{"a sitter who may not be named", func() { r.edit("sitters/cem.md", "name: true", "name: false") }, true},
		{"a consent withdrawn", func() { r.edit("sitters/bo.md", "until: 2026-06-20", "withdrawn: 2026-06-10") }, true},
		{"a client", func() { r.edit("reeds.md", "Dov", "Dora") }, true},
		{"the studio", func() { r.edit("studio.md", "Rooms", "Room") }, false},
		{"a page spoilt", func() {
			r.edit("june/ada-5.md", "Poured thick.", "Poured thin.")
			r.write(r.find("bench-book/plates/26-103/index.html"), "gone")
			r.write(r.find("public/plates/the-reed-cutters-ada-*/index.html"), "gone")
		}, true},
		{"what pages load spoilt", func() {
			r.edit("june/ada-5.md", "Poured thin.", "Poured thick.")
			r.write(r.find("public/js/*.js"), "gone")
		}, true},
		{"another day, of which the portfolio says nothing", func() { r.day("2026-06-16") }, true},
	} {
		t.Run(c.what, func(t *testing.T) {
			r.t = t
			c.change()
			if _, skipped := r.build(); skipped {
				t.Fatal("nothing was built")
			}
			if r.tookOver() != c.takeOver {
				t.Errorf("took pages over: %v; %v", r.tookOver(), r.notes)
			}
			out, bench := r.whole()
			for _, site := range [][2]string{{r.opt.Out, out}, {r.opt.Bench, bench}} {
				is, want := content(t, site[0]), content(t, site[1])
				for name, body := range want {
					if is[name] != body {
						t.Errorf("%s differs (%d bytes, %d in a whole build)", name, len(is[name]), len(body))
					}
				}
				for name := range is {
					if _, ok := want[name]; !ok {
						t.Errorf("%s is in no whole build", name)
					}
				}
			}
		})
	}
}
