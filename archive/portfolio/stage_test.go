package portfolio

import (
	"context"
	"crypto/sha256"
	"encoding/xml"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"sandarac/archive/consent"
	"sandarac/archive/picture"
	"sandarac/templates"
)

func TestJobs(t *testing.T) {
	site := testSite(3)
	jobs := Jobs(site)
	if len(jobs) != 3 {
		t.Fatalf("%d jobs", len(jobs))
	}
	for i, j := range jobs {
		if j.Master != site.Plates[i].Master || len(j.Outputs) != len(Widths) {
			t.Errorf("job %d: %+v", i, j)
		}
		for _, o := range j.Outputs {
			if o.Edition != Edition || o.Rights.Copyright != site.Studio.Copyright || o.Rights.LicenceURL != site.Studio.LicenceURL || o.Rights.Creator != site.Studio.Credit {
				t.Errorf("output %+v", o)
			}
		}
	}
	for i := 1; i < len(Widths); i++ {
		if ratio := float64(Widths[i]) / float64(Widths[i-1]); ratio > 1.5 {
			t.Errorf("widths %d and %d are further apart than 1.5", Widths[i-1], Widths[i])
		}
	}
}

// tree is every file of a folder with the sum of its bytes.
func tree(t *testing.T, dir string) map[string][32]byte {
	t.Helper()
	out := map[string][32]byte{}
	err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		body, err := os.ReadFile(name)
		rel, _ := filepath.Rel(dir, name)
		out[filepath.ToSlash(rel)] = sha256.Sum256(body)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestSameInputSameBytes(t *testing.T) {
	site := testSite(12)
	sets := testSets(t, site, "")
	_, first := buildSite(t, site, sets, Options{})
	_, second := buildSite(t, site, sets, Options{})
	a, b := tree(t, first), tree(t, second)
	if len(a) != len(b) {
		t.Errorf("%d files, then %d", len(a), len(b))
	}
	for name, sum := range a {
		if b[name] != sum {
			t.Errorf("%s differs between two builds of the same archive", name)
		}
	}
}

// A set may hold what was made of the same scan for a gallery or the bench book.
func TestOtherEditionsAreNeverPublished(t *testing.T) {
	site := testSite(4)
	sets := testSets(t, site, "")
	for master, set := range sets {
		set.Files = append(set.Files, picture.File{Output: picture.Output{Edition: "gallery:x"}, Width: 4000, Height: 5000, Path: "/cache/gallery"},
			picture.File{Output: picture.Output{Edition: "bench"}, Width: 240, Height: 300, Path: "/cache/bench"})
		sets[master] = set
	}
	staged, dir := stageSite(t, site, sets, Options{})
	for _, c := range staged.Copies {
		if strings.Contains(c.From, "/cache/") {
			t.Errorf("would publish %s as %s", c.From, c.To)
		}
	}
	assertNowhere(t, dir, "4000", "240,300")
}

func TestPlateWithoutPicturesIsLeftOut(t *testing.T) {
	site := testSite(5)
	sets := testSets(t, site, "")
	lost := site.Plates[2]
	lost.Title = "Nobody will see this"
	site.Plates[2] = lost
	delete(sets, lost.Master)
	staged, dir := stageSite(t, site, sets, Options{})
	if !slices.Equal(staged.Left, []string{lost.ID}) || staged.Pages != 4 {
		t.Errorf("left out %q, pages %d", staged.Left, staged.Pages)
	}
	assertNowhere(t, dir, lost.ID, lost.Title)
}

// What the view does not hold cannot leak; what it holds for making pictures
// must not either.
func TestMastersAndSecretsStayAtHome(t *testing.T) {
	site := testSite(6)
	_, dir := stageSite(t, site, testSets(t, site, ""), Options{})
	assertNowhere(t, dir, "/masters/", ".tif", string(testSecret))
}

// assertNowhere looks for words in the names and bytes of all files of a stage
// but the templates, which hold only words of ours.
func assertNowhere(t *testing.T, dir string, words ...string) {
	t.Helper()
	err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		rel, _ := filepath.Rel(dir, name)
		if strings.HasPrefix(rel, "layouts") || strings.HasPrefix(rel, "i18n") || strings.HasPrefix(rel, "assets") {
			return nil
		}
		body, err := os.ReadFile(name)
		for _, w := range words {
			if strings.Contains(string(body), w) || strings.Contains(rel, w) {
				t.Errorf("%s holds %q", rel, w)
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestRefusals(t *testing.T) {
	ctx, site := context.Background(), testSite(1)
	full := t.TempDir()
	if err := os.WriteFile(filepath.Join(full, "x"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	nowhere := site
	nowhere.Studio.URL = "larkspur.example"
	twice := testSite(1)
	twice.Plates = append(twice.Plates, twice.Plates[0])
	stopped, stop := context.WithCancel(ctx)
	stop()
	for name, try := range map[string]func() error{
		"no secret": func() error { _, err := Stage(ctx, site, nil, Options{}, t.TempDir()); return err },
		"not empty": func() error { _, err := Stage(ctx, site, nil, Options{Secret: testSecret}, full); return err },
		"no url":    func() error { _, err := Stage(ctx, nowhere, nil, Options{Secret: testSecret}, t.TempDir()); return err },
		"same id": func() error {
			_, err := Stage(ctx, twice, testSets(t, twice, ""), Options{Secret: testSecret}, t.TempDir())
			return err
		},
		"stopped": func() error {
			_, err := Stage(stopped, site, nil, Options{Secret: testSecret}, t.TempDir())
			return err
		},
	} {
		if try() == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestFeedAndSitemap(t *testing.T) {
	site := testSite(35)
	staged, out := buildSite(t, site, testSets(t, site, ""), Options{})
	var feed struct {
		XMLName xml.Name `xml:"http://www.w3.org/2005/Atom feed"`
		ID      string   `xml:"id"`
		Title   string   `xml:"title"`
		Updated string   `xml:"updated"`
		Entries []struct {
			ID      string `xml:"id"`
			Title   string `xml:"title"`
			Updated string `xml:"updated"`
			Summary string `xml:"summary"`
			Links   []struct {
				Rel  string `xml:"rel,attr"`
				Href string `xml:"href,attr"`
			} `xml:"link"`
		} `xml:"entry"`
	}
	readXML(t, filepath.Join(out, "feed.xml"), &feed)
	const root = "https://larkspur.example/on/tin/"
	if feed.ID != root || feed.Title != "Larkspur & Sons: new plates" || len(feed.Entries) != 30 {
		t.Errorf("feed %q %q with %d entries", feed.ID, feed.Title, len(feed.Entries))
	}
	for i, e := range feed.Entries {
		p := site.Plates[i]
		if e.Title != clean(p.Title) || e.ID != root+staged.Paths[p.ID] || !strings.HasPrefix(e.Summary, clean(p.Alt)) {
			t.Errorf("entry %d: %+v", i, e)
		}
		if _, err := time.Parse(time.RFC3339, e.Updated); err != nil {
			t.Errorf("entry %d: %v", i, err)
		}
		for _, l := range e.Links {
			if !strings.HasPrefix(l.Href, root) {
				t.Errorf("entry %d links to %q", i, l.Href)
			}
		}
	}
	if _, err := time.Parse(time.RFC3339, feed.Updated); err != nil {
		t.Error(err)
	}

	var sitemap struct {
		XMLName xml.Name `xml:"http://www.sitemaps.org/schemas/sitemap/0.9 urlset"`
		URLs    []struct {
			Loc string `xml:"loc"`
		} `xml:"url"`
	}
	readXML(t, filepath.Join(out, "sitemap.xml"), &sitemap)
	listed := map[string]bool{}
	for _, u := range sitemap.URLs {
		if listed[u.Loc] {
			t.Errorf("%s is listed twice", u.Loc)
		}
		listed[u.Loc] = true
		local := filepath.Join(out, filepath.FromSlash(strings.TrimPrefix(u.Loc, root)), "index.html")
		if _, err := os.Stat(local); err != nil || !strings.HasPrefix(u.Loc, root) {
			t.Errorf("the sitemap lists %s: %v", u.Loc, err)
		}
	}
	for id, folder := range staged.Paths {
		if !listed[root+folder] {
			t.Errorf("the sitemap lacks plate %s", id)
		}
	}
	for _, more := range []string{"", "catalogue/", "before-you-come/", "years/", "formats/whole/"} {
		if !listed[root+more] {
			t.Errorf("the sitemap lacks %q", more)
		}
	}
}

func readXML(t *testing.T, name string, into any) {
	t.Helper()
	body, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	d := xml.NewDecoder(strings.NewReader(string(body)))
	if err := d.Decode(into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

// The second language proves that no word of the pages is in the layouts.
func TestEveryLanguageHasEveryWord(t *testing.T) {
	entries, err := fs.ReadDir(templates.Files, wordsDir)
	if err != nil {
		t.Fatal(err)
	}
	english, err := readWords(templates.Files, "en")
	if err != nil {
		t.Fatal(err)
	}
	if len(entries) < 2 {
		t.Error("only one language")
	}
	for _, e := range entries {
		language := strings.TrimSuffix(e.Name(), ".toml")
		other, err := readWords(templates.Files, language)
		if err != nil {
			t.Fatal(err)
		}
		for key, text := range english {
			if other[key] == "" {
				t.Errorf("%s lacks %s", language, key)
			}
			if a, b := placeholders(text), placeholders(other[key]); !slices.Equal(a, b) {
				t.Errorf("%s: %s has the places %q, English %q", language, key, b, a)
			}
		}
		for key := range other {
			if english[key] == "" {
				t.Errorf("%s has %s, which English lacks", language, key)
			}
		}
	}
}

func placeholders(text string) []string {
	var out []string
	for part := range strings.SplitSeq(text, "{") {
		if name, _, found := strings.Cut(part, "}"); found {
			out = append(out, strings.TrimSpace(name))
		}
	}
	slices.Sort(out)
	return out
}

func TestGerman(t *testing.T) {
	site := testSite(12)
	site.Studio.Language = "de-AT"
	_, out := buildSite(t, site, testSets(t, site, ""), Options{})
	english, err := readWords(templates.Files, "en")
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range readPages(t, out) {
		if lang, _ := attr(p.first(t, "html"), "lang"); lang != "de" {
			t.Errorf("%s: language %q", p.name, lang)
		}
		body := text(p.first(t, "body"))
		for _, key := range []string{"nav_sitters", "foot_feed", "plate_recipe", "caution_title", "sitters_wear_text", "home_lead", "catalogue_lead"} {
			if strings.Contains(body, english[key]) {
				t.Errorf("%s still says %q", p.name, english[key])
			}
		}
	}
	body, err := os.ReadFile(filepath.Join(out, "before-you-come", "index.html"))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(body), "Bevor Sie kommen") {
		t.Error("the page for sitters is not in German")
	}
}

func TestUnknownLanguageIsEnglish(t *testing.T) {
	if got := languageFor(templates.Files, "xx-YY"); got != "en" {
		t.Errorf("language %q", got)
	}
}

// The studio's own words replace ours, and may hold anything: what would run or
// fetch is inert, what would break the build is text.
func TestStudiosOwnWords(t *testing.T) {
	site := testSite(12)
	site.Pages = map[string]consent.Page{
		"home":            {Text: "We work **outdoors** only. {{< figure src=\"x\" >}} `{{% y %}}`"},
		"before-you-come": {Title: "Bring a coat", Lead: "It is <b>cold</b> {{ .Site }}", Text: hostileText},
		"about":           {Title: `The "studio" </title>`, Text: "### Who\n\n##### Why\n\n## What\n\nTwo people & a [dog](https://dog.example/).\n\n| day | hours |\n|---|---|\n| Monday | 10–4 |"},
	}
	_, out := buildSite(t, site, testSets(t, site, t.TempDir()), Options{})
	for name, want := range map[string][]string{
		"index.html": {
			"<strong>outdoors</strong>", "{\u2060{&lt; figure", `content="We work outdoors only.`, `href="./about/"`,
		},
		"before-you-come/index.html": {
			"<h1>Bring a coat</h1>", "It is &lt;b&gt;cold&lt;/b&gt;", "<h2>First of all</h2>", "the yard", "{\u2060{ readFile", "Sky blue",
			"half were exposed for", "Some of what is used is poisonous",
		},
		"about/index.html": {"<h2>Who</h2>", "<h3>Why</h3>", "<h2>What</h2>", `<a href="https://dog.example/" rel="noreferrer">dog</a>`, `<th scope="col">hours</th>`, `aria-current="page"`},
	} {
		body, err := os.ReadFile(filepath.Join(out, filepath.FromSlash(name)))
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range want {
			if !strings.Contains(string(body), w) {
				t.Errorf("%s lacks %q", name, w)
			}
		}
		for _, never := range []string{"elsewhere.example", "=\"javascript:", "<img src=x", "<script>", "onmouseover=\"", "<iframe", "style=\"", "root:x", "Texture always comes out well", "ZgotmplZ"} {
			if strings.Contains(string(body), never) {
				t.Errorf("%s holds %q", name, never)
			}
		}
	}
	for _, p := range readPages(t, out) {
		policyFirst(t, p)
		nothingInline(t, p)
	}
	sitemap, err := os.ReadFile(filepath.Join(out, "sitemap.xml"))
	if err != nil || !strings.Contains(string(sitemap), "/about/") {
		t.Errorf("the sitemap lacks the page: %v", err)
	}
}

// hostileText tries to run, to fetch, to read files and to break the build.
const hostileText = `# First of all

It is cold. ![the yard](https://elsewhere.example/yard.jpg) ![here](/plates/x.jpg) [go](javascript:alert(1)) [data](data:text/html,<script>alert(1)</script>)

<script>alert(1)</script> <img src=x onerror=alert(1)> <iframe src="https://elsewhere.example/"></iframe>

{{ readFile "/etc/passwd" }} {{< ref "x" >}} {{% include "y" %}} {{/* c */}} {{- getenv "SECRET" -}} {{{{ x }}

{{{< youtube abcdefghijk >}} {{{{{% figure src="https://inert.test/f.png" %}} {{{< nothing-of-this-name >}}

## Heading {onmouseover="alert(1)" style="color:red" .x}

<style>body { display: none }</style>

~~~go {style="color:red"}
func main() {}
~~~

> quoted [ref]: <javascript:alert(1)>

[a link][1] <javascript:alert(1)> https://elsewhere.test/ [odd](http://[::1) [odder](%zz)

[1]: javascript:alert(2) "t"

+++
title = "not front matter"
+++

---
title: nor this
---

<!--more-->
`

// Without such a record there is no page about the studio, and no way to it.
func TestNoPageAboutTheStudio(t *testing.T) {
	site := testSite(2)
	_, out := buildSite(t, site, testSets(t, site, ""), Options{})
	if _, err := os.Stat(filepath.Join(out, "about")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("there is one: %v", err)
	}
	assertNowhere(t, out, `href="./about/"`, `href="../about/"`)
}

// A studio that shows no recipes shows none anywhere, and no filter by batch.
func TestHiddenRecipes(t *testing.T) {
	site := testSite(12)
	site.Studio.ShowRecipes = false
	for i := range site.Plates {
		site.Plates[i].Recipe = nil
	}
	_, out := buildSite(t, site, testSets(t, site, ""), Options{})
	assertNowhere(t, out, "col-1", "bath-a", "petzval", `name="batch"`, `name=batch`, "How it was made")
}

// Where a recipe shows, so does the caution, with the studio's poison centre.
func TestRecipeComesWithItsCaution(t *testing.T) {
	site := testSite(12)
	staged, out := buildSite(t, site, testSets(t, site, ""), Options{})
	for _, p := range site.Plates {
		body, err := os.ReadFile(filepath.Join(out, filepath.FromSlash(staged.Paths[p.ID]), "index.html"))
		if err != nil {
			t.Fatal(err)
		}
		for _, want := range []string{"How it was made", "Not instructions", "safety data sheets", "potassium cyanide; silver nitrate", "555 0100", "at f/5.6"} {
			if !strings.Contains(string(body), want) {
				t.Errorf("plate %s does not say %q", p.ID, want)
			}
		}
	}
}

// A link preview of the front page shows only a plate whose sitters agreed to
// promotion; without one it shows none.
func TestPreviewOfTheFrontPageNeedsPromotion(t *testing.T) {
	site := testSite(16)
	for i := range site.Plates {
		site.Plates[i].Promotion = false
	}
	_, out := buildSite(t, site, testSets(t, site, ""), Options{})
	for _, name := range []string{"index.html", "catalogue/index.html", "before-you-come/index.html"} {
		body, err := os.ReadFile(filepath.Join(out, filepath.FromSlash(name)))
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(body), "og:image") {
			t.Errorf("%s has a preview picture", name)
		}
	}
	site.Plates[3].Promotion = true
	staged, out := buildSite(t, site, testSets(t, site, ""), Options{})
	body, err := os.ReadFile(filepath.Join(out, "index.html"))
	if err != nil {
		t.Fatal(err)
	}
	var image string
	for _, c := range staged.Copies {
		if strings.Contains(string(body), `property="og:image" content="https://larkspur.example/on/tin/`+c.To+`"`) {
			image = c.To
		}
	}
	if image == "" {
		t.Error("the front page has no preview picture")
	}
}

func BenchmarkStage(b *testing.B) {
	site := testSite(2000)
	sets := testSets(b, site, "")
	for b.Loop() {
		dir := b.TempDir()
		if _, err := Stage(context.Background(), site, sets, Options{Secret: testSecret}, dir); err != nil {
			b.Fatal(err)
		}
	}
}

func ExampleJobs() {
	site := consent.Site{Plates: []consent.Plate{{ID: "26-001", Master: "scans/26-001.tif"}}}
	job := Jobs(site)[0]
	fmt.Println(job.Master, len(job.Outputs), job.Outputs[0].Width, job.Outputs[0].Edition)
	// Output: scans/26-001.tif 9 160 public
}
