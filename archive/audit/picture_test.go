package audit

import (
	"bytes"
	"context"
	"encoding/base64"
	"fmt"
	"image"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/image/draw"

	"sandarac/archive/finding"
)

// plate reads a plate of the demo archive, its longer side brought to size.
func plate(t testing.TB, id string, size int) *image.Gray {
	t.Helper()
	paths, _ := filepath.Glob("../../plates/archive/*/" + id + "*.jpg")
	if len(paths) != 1 {
		t.Fatalf("plate %s of the demo archive: %v", id, paths)
	}
	f, err := os.Open(paths[0])
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := jpeg.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return scale(img, img.Bounds(), size)
}

// scale brings a part of a picture to size, as grey.
func scale(img image.Image, part image.Rectangle, size int) *image.Gray {
	k := float64(size) / float64(max(part.Dx(), part.Dy()))
	out := image.NewGray(image.Rect(0, 0, int(float64(part.Dx())*k), int(float64(part.Dy())*k)))
	draw.CatmullRom.Scale(out, out.Bounds(), img, part, draw.Src, nil)
	return out
}

func coded(img image.Image) string {
	var b bytes.Buffer
	jpeg.Encode(&b, img, &jpeg.Options{Quality: 85})
	return b.String()
}

func brighter(g *image.Gray) *image.Gray {
	out := image.NewGray(g.Rect)
	for i, v := range g.Pix {
		out.Pix[i] = uint8(math.Min(255, 20+1.3*float64(v)))
	}
	return out
}

// references writes small pictures of plates.
func references(t testing.TB, ids ...string) []Picture {
	t.Helper()
	var out []Picture
	dir := t.TempDir()
	for _, id := range ids {
		path := filepath.Join(dir, id+".jpg")
		if err := os.WriteFile(path, []byte(coded(plate(t, id, 400))), 0o644); err != nil {
			t.Fatal(err)
		}
		out = append(out, Picture{id, path})
	}
	return out
}

// Plates of the demo: two of one view, of which one is a keeper, and others.
const (
	remake = "26-028"
	again  = "26-029"
	sitter = "26-026"
	other  = "26-007"
)

// An unpublished plate's pixels under another name.
func TestHiddenPixels(t *testing.T) {
	f := Forbidden{Hidden: references(t, sitter, remake), Shown: references(t, other)}
	whole := plate(t, sitter, 900)
	w, h := whole.Rect.Dx(), whole.Rect.Dy()
	inset := image.Rect(w/20, h/20, w-w/20, h-h/20)
	for how, files := range map[string]map[string]string{
		"as it is":   {"img/k3jd7fh2.jpg": coded(whole)},
		"smaller":    {"img/k3jd7fh2.jpg": coded(scale(whole, whole.Rect, 240))},
		"brightened": {"img/k3jd7fh2.jpg": coded(brighter(whole))},
		"cropped":    {"img/k3jd7fh2.jpg": coded(scale(whole, inset, 700))},
		"in a page":  {"a.html": `<img alt="x" src="data:image/jpeg;base64,` + std(coded(scale(whole, whole.Rect, 300))) + `">`},
		"in a style": {"a.css": `p{background:url("data:image/jpeg;base64,` + std(coded(scale(whole, whole.Rect, 300))) + `")}`},
		"in an SVG":  {"a.svg": `<svg><image href="data:image/jpeg;base64,` + std(coded(scale(whole, inset, 300))) + `"/></svg>`},
		"in JSON":    {"a.json": `{"x":"` + base64.RawURLEncoding.EncodeToString([]byte(coded(scale(whole, whole.Rect, 300)))) + `"}`},
		"gzipped":    {"a.gz": gzipped(coded(scale(whole, whole.Rect, 300)))},
	} {
		found := look(t, tree(t, files), f, Options{})
		if len(found) != 1 || found[0].Code != codePicture || found[0].Plate != sitter {
			t.Errorf("%s: %+v", how, found)
		}
	}
	if found := look(t, tree(t, map[string]string{"img/a.jpg": coded(plate(t, other, 900)), "img/b.jpg": coded(plate(t, other, 300))}), f, Options{}); len(found) > 0 {
		t.Errorf("false alarm: %+v", found)
	}
}

