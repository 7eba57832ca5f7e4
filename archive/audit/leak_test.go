package audit

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"compress/gzip"
	"context"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"html"
	"mime/quotedprintable"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf16"

	"sandarac/archive/finding"
	"sandarac/archive/search"
)

// What is forbidden in the tests of this file. All people are invented.
const (
	fullName   = "Margaret Hale"
	accented   = "Zoë O’Hara"
	oneWord    = "Rose"
	month      = "May"
	address    = "margaret.hale@post.example"
	privateNot = "She wept when her grandfather's hands came up in the fixer, and paid for two plates."
	shortNote  = "smells of ether again"
	hiddenLong = "Old keeper asleep in his chair"
	hiddenTwo  = "Sleeping keeper"
	hiddenID   = "26-013"
	wordID     = "amber"
	clientID   = "hale-m"
	scanName   = "26-013-raw.tif"
	galleryKey = "\x8f\x02key of gallery\xfe"
	folderPath = "/home/fuller/plates"
)

func forbidden() Forbidden {
	return Forbidden{
		Things: []Thing{
			{Kind: Name, Text: fullName}, {Kind: Name, Text: accented}, {Kind: Name, Text: oneWord}, {Kind: Name, Text: month}, {Kind: Name, Text: "Undrey and Sons, bell founders"},
			{Kind: Email, Text: address}, {Kind: Note, Text: privateNot}, {Kind: Note, Text: shortNote},
			{Kind: Title, Text: hiddenLong, Plate: hiddenID}, {Kind: Title, Text: hiddenTwo, Plate: hiddenID}, {Kind: Title, Text: "Lock-keeper's hands", Plate: hiddenID},
			{Kind: Plate, Text: hiddenID, Plate: hiddenID}, {Kind: Plate, Text: wordID, Plate: wordID}, {Kind: Plate, Text: "12", Plate: "12"},
			{Kind: Person, Text: clientID}, {Kind: File, Text: scanName, Plate: hiddenID}, {Kind: File, Text: folderPath},
			{Kind: Secret, Text: galleryKey, What: "the key of a gallery"},
		},
		Open: []string{"Lock-keeper's hands", "Lock keeper with a rose", "rose", "lock", "north window", "26-014", "26-013-b", "Margaret Hale-Smith", "Barge Studio",
			"half plate", "tin", "A lock-keeper holds a rose; may blossom behind him"},
		OpenNames: []string{"Margaret Hale-Smith", "Barge Studio"},
	}
}

