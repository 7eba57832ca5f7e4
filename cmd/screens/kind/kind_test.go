package kind

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sandarac/archive/gallery"
)

func tree(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, body := range files {
		full := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(full), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(full, []byte(body), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func TestList(t *testing.T) {
	public := tree(t, map[string]string{
		"index.html": `<body class="home">`, "404.html": `<body class="404">`, "sitemap.xml": "<urlset/>",
		"plates/b/index.html": `<body class="page plates"><article data-support="tin">`,
		"plates/a/index.html": `<body class="page plates"><article data-support="tin">`,
		"plates/c/index.html": `<body class="page plates"><article data-support="glass">`,
		"g/x/index.html":      `<body class="gallery-page">`,
	})
	bench := tree(t, map[string]string{
		"index.html": `<body class="leaf-home">`, "batches/c/index.html": `<body class="leaf-term">`, "clients/d/index.html": `<body class="leaf-term">`,
	})
	links := []gallery.Link{
		{Client: "a", State: "ended", URL: "https://x.example/g/old/#k"},
		{Client: "b", State: "open", URL: "https://x.example/sub/g/one/#key"},
		{Client: "c", State: "open", URL: "https://x.example/sub/g/two/#key2", Passphrase: "w-x-y-z"},
		{Client: "d", State: "open", URL: "https://x.example/sub/g/three/#key3"},
	}
	pages, err := List(public, bench, links)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, p := range pages {
		got = append(got, string(p.Site)+" "+p.Name+" "+p.Path)
	}
	for _, want := range []string{
		"portfolio home ", "portfolio 404 404.html", "portfolio page-plates-tin plates/a/", "portfolio page-plates-glass plates/c/",
		"portfolio gallery g/one/#key", "portfolio gallery-trouble g/one/", "portfolio gallery-locked g/two/#key2",
		"bench-book leaf-home ", "bench-book leaf-term-batches batches/c/", "bench-book leaf-term-clients clients/d/",
	} {
		if !slices.Contains(got, want) {
			t.Errorf("%q is not in the list", want)
		}
	}
	slices.Sort(got)
	if len(slices.Compact(got)) != len(pages) || slices.ContainsFunc(got, func(p string) bool { return strings.Contains(p, "old") || strings.Contains(p, "plates/b/") }) {
		t.Errorf("the list is\n%s", strings.Join(got, "\n"))
	}
}

func TestListRefuses(t *testing.T) {
	sound := map[string]string{"plates/a/index.html": `<body class="page plates">`}
	for name, public := range map[string]map[string]string{
		"a page without a class": {"plates/a/index.html": `<body class="page">`, "index.html": "<body>"},
		"a site without plates":  {"index.html": `<body class="home">`},
	} {
		if _, err := List(tree(t, public), tree(t, nil), nil); err == nil {
			t.Errorf("%s is taken", name)
		}
	}
	if _, err := List(tree(t, sound), tree(t, nil), []gallery.Link{{State: "open", URL: "https://x.example/"}}); err == nil {
		t.Error("a link to no gallery is taken")
	}
	if pages, err := List(tree(t, sound), tree(t, nil), nil); err != nil || len(pages) < 4 {
		t.Errorf("a site without galleries: %d pages, %v", len(pages), err)
	}
}
