package search

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"errors"
	"io"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

func build(t testing.TB, docs []Doc) Index {
	t.Helper()
	x, err := Build(docs, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func TestBuildRefuses(t *testing.T) {
	ok := Doc{URL: "p/1/"}
	for _, c := range []struct {
		name, doc, says string
		change          func(*Doc)
	}{
		{"no address", "number 2", "has no URL", func(d *Doc) { d.URL = "" }},
		{"same address", "p/1/", "same URL", func(d *Doc) { d.URL = "p/1/" }},
		{"script address", "javascript:alert(1)", "not an address within the site", func(d *Doc) { d.URL = "javascript:alert(1)" }},
		{"other host", "//elsewhere.example/", "not an address within the site", func(d *Doc) { d.URL = "//elsewhere.example/" }},
		{"other host by backslash", `\\elsewhere.example`, "not an address", func(d *Doc) { d.URL = `\\elsewhere.example` }},
		{"picture elsewhere", "p/2/", `Thumb.Src "https:`, func(d *Doc) { d.Thumb.Src = "https://elsewhere.example/a.jpg" }},
		{"picture as data", "p/2/", "Thumb.Src2x", func(d *Doc) { d.Thumb.Src2x = "data:image/png;base64,AA" }},
		{"weight 0", "p/2/", "weight 0", func(d *Doc) { d.Fields = []Field{{"a", 0}} }},
		{"weight 64", "p/2/", "weight 64", func(d *Doc) { d.Fields = []Field{{"a", 64}} }},
		{"facet q", "p/2/", "facet \"q\"", func(d *Doc) { d.Facets = map[string][]string{"q": {"a"}} }},
		{"facet name", "p/2/", "lower-case letters", func(d *Doc) { d.Facets = map[string][]string{"../x": {"a"}} }},
		{"facet value", "p/2/", "not empty", func(d *Doc) { d.Facets = map[string][]string{"tag": {""}} }},
		{"facet bytes", "p/2/", "UTF-8", func(d *Doc) { d.Facets = map[string][]string{"tag": {"\xff"}} }},
		{"facet many", "p/2/", "256 values", func(d *Doc) { d.Facets = map[string][]string{"tag": slices.Repeat([]string{"a"}, 256)} }},
		{"data key", "p/2/", "data key", func(d *Doc) { d.Data = map[string]string{"on-click": "x"} }},
		{"date", "p/2/", "YYYY-MM-DD", func(d *Doc) { d.Date = "June 2026" }},
		{"size", "p/2/", "negative", func(d *Doc) { d.WidthMM = -1 }},
		{"pixels", "p/2/", "negative", func(d *Doc) { d.Thumb.Height = -1 }},
		{"pixels of the larger", "p/2/", "negative", func(d *Doc) { d.Thumb.Width2x = -1 }},
	} {
		d := Doc{URL: "p/2/"}
		c.change(&d)
		_, err := Build([]Doc{ok, d}, Options{})
		var input *InputError
		if !errors.As(err, &input) {
			t.Errorf("%s: error %v, want an InputError", c.name, err)
			continue
		}
		if input.Doc != c.doc || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v; want document %q and %q", c.name, err, c.doc, c.says)
		}
	}
	for _, opt := range []Options{{ShardBytes: -1}, {CardsPerShard: -1}, {CardGroup: -1}} {
		if _, err := Build([]Doc{ok}, opt); err == nil {
			t.Errorf("%+v accepted", opt)
		}
	}
}

func TestBuildIsDeterministic(t *testing.T) {
	docs := made(400)
	first := build(t, docs)
	r := rand.New(rand.NewPCG(1, 2))
	for range 3 {
		r.Shuffle(len(docs), func(i, j int) { docs[i], docs[j] = docs[j], docs[i] })
		if again := build(t, docs); !maps.EqualFunc(first.Files, again.Files, bytes.Equal) {
			t.Fatal("the same documents in another order give other bytes")
		}
	}
}

// A new plate at the head of the catalogue changes none of the card files but
// those of the last group.
func TestNewDocumentKeepsCardFiles(t *testing.T) {
	docs := made(2000)
	before := build(t, docs[:1999])
	after := build(t, docs)
	kept, lost := 0, 0
	for name := range before.Files {
		if name[0] == 'c' {
			if _, ok := after.Files[name]; ok {
				kept++
			} else {
				lost++
			}
		}
	}
	if lost > 16 || kept < 230 {
		t.Errorf("%d card files kept, %d renamed; want only the last group of 16 renamed", kept, lost)
	}
}

func TestNamesFollowContent(t *testing.T) {
	name := regexp.MustCompile(`^([tec][0-9]+|f-[a-z0-9]+)-[0-9a-f]{8}\.bin$`)
	docs := made(300)
	a := build(t, docs)
	docs[7].Title = "Another title"
	docs[7].Fields[0].Text = "Another title"
	b := build(t, docs)
	changed := 0
	for n, body := range a.Files {
		if n == DirectoryName {
			continue
		}
		if !name.MatchString(n) {
			t.Errorf("file name %q", n)
		}
		if other, ok := b.Files[n]; !ok {
			changed++
		} else if !bytes.Equal(body, other) {
			t.Errorf("%s has other bytes under the same name", n)
		}
	}
	if changed == 0 {
		t.Error("a changed document changed no name")
	}
	var dir directory
	if err := json.Unmarshal(a.Files[DirectoryName], &dir); err != nil {
		t.Fatal(err)
	}
	if dir.Documents != 300 || len(dir.Facets) != 6 {
		t.Errorf("directory: %d documents, facets %v", dir.Documents, dir.Facets)
	}
}

func TestWriteTo(t *testing.T) {
	x := build(t, made(50))
	dir := filepath.Join(t.TempDir(), "a", "index")
	if err := x.WriteTo(dir); err != nil {
		t.Fatal(err)
	}
	for name, want := range x.Files {
		got, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s: %v, or other bytes", name, err)
		}
	}
	if err := os.WriteFile(filepath.Join(dir, "file"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := x.WriteTo(filepath.Join(dir, "file")); err == nil {
		t.Error("no error although a file is in the way")
	}
}

// What the first query moves is bounded by the sizes of the parts, however
// large the catalogue is: directory, one term file, and the cards.
func TestSizesOfParts(t *testing.T) {
	for _, n := range []int{2000, 20_000} {
		x := build(t, made(n))
		largest := map[byte]int{}
		for name, body := range x.Files {
			largest[name[0]] = max(largest[name[0]], len(body))
		}
		if largest['t'] > 8<<10 || largest['e'] > 8<<10 {
			t.Errorf("%d plates: term file of %d bytes, ending file of %d; want up to 8 KiB", n, largest['t'], largest['e'])
		}
		if largest['c'] > 1<<10 {
			t.Errorf("%d plates: card file of %d bytes, want up to 1 KiB", n, largest['c'])
		}
		if largest['d'] > 3<<10 {
			t.Errorf("%d plates: directory of %d bytes, want up to 3 KiB", n, largest['d'])
		}
	}
}

// Nothing but what was put in comes out: the card of a document holds only its
// own values, and text given nowhere is in no file.
func TestCardsHoldWhatWasGiven(t *testing.T) {
	docs := []Doc{{URL: "p/<b>&/", Title: `</script><script>alert(1)</script> "q" & O'Hara`, Sort: "unseen-sort-key", WidthMM: 82.55, HeightMM: 107.96,
		Data: map[string]string{"tone": "3"}, Fields: []Field{{"secret", 1}}}, {URL: "p/2/"}}
	x := build(t, docs)
	var all []byte
	for name, body := range x.Files {
		if name != DirectoryName {
			z, err := gzip.NewReader(bytes.NewReader(body))
			if err != nil {
				t.Fatal(err)
			}
			if body, err = io.ReadAll(z); err != nil {
				t.Fatal(err)
			}
		}
		all = append(all, body...)
	}
	if bytes.Contains(all, []byte("unseen-sort-key")) {
		t.Error("the sort key is in the index")
	}
	want := `[["p/2/"],["p/<b>&/","</script><script>alert(1)</script> \"q\" & O'Hara","","","","",0,0,0,"",82.6,108,"3"]]`
	if !bytes.Contains(all, []byte(want)) {
		t.Errorf("cards are not %s", want)
	}
}
