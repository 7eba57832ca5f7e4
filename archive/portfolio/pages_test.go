package portfolio

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// page is a finished HTML page.
type page struct {
	name string // its path in the tree, with /
	doc  *html.Node
	size int
}

func readPages(t *testing.T, out string) []page {
	t.Helper()
	var pages []page
	err := fs.WalkDir(os.DirFS(out), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(name) != ".html" {
			return err
		}
		body, err := os.ReadFile(filepath.Join(out, filepath.FromSlash(name)))
		if err != nil {
			return err
		}
		doc, err := html.Parse(bytes.NewReader(body))
		pages = append(pages, page{name, doc, len(body)})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return pages
}

// each calls f for every element of a page.
func (p page) each(f func(n *html.Node)) {
	for n := range p.doc.Descendants() {
		if n.Type == html.ElementNode {
			f(n)
		}
	}
}

func attr(n *html.Node, key string) (string, bool) {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val, true
		}
	}
	return "", false
}

func text(n *html.Node) string {
	var b strings.Builder
	for c := range n.Descendants() {
		if c.Type == html.TextNode {
			b.WriteString(c.Data)
		}
	}
	return strings.TrimSpace(b.String())
}

func (p page) first(t *testing.T, element string) *html.Node {
	t.Helper()
	var found *html.Node
	p.each(func(n *html.Node) {
		if found == nil && n.Data == element {
			found = n
		}
	})
	if found == nil {
		t.Fatalf("%s has no <%s>", p.name, element)
	}
	return found
}

// linked lists the addresses a page refers to, by attribute.
func (p page) linked() []string {
	var out []string
	p.each(func(n *html.Node) {
		rel, _ := attr(n, "rel")
		if n.Data == "link" && rel == "canonical" {
			return
		}
		for _, key := range []string{"href", "src", "action", "data-index"} {
			if v, ok := attr(n, key); ok {
				out = append(out, v)
			}
		}
		if set, ok := attr(n, "srcset"); ok {
			for _, candidate := range strings.Split(set, ", ") {
				out = append(out, strings.Fields(candidate)[0])
			}
		}
	})
	return out
}

// TestEveryPage builds a site full of hostile text with the real Hugo and holds
// every page to what all pages must keep.
func TestEveryPage(t *testing.T) {
	site := testSite(40)
	staged, out := buildSite(t, site, testSets(t, site, t.TempDir()), Options{})
	pages := readPages(t, out)
	plates := 0
	for _, p := range pages {
		if strings.HasPrefix(p.name, "plates/") {
			plates++
		}
		t.Run(p.name, func(t *testing.T) {
			policyFirst(t, p)
			nothingInline(t, p)
			linksLead(t, p, out)
			onePageOfText(t, p)
		})
	}
	if plates != staged.Pages || plates != len(site.Plates) {
		t.Errorf("%d pages of plates, staged %d, published %d", plates, staged.Pages, len(site.Plates))
	}
	for id, folder := range staged.Paths {
		if _, err := os.Stat(filepath.Join(out, filepath.FromSlash(folder), "index.html")); err != nil {
			t.Errorf("plate %s: %v", id, err)
		}
	}
	weights(t, out, pages)
}

// policyFirst: the policy comes before anything it governs.
func policyFirst(t *testing.T, p page) {
	head := p.first(t, "head")
	for n := range head.ChildNodes() {
		if n.Type != html.ElementNode {
			continue
		}
		if equiv, _ := attr(n, "http-equiv"); equiv != "Content-Security-Policy" {
			t.Errorf("the first element of the head is <%s>", n.Data)
		}
		if content, _ := attr(n, "content"); content != Policy {
			t.Errorf("policy %q", content)
		}
		return
	}
}