// tree writes files to a folder.
func tree(t testing.TB, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func look(t testing.TB, dir string, f Forbidden, opt Options) []finding.Finding {
	t.Helper()
	found, err := Tree(context.Background(), dir, f, opt)
	if err != nil {
		t.Fatal(err)
	}
	return found
}

func codes(found []finding.Finding) string {
	var out []string
	for _, f := range found {
		out = append(out, fmt.Sprintf("%s:%d %s", f.File, f.Line, f.Code))
	}
	return strings.Join(out, ", ")
}

// page is a sound page, with a place for more.
func page(more string) string {
	return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Lock keeper with a rose</title>
<link rel="stylesheet" href="/studio/css/base.1f2e3d4c5b6a79880011.css">
<script type="application/ld+json">{"@type":["Photograph","VisualArtwork"],"identifier":"26-014","name":"Lock-keeper's hands","dateCreated":"2026-05-12","width":{"value":108}}</script></head>
<body><h1>Lock keeper with a rose</h1><p>Made on 12 May 2026; you may write to us. The lock, a rose and an amber light.</p>
<a href="/studio/plates/lock-keeper-with-a-rose-k3jd7fh2k3jd7fh2/" data-tag="rose"><img alt="A lock-keeper holds a rose; may blossom behind him" width="12" src="/studio/iiif/abcdefghijkmnpqr/full/max/0/default.jpg"></a>
<ul><li>rose</li><li>12</li><li>Margaret Hale-Smith</li><li>26-013-b</li><li>May</li></ul><time datetime="2026-05">May</time><nav><a href="/studio/page/12/">12</a></nav>
` + more + `</body></html>`
}

func gzipped(text string) string {
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	w.Write([]byte(text))
	w.Close()
	return b.String()
}

func zipped(name, text string) string {
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	f, _ := w.Create(name)
	f.Write([]byte(text))
	w.Close()
	return b.String()
}

func deflated(text string) string {
	var b bytes.Buffer
	w, _ := flate.NewWriter(&b, 9)
	w.Write([]byte(text))
	w.Close()
	return b.String()
}

func printable(text string) string {
	var b bytes.Buffer
	w := quotedprintable.NewWriter(&b)
	w.Write([]byte(text))
	w.Close()
	return b.String()
}

func utf16le(text string) string {
	out := []byte{0xff, 0xfe}
	for _, u := range utf16.Encode([]rune(text)) {
		out = append(out, byte(u), byte(u>>8))
	}
	return string(out)
}

func std(text string) string { return base64.StdEncoding.EncodeToString([]byte(text)) }

func quoted(text string) string {
	out, _ := json.Marshal(text)
	return string(out)
}

func xmlText(text string) string {
	var b bytes.Buffer
	xml.EscapeText(&b, []byte(text))
	return b.String()
}

// each writes every rune in a form.
func each(form, text string) string {
	var b strings.Builder
	for _, r := range text {
		fmt.Fprintf(&b, form, r)
	}
	return b.String()
}

func eachByte(form, text string) string {
	var b strings.Builder
	for i := range len(text) {
		fmt.Fprintf(&b, form, text[i])
	}
	return b.String()
}

// cut gives some runes of a text.
func cut(text string, from, to int) string {
	r := []rune(text)
	if to < 0 {
		to = len(r)
	}
	return string(r[from:to])
}

// writings are ways in which a text can stand in a site: a file and its content.
var writings = map[string]func(text string) (name, content string){
	"in a page": func(s string) (string, string) { return "a/index.html", page("<p>" + html.EscapeString(s) + "</p>") },
	"across tags": func(s string) (string, string) {
		return "a/index.html", page("<p>" + cut(s, 0, 3) + "<b>" + cut(s, 3, 5) + "</b><a href='x'>" + cut(s, 5, -1) + "</a></p>")
	},
	"in an attribute": func(s string) (string, string) {
		return "a/index.html", page(`<img alt="` + html.EscapeString(s) + `">`)
	},
	"in a comment": func(s string) (string, string) { return "a/index.html", page("<!-- " + s + " -->") },
	"in a script": func(s string) (string, string) {
		return "a/index.html", page("<script>var x = " + quoted(s) + "</script>")
	},
	"in JSON-LD": func(s string) (string, string) {
		return "a/index.html", page(`<script type="application/ld+json">{"about":{"name":` + quoted(s) + `}}</script>`)
	},
	"as references":                  func(s string) (string, string) { return "a/index.html", page("<p>" + each("&#x%x;", s) + "</p>") },
	"in a reference in an attribute": func(s string) (string, string) { return "a/index.html", page(`<p title="` + each("&#%d;", s) + `">`) },
	"in an unfinished tag":           func(s string) (string, string) { return "a/index.html", page("") + "<p title='" + s },
	"in a script file":               func(s string) (string, string) { return "js/a.mjs", "export const x = " + quoted(s) + ";" },
	"escaped in a script":            func(s string) (string, string) { return "js/a.js", `let x = "` + each("\\u{%x}", s) + `"` },
	"in a style sheet":               func(s string) (string, string) { return "css/a.css", "p::before { content: " + quoted(s) + " }" },
	"escaped in a style": func(s string) (string, string) {
		return "css/a.css", "p::before { content: '" + each("\\%06x", s) + "' }"
	},
	"in JSON":          func(s string) (string, string) { return "a.json", `{"a":[1,{"b":` + quoted(s) + `}]}` },
	"as a key in JSON": func(s string) (string, string) { return "a.json", `{` + quoted(s) + `:[1,2]}` },
	"escaped in JSON":  func(s string) (string, string) { return "a.json", `{"a":"` + each("\\u%04x", s) + `"}` },
	"broken JSON":      func(s string) (string, string) { return "a.json", `{"a":` + quoted(s) },
	"in a feed": func(s string) (string, string) {
		return "feed.xml", `<?xml version="1.0"?><feed><title>` + xmlText(s) + `</title></feed>`
	},
	"as HTML in a feed": func(s string) (string, string) {
		return "feed.xml", `<feed><content type="html">` + xmlText("<p>"+html.EscapeString(cut(s, 0, 4))+"<i>"+html.EscapeString(cut(s, 4, -1))+"</i></p>") + `</content></feed>`
	},
	"in CDATA": func(s string) (string, string) { return "feed.xml", "<feed><x><![CDATA[" + s + "]]></x></feed>" },
	"in an SVG": func(s string) (string, string) {
		return "a.svg", "<svg xmlns='http://www.w3.org/2000/svg'><title>" + xmlText(s) + "</title></svg>"
	},
	"in SVG metadata": func(s string) (string, string) {
		return "a.svg", "<svg><metadata><x:y>" + xmlText(s) + "</x:y></metadata></svg>"
	},
	"percent-encoded": func(s string) (string, string) {
		return "sitemap.xml", "<urlset><loc>https://x.example/" + url.PathEscape(s) + "</loc></urlset>"
	},
	"all percent-encoded": func(s string) (string, string) { return "a.txt", eachByte("%%%02X", s) },
	"percent twice":       func(s string) (string, string) { return "a.txt", url.PathEscape(eachByte("%%%02x", s)) },
	"quoted-printable":    func(s string) (string, string) { return "a.txt", "x=20" + printable(s) },
	"in base64":           func(s string) (string, string) { return "a.txt", std("-- " + s + " --") },
	"in base64 of a page": func(s string) (string, string) { return "a/index.html", page("<p data-x='" + std("from "+s) + "'>") },
	"in base64url": func(s string) (string, string) {
		return "a.json", `{"x":"` + base64.RawURLEncoding.EncodeToString([]byte("from "+s+" ÿÿ")) + `"}`
	},
	"in base64 twice": func(s string) (string, string) { return "a.txt", std(std("from " + s)) },
	"in hexadecimal":  func(s string) (string, string) { return "a.txt", hex.EncodeToString([]byte("from " + s)) },
	"as numbers": func(s string) (string, string) {
		return "a.json", "[" + strings.Join(strings.Fields(strings.Trim(fmt.Sprint([]byte("from "+s)), "[]")), ",") + "]"
	},
	"in UTF-16":           func(s string) (string, string) { return "a.html", utf16le("<p>" + s + "</p>") },
	"in UTF-16 in base64": func(s string) (string, string) { return "a.txt", std(utf16le(s)) },
	"gzipped":             func(s string) (string, string) { return "a.json.gz", gzipped(`{"a":` + quoted(s) + `}`) },
	"gzip in base64": func(s string) (string, string) {
		return "css/a.css", "p{background:url(data:application/gzip;base64," + std(gzipped("here is "+s)) + ")}"
	},
	"deflate in base64":  func(s string) (string, string) { return "a.txt", std(deflated("here is the text of " + s)) },
	"in a ZIP":           func(s string) (string, string) { return "a.zip", zipped("a.html", "<p>"+html.EscapeString(s)) },
	"behind a gzip":      func(s string) (string, string) { return "a.gz", gzipped("x") + s },
	"in an unknown file": func(s string) (string, string) { return "a.dat", "\x00\x01\x02" + s + "\x00" },
	"in a card": func(s string) (string, string) {
		return "catalogue/c0-1f2e.bin", gzipped(`[["plates/x/",` + quoted(s) + `]]`)
	},
	"in _headers": func(s string) (string, string) { return "_headers", "/*\n  X-Note: " + s + "\n" },
	"in a gallery page": func(s string) (string, string) {
		return "g/abcdefghijklmnopqrstuv/index.html", page(html.EscapeString(s))
	},
	"in a gallery": func(s string) (string, string) { return "g/abcdefghijklmnopqrstuv/list.bin", "from " + s },
}

// Each thing is found in each way in which it can stand there.
func TestLeaks(t *testing.T) {
	for what, c := range map[string]struct{ text, code string }{
		"a name": {fullName, "audit-name"}, "an accented name": {accented, "audit-name"}, "an address": {address, "audit-email"},
		"a note": {privateNot, "audit-note"}, "a short note": {shortNote, "audit-note"}, "a title": {hiddenLong, "audit-title"},
		"an id": {"x " + hiddenID, "audit-plate"}, "a client's id": {"x " + clientID, "audit-id"}, "a scan": {scanName, "audit-file"},
		"a folder": {folderPath, "audit-file"},
	} {
		for how, write := range writings {
			name, content := write(c.text)
			found := look(t, tree(t, map[string]string{name: content, "index.html": page("")}), forbidden(), Options{Workers: 1})
			if !strings.Contains(codes(found), name) || !strings.Contains(codes(found), c.code) {
				t.Errorf("%s %s: %s", what, how, codes(found))
			}
			for _, f := range found {
				if f.File == "index.html" {
					t.Errorf("%s %s: false alarm on the sound page: %+v", what, how, f)
				}
			}
		}
	}
}

// The sound page has nothing in it, and a line number points at what is found.
func TestCleanPageAndLine(t *testing.T) {
	if found := look(t, tree(t, map[string]string{"index.html": page(""), "plates/x/index.html": page("")}), forbidden(), Options{}); len(found) > 0 {
		t.Errorf("false alarm: %+v", found)
	}
	found := look(t, tree(t, map[string]string{"a.html": page("<p>one</p>\n<p>by " + fullName + "</p>")}), forbidden(), Options{})
	if codes(found) != "a.html:9 audit-name" {
		t.Errorf("got %s", codes(found))
	}
	if f := found[0]; f.Severity != finding.Error || !strings.Contains(f.Message, fullName) || f.Remedy == "" {
		t.Errorf("got %+v", f)
	}
}

// A secret is found in each form, as bytes and as text, and is never printed.
func TestSecrets(t *testing.T) {
	for how, content := range map[string]string{
		"as it is": "x" + galleryKey, "hex": hex.EncodeToString([]byte(galleryKey)), "HEX": strings.ToUpper(hex.EncodeToString([]byte(galleryKey))),
		"pairs": strings.TrimSpace(eachByte("%02x ", galleryKey)), "base64": std(galleryKey), "base64 inside": std("ab" + galleryKey),
		"base64url": base64.RawURLEncoding.EncodeToString([]byte(galleryKey)), "link": "https://x.example/g/abc/#" + base64.RawURLEncoding.EncodeToString([]byte(galleryKey)),
		"percent": eachByte("%%%02x", galleryKey), "percent of base64": eachByte("%%%02x", std(galleryKey)), "references": each("&#%d;", base64.RawURLEncoding.EncodeToString([]byte(galleryKey))),
		"JSON escapes": eachByte("\\u%04x", galleryKey), "script escapes": eachByte("\\x%02x", galleryKey), "numbers": strings.Join(strings.Fields(strings.Trim(fmt.Sprint([]byte(galleryKey)), "[]")), ", "),
		"UTF-16": utf16le(std(galleryKey)), "gzip": gzipped(galleryKey), "gzip, text": gzipped("key: " + std(galleryKey)), "zip": zipped("k", galleryKey),
		"base64 of gzip": std(gzipped(galleryKey)), "base64 of hex": std(hex.EncodeToString([]byte(galleryKey))),
	} {
		for _, name := range []string{"a.txt", "a.html", "a.json", "a.js", "a.svg", "a.bin", "a.gz", "a.jpg", "a.dat", "g/abcdefghijklmnopqrstuv/x.bin"} {
			found := look(t, tree(t, map[string]string{name: content}), forbidden(), Options{})
			if !strings.Contains(codes(found), codeSecret) {
				t.Errorf("%s in %s: %s", how, name, codes(found))
			}
			for _, f := range found {
				if strings.Contains(f.Message+f.Remedy, std(galleryKey)[:12]) || strings.Contains(f.Message, "key of gallery") {
					t.Errorf("the secret is printed: %+v", f)
				}
			}
		}
	}
}

// A secret that lies in its file as text is found as the bytes it stands for, and
// a passphrase where it stands for itself.
func TestSecretsAsText(t *testing.T) {
	for _, secret := range []string{hex.EncodeToString([]byte(galleryKey)) + "\n", std(galleryKey) + "\n", base64.RawURLEncoding.EncodeToString([]byte(galleryKey))} {
		f := Forbidden{Things: []Thing{{Kind: Secret, Text: secret}}}
		for _, content := range []string{galleryKey, secret, strings.TrimSpace(secret), std(galleryKey), std(secret), hex.EncodeToString([]byte(strings.TrimSpace(secret)))} {
			if found := look(t, tree(t, map[string]string{"a.txt": content}), f, Options{}); !strings.Contains(codes(found), codeSecret) {
				t.Errorf("%q in %q: %s", secret, content, codes(found))
			}
		}
	}
	f := Forbidden{Things: []Thing{{Kind: Secret, Text: "tar heron"}, {Kind: Secret, Text: "oakum lantern sieve"}}}
	for content, want := range map[string]bool{"<p>tar heron</p>": true, "<p>a tar heron flew</p>": false, "<p>so oakum lantern sieve it is</p>": true} {
		if found := look(t, tree(t, map[string]string{"a.html": content}), f, Options{}); (len(found) > 0) != want {
			t.Errorf("%s: %s", content, codes(found))
		}
	}
}

// Where a name of one word is found, and where it is a word.
func TestNamesOfOneWord(t *testing.T) {
	for content, want := range map[string]bool{
		"<p>Rose</p>": true, "<p>ROSE</p>": true, "<dd> Rose </dd>": true, `<img alt="Rose">`: true, "<li>Odo, Rose and Pim</li>": true,
		"<h2>Portrait of Rose, seated</h2>": true, "<p>Mrs Rose came</p>": true, `<script type="application/ld+json">{"name":"Rose"}</script>`: true,
		`<p data-sitter="rose">`: true, `<p data-sitter="may">`: true, `<script type="application/ld+json">{"person":"May"}</script>`: true, "<p>Portrait of May</p>": true,
		"<p>a rose</p>": false, "<p>The Rose was built in 1860.</p>": false, "<li>rose</li>": false, "<p>the roses</p>": false, `<p data-tag="rose">`: false,
		"<p>May</p>": false, "<p>12 May 2026</p>": false, "<p>may</p>": false, "<p>Primrose</p>": false, "<a href='/tags/rose/'>": false, "<p>of May</p>": false,
		"<p>Rosemary</p>": false, "<p>Lock</p>": false,
	} {
		found := look(t, tree(t, map[string]string{"a.html": page(content)}), forbidden(), Options{})
		if (len(found) > 0) != want {
			t.Errorf("%s: %s", content, codes(found))
		}
	}
	// In an address, and as a search term, a word counts if no published text has it.
	f := forbidden()
	f.Things = append(f.Things, Thing{Kind: Name, Text: "Odo"})
	for content, want := range map[string]bool{"<a href='/plates/odo-seated/'>": true, "<a href='/plates/rose-seated/'>": false, "<a href='/may/'>": false} {
		found := look(t, tree(t, map[string]string{"a.html": page(content)}), f, Options{})
		if (len(found) > 0) != want {
			t.Errorf("%s: %s", content, codes(found))
		}
	}
}

// Ids that can only be ids are found anywhere; others where an id is meant.
func TestIDs(t *testing.T) {
	for content, want := range map[string]bool{
		"<p>plate 26-013.</p>": true, "<p>26_013</p>": true, "<a href='/plates/26-013/'>": true, "<p>26/013</p>": true,
		"<p>26-013-b</p>": false, "<p>26 013</p>": false, "<p>26.013</p>": false, "<p>2026-013</p>": false, "<p>1-26-013</p>": false, "<p>26-0134</p>": false,
		"<p>an amber light</p>": false, "<p>Amber</p>": false, "<a href='/plates/amber/'>": true, "<img src='/img/amber.jpg'>": true, `<p id="amber">`: true, `<p data-plate="amber">`: true,
		`<script type="application/ld+json">{"identifier":"amber"}</script>`: true, `<script type="application/ld+json">{"colour":"amber"}</script>`: false,
		`<script type="application/ld+json">{"identifier":12}</script>`: true, `<script type="application/ld+json">{"width":12}</script>`: false, "<a href='/page/12/'>12</a>": false,
		"<p>Old keeper asleep in his chair</p>": true, "<h2>Sleeping keeper</h2>": true, "<p>the sleeping keeper of the lock</p>": false, "<h2>Lock-keeper's hands</h2>": false,
	} {
		found := look(t, tree(t, map[string]string{"a.html": page(content)}), forbidden(), Options{})
		if (len(found) > 0) != want {
			t.Errorf("%s: %s", content, codes(found))
		}
	}
}

// Names in other spellings.
func TestNameForms(t *testing.T) {
	f := Forbidden{Things: []Thing{{Kind: Name, Text: "Jürgen O'Groß"}, {Kind: Name, Text: "Margaret Hale"}}}
	for content, want := range map[string]bool{
		"Jürgen O’Groß": true, "JURGEN O GROSS": true, "juergen-ogross": true, "Hale, Margaret": true, "margarethale": true, "MargaretHale.jpg": true,
		"Margaret\u00adHale": true, "Marga\u00adret Hale": true, "Margaret\u00a0Hale": true, "Ma\u0301rgaret Hale": true, "Margaret Halesworth": false, "Hale and Margaret": false,
	} {
		found := look(t, tree(t, map[string]string{"a.txt": content}), f, Options{})
		if (len(found) > 0) != want {
			t.Errorf("%q: %s", content, codes(found))
		}
	}
}

func TestReleaseCodes(t *testing.T) {
	found := look(t, tree(t, map[string]string{"a.json": `{"release":"http://ns.useplus.org/ldf/vocab/MR-UMR"}`}), Forbidden{}, Options{})
	if codes(found) != "a.json:1 audit-release" {
		t.Errorf("got %s", codes(found))
	}
}

// The search index as the sites have it: what is in its terms, facets and cards.
func TestSearchIndex(t *testing.T) {
	sound := search.Doc{URL: "plates/x/", Title: "Lock keeper with a rose", Fields: []search.Field{{Text: "Lock keeper with a rose, 26-014", Weight: 9}}, Facets: map[string][]string{"light": {"north window"}}}
	for how, change := range map[string]func(d *search.Doc){
		"sound":               func(*search.Doc) {},
		"a term":              func(d *search.Doc) { d.Fields[0].Text += " Zoe" },
		"an address":          func(d *search.Doc) { d.Fields[0].Text += " " + address },
		"an id":               func(d *search.Doc) { d.Fields[0].Text += " " + hiddenID },
		"a single name":       func(d *search.Doc) { d.Fields[0].Text += " O’Hara" },
		"a facet":             func(d *search.Doc) { d.Facets["light"] = append(d.Facets["light"], fullName) },
		"a card":              func(d *search.Doc) { d.Caption = fullName },
		"a title on a card":   func(d *search.Doc) { d.Title = hiddenLong },
		"a picture on a card": func(d *search.Doc) { d.Thumb.Src = "img/" + scanName },
	} {
		doc := sound
		doc.Fields = []search.Field{sound.Fields[0]}
		doc.Facets = map[string][]string{"light": {"north window"}}
		change(&doc)
		index, err := search.Build([]search.Doc{doc}, search.Options{})
		if err != nil {
			t.Fatal(err)
		}
		files := map[string]string{}
		for name, body := range index.Files {
			files["catalogue/search/"+name] = string(body)
		}
		found := look(t, tree(t, files), forbidden(), Options{})
		if (len(found) > 0) != (how != "sound") {
			t.Errorf("%s: %s", how, codes(found))
		}
	}
}

// Two words of published texts are neighbours in the index by the alphabet alone.
func TestNeighboursInTheIndex(t *testing.T) {
	f := Forbidden{Things: []Thing{{Kind: Name, Text: "Lily Marsh"}}, Open: []string{"The marsh in spring", "A lily"}}
	for facet, want := range map[string]bool{"marsh": false, "Lily Marsh": true} {
		doc := search.Doc{URL: "plates/x/", Title: "A lily", Fields: []search.Field{{Text: "The marsh in spring. A lily", Weight: 9}}, Facets: map[string][]string{"light": {facet}}}
		index, err := search.Build([]search.Doc{doc}, search.Options{})
		if err != nil {
			t.Fatal(err)
		}
		files := map[string]string{}
		for name, body := range index.Files {
			files["catalogue/search/"+name] = string(body)
		}
		if found := look(t, tree(t, files), f, Options{}); (len(found) > 0) != want {
			t.Errorf("light %q: %s", facet, codes(found))
		}
	}
}

// What is no file, no known kind, or not what its name says.
func TestKinds(t *testing.T) {
	long := strings.Repeat("a", largestText+1)
	for name, content := range map[string]string{
		"a.exe": "MZ", "a.pdf": "%PDF-1.7", "a": "x", "a.html": "\xff\xfe<\x00", "a.js": "x\x00y", "a.txt": "\x1b[31m", "a.bin": "hello", "b.bin": gzipped("\x00\x01"), "c.bin": gzipped("x") + "y",
		"a.gz": "hello", "b.gz": gzipped("\x00\x01\x02"), "a.jpg": "hello", "a.png": "\xff\xd8\xff\xd9", "long.txt": long, "a.tif": "II*\x00", "a.avif": "\x00\x00\x00\x1cftypavif",
	} {
		found := look(t, tree(t, map[string]string{name: content}), Forbidden{}, Options{})
		if !strings.Contains(codes(found), codeKind) {
			t.Errorf("%s: %s", name, codes(found))
		}
	}
	dir := tree(t, map[string]string{"a.html": "<p>x", ".nojekyll": "", "CNAME": "x.example", "robots.txt": "User-agent: *\n", "_headers": "/*\n", "a.webmanifest": "{}", ".sandarac-tree": "x"})
	if err := os.Symlink(filepath.Join(dir, "a.html"), filepath.Join(dir, "link.html")); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("/etc", filepath.Join(dir, "folder")); err != nil {
		t.Fatal(err)
	}
	if found := look(t, dir, Forbidden{}, Options{}); codes(found) != "folder:0 audit-link, link.html:0 audit-link" {
		t.Errorf("got %s", codes(found))
	}
}

// Gallery pages are one and the same file.
func TestGalleryPages(t *testing.T) {
	same := map[string]string{"g/aaaaaaaaaaaaaaaaaaaaaa/index.html": page(""), "g/bbbbbbbbbbbbbbbbbbbbbb/index.html": page("")}
	if found := look(t, tree(t, same), forbidden(), Options{}); len(found) > 0 {
		t.Errorf("got %+v", found)
	}
	same["g/bbbbbbbbbbbbbbbbbbbbbb/index.html"] = page("<p>for you</p>")
	if found := look(t, tree(t, same), forbidden(), Options{}); !strings.Contains(codes(found), codeSealed) {
		t.Errorf("got %s", codes(found))
	}
	for name, content := range map[string]string{"g/x/picture.jpg": "\xff\xd8", "g/x/deep/a.html": "<p>", "g/x/list.json": "{}"} {
		if found := look(t, tree(t, map[string]string{name: content}), Forbidden{}, Options{}); !strings.Contains(codes(found), codeSealed) {
			t.Errorf("%s: %s", name, codes(found))
		}
	}
}

// A thing that stands in very many files is named a dozen times, and counted.
func TestManyFiles(t *testing.T) {
	files := map[string]string{}
	for i := range 30 {
		files[fmt.Sprintf("%02d.html", i)] = fullName
	}
	found := look(t, tree(t, files), forbidden(), Options{})
	if len(found) != most || !strings.Contains(fmt.Sprint(found), "18 more files") {
		t.Errorf("%d findings: %v", len(found), found)
	}
}

func TestFileNames(t *testing.T) {
	for name, code := range map[string]string{
		"plates/margaret-hale/index.html": "audit-name", "plates/26-013/index.html": "audit-plate", "plates/amber/index.html": "audit-plate", "notes/26-013-raw.tif.html": "audit-file",
		"plates/lock-keeper-with-a-rose/index.html": "", "g/margaretlmnopqrstuvwxy/index.html": "",
	} {
		found := look(t, tree(t, map[string]string{name: "<p>x</p>"}), forbidden(), Options{})
		if (code == "") != (len(found) == 0) || !strings.Contains(codes(found), code) {
			t.Errorf("%s: %s", name, codes(found))
		}
	}
}