// A published plate is like an unpublished one of the same view, but more like
// itself.
func TestRemakeDoesNotBlock(t *testing.T) {
	dir := tree(t, map[string]string{"a.jpg": coded(plate(t, again, 900)), "b.jpg": coded(plate(t, again, 400)), "c.jpg": coded(plate(t, again, 200))})
	if found := look(t, dir, Forbidden{Hidden: references(t, remake), Shown: references(t, again)}, Options{}); len(found) > 0 {
		t.Errorf("false alarm: %+v", found)
	}
	// The other way about it is a leak: the scan of the remake in the keeper's place.
	found := look(t, dir, Forbidden{Hidden: references(t, again), Shown: references(t, remake)}, Options{})
	if len(found) != 3 || found[0].Plate != again {
		t.Errorf("the wrong scan of two: %+v", found)
	}
	// Where two plates have one and the same scan, the hidden one wins.
	if found := look(t, dir, Forbidden{Hidden: references(t, again), Shown: references(t, again)}, Options{}); len(found) != 3 {
		t.Errorf("one scan for two plates: %+v", found)
	}
}

func TestPictureFaults(t *testing.T) {
	img := coded(plate(t, other, 200))
	xmp := "http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta xmlns:x='adobe:ns:meta/'><rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#'><rdf:Description rdf:about='' xmlns:dc='http://purl.org/dc/elements/1.1/'><dc:rights><rdf:Alt><rdf:li xml:lang='x-default'>%s</rdf:li></rdf:Alt></dc:rights>%s</rdf:Description></rdf:RDF></x:xmpmeta>"
	with := func(marker byte, body string) string {
		return img[:2] + string([]byte{0xff, marker, byte((len(body) + 2) >> 8), byte(len(body) + 2)}) + body + img[2:]
	}
	for how, c := range map[string]struct{ data, code string }{
		"sound":                  {img, ""},
		"sound with rights":      {with(0xe1, fmt.Sprintf(xmp, "© Barge Studio", "")), ""},
		"a comment":              {with(0xfe, "scan"), codeMeta},
		"a name in the rights":   {with(0xe1, fmt.Sprintf(xmp, "© "+fullName, "")), "audit-name"},
		"one word in the rights": {with(0xe1, fmt.Sprintf(xmp, "Rose", "")), "audit-name"},
		"a name in a field":      {with(0xe1, fmt.Sprintf(xmp, "x", "<dc:subject>"+fullName+"</dc:subject>")), "audit-name"},
		"an id in a comment":     {with(0xfe, "x "+hiddenID), "audit-plate"},
		"a name in UTF-16":       {with(0xe1, "Exif\x00\x00"+utf16le(fullName)), "audit-name"},
		"a name behind the end":  {img + fullName, "audit-name"},
		"a key behind the end":   {img + galleryKey, codeSecret},
		"a picture behind":       {img + img, codeMeta},
		"cut off":                {img[:len(img)/2], codeMeta},
		"undecodable":            {img[:300] + strings.Repeat("\xff\x00", 200) + "\xff\xd9", codeKind},
		"another kind":           {"GIF89a", codeKind},
	} {
		found := look(t, tree(t, map[string]string{"a.jpg": c.data}), forbidden(), Options{})
		if (c.code == "") != (len(found) == 0) || !strings.Contains(codes(found), c.code) {
			t.Errorf("%s: %+v", how, found)
		}
	}
}

func TestMissingReference(t *testing.T) {
	_, err := Tree(context.Background(), t.TempDir(), Forbidden{Hidden: []Picture{{"26-001", "/nowhere.jpg"}}}, Options{})
	if err == nil || !strings.Contains(err.Error(), "26-001") {
		t.Errorf("got %v", err)
	}
}

// run audits with a cache and says how many texts were searched and pictures decoded.
func run(t testing.TB, dir string, f Forbidden, cache string) (found []finding.Finding, searched, decoded int64) {
	t.Helper()
	opt := Options{Cache: cache}
	a := newAuditor(dir, f, opt)
	found, err := a.run(context.Background(), f, opt)
	if err != nil {
		t.Fatal(err)
	}
	return found, a.searched.Load(), a.pictures.decoded.Load()
}