// nothingInline: no script but data and files, no style or handler attributes.
func nothingInline(t *testing.T, p page) {
	p.each(func(n *html.Node) {
		for _, a := range n.Attr {
			if a.Key == "style" || strings.HasPrefix(a.Key, "on") {
				t.Errorf("<%s> has an attribute %s", n.Data, a.Key)
			}
		}
		switch n.Data {
		case "style", "iframe", "object", "embed", "base":
			t.Errorf("has a <%s>", n.Data)
		case "script":
			if kind, _ := attr(n, "type"); kind == "application/ld+json" {
				var data any
				if err := json.Unmarshal([]byte(text(n)), &data); err != nil {
					t.Errorf("structured data: %v", err)
				}
			} else if _, file := attr(n, "src"); !file || text(n) != "" {
				t.Errorf("inline script %q", text(n))
			}
		}
	})
}

// linksLead: every address is relative and leads to a file of the tree, so the
// site works under any path; other hosts are only linked to, by the studio's
// own licence and mail.
func linksLead(t *testing.T, p page, out string) {
	for _, address := range p.linked() {
		u, err := url.Parse(address)
		if err != nil {
			t.Errorf("address %q: %v", address, err)
			continue
		}
		if u.Scheme == "mailto" || address == testStudio().LicenceURL || address == "data:," {
			continue
		}
		if u.Scheme != "" || u.Host != "" {
			t.Errorf("leaves the site: %q", address)
			continue
		}
		to := path.Join(path.Dir(p.name), u.Path)
		if p.name == "404.html" {
			to = path.Join(".", strings.TrimPrefix(u.Path, "/on/tin/"))
		}
		if u.Path == "" {
			to = p.name
		}
		if !filepath.IsLocal(filepath.FromSlash(to)) {
			t.Errorf("leaves the tree: %q", address)
			continue
		}
		full := filepath.Join(out, filepath.FromSlash(to))
		info, err := os.Stat(full)
		if err == nil && info.IsDir() && !strings.HasSuffix(address, "index/") {
			_, err = os.Stat(filepath.Join(full, "index.html"))
		}
		if err != nil {
			t.Errorf("leads nowhere: %q", address)
		}
	}
}

// onePageOfText: one h1, a title, a language.
func onePageOfText(t *testing.T, p page) {
	headings := 0
	p.each(func(n *html.Node) {
		if n.Data == "h1" {
			headings++
		}
		if n.Data == "img" {
			if alt, ok := attr(n, "alt"); !ok || alt == "" && n.Parent.Parent != nil && n.Parent.Parent.Data == "figure" {
				t.Errorf("picture without a text in its place")
			}
		}
	})
	if headings != 1 {
		t.Errorf("%d first headings", headings)
	}
	if text(p.first(t, "title")) == "" {
		t.Error("no title")
	}
	if lang, _ := attr(p.first(t, "html"), "lang"); lang != "en" {
		t.Errorf("language %q", lang)
	}
}

// weights: no page is more than 120 KB before its pictures.
func weights(t *testing.T, out string, pages []page) {
	heaviest, most := "", 0
	for _, p := range pages {
		sum := p.size
		p.each(func(n *html.Node) {
			address, _ := attr(n, "href")
			if rel, _ := attr(n, "rel"); n.Data != "link" || rel != "stylesheet" {
				address = ""
			}
			if n.Data == "script" {
				address, _ = attr(n, "src")
			}
			if address == "" || p.name == "404.html" {
				return
			}
			info, err := os.Stat(filepath.Join(out, filepath.FromSlash(path.Join(path.Dir(p.name), address))))
			if err != nil {
				t.Fatal(err)
			}
			sum += int(info.Size())
		})
		if sum > most {
			heaviest, most = p.name, sum
		}
	}
	t.Logf("heaviest page before pictures: %s, %d bytes", heaviest, most)
	if most > 120_000 {
		t.Errorf("%s weighs %d bytes before its pictures; at most 120,000", heaviest, most)
	}
}

