package hugo

import (
	"context"
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// real finds the Hugo the tests run with; it must be installed.
func real(t *testing.T) Binary {
	t.Helper()
	path, err := exec.LookPath("hugo")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("no Hugo on PATH")
		}
		t.Skip("no Hugo on PATH")
	}
	b, err := usable(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// site writes a source folder: a home page, a page template, and what is given.
func site(t *testing.T, s Settings, files map[string]string) Site {
	t.Helper()
	dir := t.TempDir()
	all := map[string]string{
		"source/layouts/home.html": `<h1>{{ site.Title }}</h1>{{ range site.RegularPages }}{{ .RelPermalink }} {{ end }}`,
		"source/layouts/page.html": `<h1>{{ .Title }}</h1>{{ .Content }}`,
	}
	for name, text := range files {
		all["source/"+name] = text
	}
	if s.BaseURL == "" {
		s.BaseURL = "https://plates.example/studio/"
	}
	s.DisableKinds = append(s.DisableKinds, "404", "rss", "sitemap", "section", "taxonomy", "term")
	config, err := Config(s)
	if err != nil {
		t.Fatal(err)
	}
	all["config.json"] = string(config)
	for name, text := range all {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		write(t, path, text)
	}
	return Site{
		Source: filepath.Join(dir, "source"), Config: filepath.Join(dir, "config.json"),
		Destination: filepath.Join(dir, "out"), Cache: filepath.Join(dir, "cache"),
	}
}

func read(t *testing.T, s Site, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(s.Destination, filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func TestRun(t *testing.T) {
	b := real(t)
	t.Setenv("HUGO_TITLE", "from outside")
	t.Setenv("HUGO_BASEURL", "https://elsewhere.example/")
	s := site(t, Settings{Title: "Wet Plates", Locale: "en-GB", TimeZone: "Europe/Berlin", Params: map[string]any{"credit": "R. & Co"}}, map[string]string{
		"content/amber.md":    "{\"title\": \"Amber <i>& Co\", \"date\": \"2099-01-01T00:00:00Z\"}\n\nA note <b>with</b> HTML, www.example.com, [x](javascript:alert(1)).\n\n# Head {style=\"color:red\"}\n\n```go\nfunc main() {}\n```\n",
		"content/past.md":     "{\"title\": \"Past\", \"expiryDate\": \"2001-01-01T00:00:00Z\"}\n\nText.\n",
		"layouts/page.html":   `<html><body data-credit="{{ site.Params.credit }}"><h1>{{ .Title }}</h1>{{ .Content }}</body></html>`,
		"content/plain/_x.md": "",
	})
	if err := Run(context.Background(), b, s); err != nil {
		t.Fatal(err)
	}
	page := read(t, s, "amber/index.html")
	for _, want := range []string{"Amber &lt;i&gt;&amp; Co", "<!-- raw HTML omitted -->with", "www.example.com", `data-credit="R. &amp; Co"`} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is not in:\n%s", want, page)
		}
	}
	for _, not := range []string{"<b>with", "javascript:", `href="http`, `style="`, "chroma", "generator"} {
		if strings.Contains(page, not) {
			t.Errorf("%q is in:\n%s", not, page)
		}
	}
	home := read(t, s, "index.html")
	if !strings.Contains(home, "Wet Plates") || !strings.Contains(home, "/studio/amber/") {
		t.Errorf("the environment or the base URL came through:\n%s", home)
	}
	if missing, err := Missing(s.Destination, []string{"amber/index.html", "past/index.html", "index.html", "gone/index.html"}); err != nil || !slices.Equal(missing, []string{"gone/index.html"}) {
		t.Errorf("missing %v, %v", missing, err)
	}
	if _, err := os.Stat(filepath.Join(s.Source, ".hugo_build.lock")); err == nil {
		t.Error("Hugo left a lock in the source")
	}
}

// TestRunOnly: what is asked for and the lists are rendered, and the lists are whole.
func TestRunOnly(t *testing.T) {
	b := real(t)
	files := map[string]string{}
	for _, name := range []string{"amber", "plates/brass", "plates/copper", "learned/one", "learned/two"} {
		files["content/"+name+".md"] = "{}\n"
	}
	for _, tc := range []struct{ only, want []string }{
		{nil, []string{"amber", "plates/brass", "plates/copper", "learned/one", "learned/two"}},
		{[]string{}, nil},
		{[]string{"/plates/brass"}, []string{"plates/brass"}},
		{[]string{"/plates/brass", "/learned/*", "/*"}, []string{"amber", "plates/brass", "learned/one", "learned/two"}},
	} {
		s := site(t, Settings{Title: "Wet Plates"}, files)
		s.Only = tc.only
		if err := Run(context.Background(), b, s); err != nil {
			t.Fatal(err)
		}
		for name := range files {
			name = strings.TrimSuffix(strings.TrimPrefix(name, "content/"), ".md")
			if _, err := os.Stat(filepath.Join(s.Destination, filepath.FromSlash(name), "index.html")); (err == nil) != slices.Contains(tc.want, name) {
				t.Errorf("only %q: %s is there: %v", tc.only, name, err == nil)
			}
			if !strings.Contains(read(t, s, "index.html"), name) {
				t.Errorf("only %q: the list has no %s", tc.only, name)
			}
		}
	}
}

func TestRunFails(t *testing.T) {
	b := real(t)
	for _, c := range []struct {
		name    string
		file    string
		text    string
		at      string // file:line that must be named
		message string
	}{
		{"template fault", "layouts/page.html", "<p>\n{{ .Nothing.Here }}", "layouts/page.html:2", "can't evaluate field Nothing"},
		{"template syntax", "layouts/page.html", "<p>\n\n{{ if }", "layouts/page.html:3", "unexpected"},
		{"front matter", "content/a.md", "{\"title\": \"a\",}\n\ntext", "content/a.md:1", "invalid character"},
		{"shortcode in notes", "content/a.md", "{\"title\": \"a\"}\n\nsee {{< danger >}}\n", "content/a.md:3", "shortcode"},
		{"a warning", "layouts/page.html", `{{ warnf "beware" }}`, "layouts/page.html:1", "beware"},
		{"the network", "layouts/page.html", `{{ with resources.GetRemote "http://127.0.0.1:9/" }}{{ .Content }}{{ end }}`, "layouts/page.html:1", "access denied"},
		{"the environment", "layouts/page.html", `{{ getenv "HOME" }}`, "layouts/page.html:1", "access denied"},
		{"a missing translation", "layouts/page.html", `{{ i18n "nosuchword" }}`, "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := site(t, Settings{Title: "T"}, map[string]string{"content/a.md": "{\"title\": \"a\"}\n\ntext\n", c.file: c.text})
			err := Run(context.Background(), b, s)
			var failed *BuildError
			if !errors.As(err, &failed) {
				t.Fatalf("got %v", err)
			}
			if c.at == "" {
				return
			}
			if len(failed.Faults) == 0 {
				t.Fatalf("no fault read from:\n%s", failed.Output)
			}
			f := failed.Faults[0]
			if !strings.HasPrefix(f.String(), c.at+":") || !strings.Contains(f.Message, c.message) {
				t.Errorf("got %q", f)
			}
			if strings.Contains(f.String(), s.Source) {
				t.Errorf("an absolute path is shown: %q", f)
			}
		})
	}
}

