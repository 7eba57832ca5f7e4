package markup

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"html"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestHTMLText(t *testing.T) {
	for doc, want := range map[string]string{
		"<p>Mar<b>garet</b> <i>Hale</i></p>":                              "Margaret Hale",
		`Mar<a href="x">garet</a>`:                                        "Margaret",
		"<td>Rose</td><td>Hale</td>":                                      "Rose\nHale",
		"Ann&nbsp;H&aacute;le &lt;b&gt;":                                  "Ann\u00a0Hále <b>",
		"<!-- Ann Hale -->":                                               "Ann Hale",
		`<img alt="Ann Hale" src=x.jpg>`:                                  "alt Ann Hale",
		"<script>var a = 'Ann Hale'</script>":                             "var a = 'Ann Hale'",
		`<script type="application/ld+json">{"n":"\u0041nn"}</script>`:    "\nAnn\n",
		"<title>Ann &amp; Hale</title>":                                   "Ann & Hale",
		"<ann-hale>x</ann-hale>":                                          "ann-hale",
		"<?xml version='1.0'?><!DOCTYPE Ann>":                             "Ann",
		"<content type='html'>&lt;p&gt;Ann &lt;b&gt;Hale&lt;/b&gt;":       "Ann Hale",
		"<x><![CDATA[Ann <Hale>]]></x>":                                   "Ann ",
		`<iframe srcdoc="&lt;p&gt;Ann &lt;i&gt;Hale&lt;/i&gt;"></iframe>`: "Ann Hale",
		"&lt;Ann Hale&gt;":                                                "<Ann Hale>",
		"<p unfinished='Ann Hale":                                         "Ann Hale",
		"<svg><title/><text>Ann <tspan>Hale</tspan></text></svg>":         "Ann Hale",
		"<textarea><b>Ann</b> Hale</textarea>":                            "Ann Hale",
	} {
		if got := string(HTML([]byte(doc)).Bytes); !strings.Contains(got, want) {
			t.Errorf("%s: %q, want %q in it", doc, got, want)
		}
	}
}

func fields(t *Text) []string {
	var out []string
	for _, f := range t.Fields {
		out = append(out, fmt.Sprintf("%d %s=%s", f.Kind, f.Name, f.Value))
	}
	return out
}

func TestFields(t *testing.T) {
	html := fields(HTML([]byte(`<dd class="sitter" itemprop="name"> Rose </dd><a href="/plates/rose/" data-plate="26-1"><img alt="Rose &amp; Co"></a>`)))
	for _, want := range []string{"0 dd sitter name=Rose", "1 href=/plates/rose/", "0 data-plate=26-1", "0 alt=Rose & Co", "0 class=sitter"} {
		if !slices.Contains(html, want) {
			t.Errorf("%q is not among %q", want, html)
		}
	}
	got := fields(JSON([]byte(` {"name" : "Rose", "n":[12, -1.5e3,true], "deep": {"rose":["a\"b\\", "\ud83d\ude00"]}}`)))
	want := []string{"2 name=name", "0 name=Rose", "2 n=n", "0 n=12", "0 n=-1.5e3", "0 n=true", "2 deep=deep", "2 rose=rose", `0 rose=a"b\`, "0 rose=😀"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q", got)
	}
}

func TestSource(t *testing.T) {
	doc := []byte("<html>\n<p>first</p>\n\n<p class='x'>Ann <b>Hale</b></p><img alt='Ben'>")
	text := HTML(doc)
	for _, word := range []string{"first", "Ann", "Hale"} {
		at := bytes.Index(text.Bytes, []byte(word))
		if got, want := text.Source(at), bytes.Index(doc, []byte(word)); got != want {
			t.Errorf("%s: %d, want %d", word, got, want)
		}
	}
	if at := text.Source(bytes.Index(text.Bytes, []byte("Ben"))); at < bytes.Index(doc, []byte("<img")) {
		t.Errorf("Ben: %d", at)
	}
	if Plain(doc).Source(5) != 5 {
		t.Error("plain text")
	}
}

// Whatever the encoders of the standard library write is read back.
func TestReadsEncoders(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		name := rapid.StringMatching(`[A-Za-z0-9 ëß'"<>&😀/.-]{1,12}x`).Draw(rt, "name")
		var x bytes.Buffer
		xml.EscapeText(&x, []byte(name))
		coded, _ := json.Marshal(map[string]any{"k": []string{name}, name: 1})
		for form, text := range map[string]*Text{
			"json":      JSON(coded),
			"script":    HTML([]byte(`<script type="application/ld+json">` + string(coded) + `</script>`)),
			"attribute": HTML([]byte(`<p title="` + html.EscapeString(name) + `">`)),
			"xml":       HTML([]byte("<feed><title>" + x.String() + "</title></feed>")),
		} {
			ok := false
			for _, f := range text.Fields {
				ok = ok || f.Value == strings.TrimSpace(name)
			}
			if !ok {
				rt.Fatalf("%s: %q is not in %q", form, name, fields(text))
			}
		}
	})
}

func FuzzMarkup(f *testing.F) {
	f.Add([]byte(`<a href="x">y</a><script type="application/ld+json">{"a":"\u0041"}</script><![CDATA[z]]>`))
	f.Add([]byte(`{"a":["\ud83d\ude00", 1.5e3, true], "b`))
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, text := range []*Text{HTML(data), JSON(data)} {
			if len(text.Bytes) > 8*(len(data)+100) {
				t.Fatalf("%d bytes from %d", len(text.Bytes), len(data))
			}
			for at := range text.Bytes {
				text.Source(at)
			}
			for _, f := range text.Fields {
				if f.At < 0 || f.At > len(data) {
					t.Fatalf("field at %d of %d", f.At, len(data))
				}
			}
		}
	})
}

func BenchmarkHTML(b *testing.B) {
	doc := []byte(strings.Repeat(`<article class="card"><a href="/plates/k3jd7/"><img alt="A lock-keeper &amp; dog" src="x.jpg" width="400" height="300"></a><p>Half plate, <span>tin</span></p></article>`+"\n", 1000))
	b.SetBytes(int64(len(doc)))
	for b.Loop() {
		HTML(doc)
	}
}

// Two spans that only a style sheet sets apart are one word in Bytes and two in
// Parted.
func TestParted(t *testing.T) {
	text := HTML([]byte("<p>of <span>Ann Hale</span><span>Half</span> <i>pl</i>ate</p><p>x</p>"))
	if got := string(text.Bytes); got != "of Ann HaleHalf plate\nx\n" {
		t.Errorf("joined: %q", got)
	}
	parted := text.Parted()
	if got := strings.TrimRight(string(parted.Bytes), " "); got != "of Ann Hale Half pl ate\nx\n" {
		t.Errorf("parted: %q", got)
	}
	if at := parted.Source(strings.Index(string(parted.Bytes), "Half")); at != strings.Index("<p>of <span>Ann Hale</span><span>Half", "Half") {
		t.Errorf("the source of Half is %d", at)
	}
}
