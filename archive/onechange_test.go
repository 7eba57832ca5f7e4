package archive_test

import (
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// secretPart is the part of an address that the archive's secret decides.
var secretPart = regexp.MustCompile(`-[a-z0-9]{16}\b|/[a-z0-9]{16,}\b|-[0-9a-f]{8}\b`)

// plain gives paths below the archive without what a secret or a sum put in them,
// each once.
func (r *rooms) plain(paths []string) []string {
	var out []string
	for _, p := range paths {
		rel, err := filepath.Rel(r.dir, p)
		if err != nil {
			r.t.Fatal(err)
		}
		out = append(out, secretPart.ReplaceAllString(filepath.ToSlash(rel), "*"))
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// TestOneChange: after a change in one record, only what says so is another file.
func TestOneChange(t *testing.T) {
	r := newRooms(t)
	r.build()
	for _, c := range []struct {
		what           string
		change         func()
		replaced, gone string
	}{
		{"a note, which the bench book alone shows", func() { r.edit("may/ada-1.md", "Poured thin.", "Poured thick.") }, `
			bench-book/plates/26-001/index.html
			bench-book/plates/index/directory.json
			bench-book/plates/index/e0*.bin
			bench-book/plates/index/t0*.bin`, `
			bench-book/plates/index/e0*.bin
			bench-book/plates/index/t0*.bin`},
		{"a description: the plate's page, those that lead to it, the lists it stands in", func() { r.edit("may/ada-1.md", "alt: Somebody", "alt: A reed maker") }, `
			bench-book/clients/reeds/index.html
			bench-book/plates/26-001/index.html
			bench-book/plates/index.html
			bench-book/plates/index/c0*.bin
			bench-book/plates/index/directory.json
			bench-book/plates/index/e0*.bin
			bench-book/plates/index/t0*.bin
			public/catalogue/index.html
			public/catalogue/index/c0*.bin
			public/catalogue/index/directory.json
			public/catalogue/index/e0*.bin
			public/catalogue/index/t0*.bin
			public/feed.xml
			public/formats/quarter/index.html
			public/g*/list.bin
			public/index.html
			public/plates/ada-quill-by-the-door*/index.html
			public/plates/ada-quill-by-the-door*/manifest.json
			public/plates/bo-tarn-by-the-door*/index.html
			public/plates/cem-alder-by-the-door*/index.html
			public/supports/tin/index.html
			public/years/2026/index.html`, `
			bench-book/plates/index/c0*.bin
			bench-book/plates/index/e0*.bin
			bench-book/plates/index/t0*.bin
			public/catalogue/index/c0*.bin
			public/catalogue/index/e0*.bin
			public/catalogue/index/t0*.bin`},
		{"a consent withdrawn", func() { r.edit("sitters/bo.md", "until: 2026-06-20", "withdrawn: 2026-06-10") }, `
			bench-book/check/index.html
			bench-book/consents/index.html
			bench-book/index.html
			bench-book/plates/26-002/index.html
			public/catalogue/index.html
			public/catalogue/index/c0*.bin
			public/catalogue/index/directory.json
			public/catalogue/index/e0*.bin
			public/catalogue/index/f-format*.bin
			public/catalogue/index/f-support*.bin
			public/catalogue/index/f-year*.bin
			public/catalogue/index/t0*.bin
			public/feed.xml
			public/formats/index.html
			public/formats/quarter/index.html
			public/g*/list.bin
			public/index.html
			public/plates/ada-quill-by-the-door*/index.html
			public/plates/cem-alder-by-the-door*/index.html
			public/sitemap.xml
			public/supports/index.html
			public/supports/tin/index.html
			public/years/2026/index.html
			public/years/index.html`, `
			public/catalogue/index/c0*.bin
			public/catalogue/index/e0*.bin
			public/catalogue/index/f-format*.bin
			public/catalogue/index/f-support*.bin
			public/catalogue/index/f-year*.bin
			public/catalogue/index/t0*.bin
			public/iiif*/full/160,208/0/default.jpg
			public/iiif*/full/226,294/0/default.jpg
			public/iiif*/full/320,416/0/default.jpg
			public/iiif*/full/max/0/default.jpg
			public/iiif*/info.json
			public/plates/bo-tarn-by-the-door*/index.html
			public/plates/bo-tarn-by-the-door*/manifest.json`},
	} {
		before := r.standing()
		c.change()
		r.build()
		replaced, gone := kept(before, r.standing())
		for what, lists := range map[string][2][]string{
			"replaced": {r.plain(replaced), strings.Fields(c.replaced)}, "gone": {r.plain(gone), strings.Fields(c.gone)},
		} {
			if !slices.Equal(lists[0], lists[1]) {
				t.Errorf("%s: %s\n%s", c.what, what, strings.Join(lists[0], "\n"))
			}
		}
	}
}