// Two pages of one address: whatever Hugo says of it, one is found missing or the
// run fails.
func TestCollapsedPages(t *testing.T) {
	b := real(t)
	s := site(t, Settings{Title: "T"}, map[string]string{
		"content/b1.md": "{\"title\": \"b1\"}\n\nx\n",
		"content/B1.md": "{\"title\": \"B1\"}\n\ny\n",
	})
	if err := Run(context.Background(), b, s); err != nil {
		return
	}
	missing, err := Missing(s.Destination, []string{"b1/index.html", "B1/index.html"})
	if err != nil || len(missing) != 1 {
		t.Errorf("missing %v, %v", missing, err)
	}
}

func TestRunCancelled(t *testing.T) {
	b := real(t)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if err := Run(ctx, b, site(t, Settings{}, nil)); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
}

// The same source gives the same bytes.
func TestRunIsDeterministic(t *testing.T) {
	b := real(t)
	s := site(t, Settings{Title: "T"}, map[string]string{"content/a.md": "{\"title\": \"a\"}\n\ntext\n"})
	var first string
	for range 2 {
		s.Destination += "x"
		if err := Run(context.Background(), b, s); err != nil {
			t.Fatal(err)
		}
		page := read(t, s, "a/index.html") + read(t, s, "index.html")
		if first != "" && page != first {
			t.Errorf("differs:\n%s\n%s", first, page)
		}
		first = page
	}
}