// The second audit of the same reads no text again and decodes nothing; what is
// new, in the tree or in what is forbidden, is seen all the same.
func TestCache(t *testing.T) {

	first, second := coded(plate(t, again, 500)), coded(plate(t, other, 500))
	dir := tree(t, map[string]string{"index.html": page(""), "b.html": page("<p>by Ann Fuller</p>"), "a.jpg": first, "b.jpg": second})
	cache := t.TempDir()
	f := forbidden()
	f.Hidden, f.Shown = references(t, remake), references(t, again, other)
	check := func(step string, wantFound string, wantSearched, wantDecoded int64) {
		t.Helper()
		found, searched, decoded := run(t, dir, f, cache)
		if codes(found) != wantFound || searched != wantSearched || wantDecoded >= 0 && decoded != wantDecoded {
			t.Errorf("%s: found %q, searched %d, decoded %d; want %q, %d, %d", step, codes(found), searched, decoded, wantFound, wantSearched, wantDecoded)
		}
	}
	check("first", "", 2, -1)
	check("again", "", 0, 0)
	write := func(name, text string) {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("index.html", page("<p>more</p>"))
	check("one page changed", "", 1, 0)
	// The same bytes with another time: read, but known.
	long := time.Now().Add(-time.Hour)
	os.Chtimes(filepath.Join(dir, "a.jpg"), long, long)
	check("one picture touched", "", 0, 0)
	f.Things = append(f.Things, Thing{Kind: Name, Text: "Ann Fuller"})
	check("a name is private now", "b.html:8 audit-name", 2, 0)
	check("and still", "b.html:8 audit-name", 1, 0)
	f.Things = f.Things[:len(f.Things)-1]
	f.Hidden = append(f.Hidden, references(t, other)...)
	check("a plate is hidden now, by its own words still shown", "b.jpg:0 audit-picture", 2, -1)
	f.Shown = f.Shown[:1]
	check("and no more shown", "b.jpg:0 audit-picture", 0, -1)
	f.Hidden = f.Hidden[:1]
	f.Shown = nil
	check("its witness is gone", "a.jpg:0 audit-picture", 0, -1)
	write("b.jpg", first)
	f.Shown = references(t, again, other)
	check("all is well", "", 0, -1)
	check("again", "", 0, 0)
	for _, name := range []string{indexFile, sketchesFile} {
		path := filepath.Join(cache, name)
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		data[len(data)/2] ^= 1
		os.WriteFile(path, data, 0o600)
		want := int64(2)
		if name == sketchesFile {
			want = 0
		}
		check("damaged cache", "", want, -1)
	}
}

// A picture known from before is searched for names that became private since.
func TestCachedWords(t *testing.T) {
	img := coded(plate(t, other, 200))
	body := "http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta xmlns:x='adobe:ns:meta/'><rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#'><rdf:Description rdf:about='' xmlns:dc='http://purl.org/dc/elements/1.1/'><dc:rights>© Ann Fuller</dc:rights></rdf:Description></rdf:RDF></x:xmpmeta>"
	img = img[:2] + string([]byte{0xff, 0xe1, byte((len(body) + 2) >> 8), byte(len(body) + 2)}) + body + img[2:]
	dir, cache := tree(t, map[string]string{"a.jpg": img, "b.jpg": img}), t.TempDir()
	if found, _, _ := run(t, dir, Forbidden{}, cache); len(found) > 0 {
		t.Fatalf("got %+v", found)
	}
	f := Forbidden{Things: []Thing{{Kind: Name, Text: "Ann Fuller"}}}
	for range 2 {
		if found, _, _ := run(t, dir, f, cache); codes(found) != "a.jpg:0 audit-name, b.jpg:0 audit-name" {
			t.Errorf("got %s", codes(found))
		}
	}
	if found, _, decoded := run(t, dir, Forbidden{}, cache); len(found) > 0 || decoded > 2 {
		t.Errorf("got %s, decoded %d", codes(found), decoded)
	}
}
