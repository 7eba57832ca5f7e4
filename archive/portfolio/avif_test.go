package portfolio

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sandarac/archive/picture"
)

// Where a plate has an AVIF, its page offers it before the JPEG, and nothing
// else does; where there is none, there is no source.
func TestAVIFIsOffered(t *testing.T) {
	site := testSite(2)
	sets := testSets(t, site, t.TempDir())
	with, without := site.Plates[0].Master, site.Plates[1].Master
	set := sets[with]
	coded := picture.File{Output: picture.Output{Width: AVIFWidth, AVIF: true, Edition: Edition}, Width: 1200, Height: 1500, Path: filepath.Join(t.TempDir(), "a.avif")}
	if err := os.WriteFile(coded.Path, []byte("coded"), 0o644); err != nil {
		t.Fatal(err)
	}
	set.Files = append(slices.Clone(set.Files), coded)
	sets[with] = set
	staged, out := buildSite(t, site, sets, Options{})
	page := func(id string) string {
		body, err := os.ReadFile(filepath.Join(out, filepath.FromSlash(staged.Paths[id]), "index.html"))
		if err != nil {
			t.Fatal(err)
		}
		return string(body)
	}
	var address string
	for _, c := range staged.Copies {
		if c.From == coded.Path {
			address = c.To
		}
	}
	if !strings.HasSuffix(address, "/full/1200,1500/0/default.avif") {
		t.Fatalf("the AVIF lies at %q", address)
	}
	got := page(site.Plates[0].ID)
	if !strings.Contains(got, `<picture><source type="image/avif" srcset=`) && !strings.Contains(got, `<picture><source type=image/avif srcset=`) || strings.Count(got, address) != 1 {
		t.Errorf("the page with an AVIF:\n%s", got)
	}
	if strings.Contains(page(site.Plates[1].ID), "avif") || sets[without].Files == nil {
		t.Error("the page without an AVIF names one")
	}
	home, err := os.ReadFile(filepath.Join(out, "index.html"))
	if err != nil || strings.Contains(string(home), ".avif") {
		t.Errorf("the first page offers it for a small picture, or is not there: %v", err)
	}
}

// The studio asks for it; a program that cannot make it is not asked.
func TestAVIFJobs(t *testing.T) {
	site := testSite(1)
	for _, on := range []bool{false, true} {
		site.Studio.AVIF = on
		asked := slices.ContainsFunc(Jobs(site)[0].Outputs, func(o picture.Output) bool { return o.AVIF && o.Width == AVIFWidth })
		if asked != (on && picture.CanAVIF) {
			t.Errorf("avif %v: asked %v", on, asked)
		}
	}
}
