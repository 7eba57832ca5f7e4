package audit

import (
	"context"
	"os"
	"path/filepath"
	"testing"
)

// auditPage gives how many findings one page has.
func auditPage(t *testing.T, name, page string, f Forbidden) int {
	t.Helper()
	dir := t.TempDir()
	at := filepath.Join(dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(at, []byte(page), 0o644); err != nil {
		t.Fatal(err)
	}
	found, err := Tree(context.Background(), dir, f, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return len(found)
}

// TestNamesBesideSpans: tags that do not part words may part a name from the
// next word, or a name in two.
func TestNamesBesideSpans(t *testing.T) {
	private := []Thing{{Kind: Name, Text: "Ada Quill"}}
	for page, want := range map[string]int{
		`<a><span class="t">Ada Quill</span><span class="f">Quarter plate</span></a>`: 1,
		`<p>x<i>Ada Quill</i></p>`:                                                         1,
		`<p>x <b>A</b>da Qu<b>ill</b> y</p>`:                                               1,
		`<span>Ada</span><span>Quill</span>`:                                               1,
		`<a><span>Ada Quill Marsh</span><span>Quarter</span></a>`:                          0,
		`<a><span>Half</span><span>Ada Quill Marsh</span></a><a><span>x</span>Quarter</a>`: 0,
	} {
		if got := auditPage(t, "index.html", page, Forbidden{Things: private, OpenNames: []string{"Ada Quill Marsh"}}); (got > 0) != (want > 0) {
			t.Errorf("%s: %d findings, want %d", page, got, want)
		}
	}
}

// TestFrame: what every site says is no leak, but where a person is meant.
func TestFrame(t *testing.T) {
	f := Forbidden{
		Things: []Thing{{Kind: Name, Text: "Wet Plate"}, {Kind: Name, Text: "Write"}, {Kind: Plate, Text: "main"}, {Kind: Person, Text: "viewport"}, {Kind: Plate, Text: "index"}, {Kind: File, Text: "default.jpg"}},
		Frame:  []string{`<main id="main">`, "main", "viewport", "index", "Write", "Made of wet plate collodion", "iiif/full/default.jpg"},
	}
	for page, want := range map[string]int{
		`<meta name="viewport"><main id="main"><a href="/index.html">Write</a> A wet plate <img src="/full/default.jpg">`: 0,
		`<p>A portrait of Wet Plate</p>`:       1,
		`<dd class="sitter">Wet Plate</dd>`:    1,
		`<p>Mr Write was here</p>`:             1,
		`<script>{"client":"Write"}</script>`:  0, // a script, not data
		`<p data-client="write">x</p>`:         1,
		`<p>Nothing of the kind</p>`:           0,
		`<p>The main thing in a viewport.</p>`: 0,
	} {
		if got := auditPage(t, "plates/index.html", page, f); (got > 0) != (want > 0) {
			t.Errorf("%s: %d findings, want %d", page, got, want)
		}
	}
}