// TestWhatPeopleWroteIsShownAsWritten reads titles back from every place that
// shows them.
func TestWhatPeopleWroteIsShownAsWritten(t *testing.T) {
	site := testSite(len(hostile))
	staged, out := buildSite(t, site, testSets(t, site, ""), Options{})
	for _, p := range site.Plates {
		name := staged.Paths[p.ID] + "index.html"
		body, err := os.ReadFile(filepath.Join(out, filepath.FromSlash(name)))
		if err != nil {
			t.Fatal(err)
		}
		doc, err := html.Parse(bytes.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		page := page{name: name, doc: doc}
		want := clean(p.Title)
		if got := text(page.first(t, "h1")); got != want {
			t.Errorf("heading %q, want %q", got, want)
		}
		if got := text(page.first(t, "title")); got != want+" · Larkspur & Sons" {
			t.Errorf("title %q, want %q", got, want)
		}
		var data struct {
			Type       []string `json:"@type"`
			Identifier string
			Name       string
			Keywords   []string
		}
		page.each(func(n *html.Node) {
			if kind, _ := attr(n, "type"); n.Data == "script" && kind == "application/ld+json" {
				if err := json.Unmarshal([]byte(text(n)), &data); err != nil {
					t.Error(err)
				}
			}
		})
		if data.Name != want || data.Identifier != p.ID || strings.Join(data.Type, " ") != "Photograph VisualArtwork" {
			t.Errorf("structured data %+v, want name %q, identifier %q", data, want, p.ID)
		}
		if len(data.Keywords) != 3 || data.Keywords[2] != clean(p.Tags[2]) {
			t.Errorf("keywords %q, want the third to be %q", data.Keywords, clean(p.Tags[2]))
		}
	}
}

func TestNoPlates(t *testing.T) {
	site := testSite(0)
	staged, out := buildSite(t, site, nil, Options{})
	if staged.Pages != 0 || len(staged.Copies) != 0 {
		t.Errorf("staged %+v", staged)
	}
	pages := readPages(t, out)
	if len(pages) == 0 {
		t.Fatal("no pages")
	}
	for _, p := range pages {
		policyFirst(t, p)
		nothingInline(t, p)
		linksLead(t, p, out)
	}
	body, err := os.ReadFile(filepath.Join(out, "index.html"))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(body), "There are no plates to show yet") {
		t.Error("the front page does not say that there are no plates")
	}
}

// TestNoPageGrows: with thousands of tags, kinds of light and batches no page
// weighs more than a page may, and every list is still come to.
func TestNoPageGrows(t *testing.T) {
	site := testSite(60)
	for i := range site.Plates {
		p := &site.Plates[i]
		p.LightKind, p.Recipe.Collodion = fmt.Sprintf("light number %d", i), fmt.Sprintf("collodion-%d", i)
		for n := range 40 {
			p.Tags = append(p.Tags, fmt.Sprintf("a tag of some length, number %d", 40*i+n))
		}
	}
	_, out := buildSite(t, site, testSets(t, site, ""), Options{})
	const most = 61_000 // of 120,000: style sheet and scripts take 41,000, a first answer of the catalogue 18,000
	links := map[string]bool{}
	err := filepath.WalkDir(out, func(name string, d fs.DirEntry, err error) error {
		if err != nil || filepath.Ext(name) != ".html" {
			return err
		}
		body, err := os.ReadFile(name)
		if len(body) > most {
			t.Errorf("%s weighs %d bytes", name, len(body))
		}
		if strings.Contains(name, string(filepath.Separator)+"tags"+string(filepath.Separator)) {
			for _, m := range tagLink.FindAllStringSubmatch(string(body), -1) {
				links[m[1]] = true
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	folders, err := os.ReadDir(filepath.Join(out, "tags"))
	if err != nil || len(folders) < 60*40 {
		t.Fatalf("%d lists by tag, %v", len(folders), err)
	}
	for _, f := range folders {
		if name := f.Name(); f.IsDir() && name != "page" && !links[name] {
			t.Errorf("nothing leads to the list tags/%s/", name)
		}
	}
}

var tagLink = regexp.MustCompile(`href="[./]*tags/([a-z0-9-]+)/"`)