func TestConfig(t *testing.T) {
	text, err := Config(Settings{
		BaseURL: "https://x.example/", Locale: "pt-BR", PagerSize: 40,
		Taxonomies:    map[string]string{"support": "supports"},
		OutputFormats: map[string]any{"index": map[string]any{"mediaType": "application/json"}},
		Outputs:       map[string][]string{"home": {"html", "index"}},
	})
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Locale, DefaultContentLanguage, TimeZone string
		Taxonomies                               map[string]string
		BuildFuture, BuildExpired                bool
		Security                                 struct {
			Exec struct{ Allow, OsEnv []string }
			HTTP struct{ URLs, Methods []string }
		}
		Pagination struct{ PagerSize int }
		Outputs    map[string][]string
	}
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	none := []string{"none"}
	if got.Locale != "pt-BR" || got.DefaultContentLanguage != "pt" || got.TimeZone != "UTC" || !got.BuildFuture || !got.BuildExpired ||
		got.Taxonomies["support"] != "supports" || got.Pagination.PagerSize != 40 || len(got.Outputs["home"]) != 2 ||
		!slices.Equal(got.Security.Exec.Allow, none) || !slices.Equal(got.Security.HTTP.URLs, none) || !slices.Equal(got.Security.HTTP.Methods, none) {
		t.Errorf("got %+v", got)
	}
	if _, err := Config(Settings{}); err == nil {
		t.Error("no base URL: no error")
	}
	if _, err := Config(Settings{BaseURL: "x", Params: map[string]any{"f": func() {}}}); err == nil {
		t.Error("a parameter that JSON cannot hold: no error")
	}
}

// No taxonomy asked for means none: not Hugo's tags and categories.
func TestNoTaxonomies(t *testing.T) {
	b := real(t)
	s := site(t, Settings{Title: "T"}, map[string]string{
		"content/a.md":      "{\"title\": \"a\", \"tags\": [\"secret\"]}\n\nx\n",
		"layouts/home.html": `none: {{ range $name, $_ := site.Taxonomies }}{{ $name }} {{ end }}`,
	})
	if err := Run(context.Background(), b, s); err != nil {
		t.Fatal(err)
	}
	if home := read(t, s, "index.html"); strings.TrimSpace(home) != "none:" {
		t.Errorf("taxonomies: %q", home)
	}
}

func TestFaults(t *testing.T) {
	out := "Start\n\x1b[31mERROR\x1b[0m error building site: render of \"/s/content/a.md\" failed: \"/s/layouts/p.html:3:7\": execute failed\nmore\nERROR plain words\n"
	got := faults([]byte(out), "/s")
	want := []Fault{{"layouts/p.html", 3, 7, "content/a.md", "execute failed"}, {Message: "plain words"}}
	if !slices.Equal(got, want) {
		t.Errorf("got %+v", got)
	}
	if e := (&BuildError{Output: "boom", Err: errors.New("exit 1")}).Error(); !strings.Contains(e, "boom") {
		t.Errorf("what Hugo said is lost: %s", e)
	}
}
