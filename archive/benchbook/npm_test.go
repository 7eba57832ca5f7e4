package benchbook

import (
	"io/fs"
	"net/url"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// Outside checkers, at the versions these tests were written with.
const (
	axeCore      = "axe-core@4.14.1"
	htmlValidate = "html-validate@10.17.0"
)

// npmPackage installs a package once into the user's cache and gives the folder
// that holds its node_modules.
func npmPackage(t *testing.T, nameAtVersion string) string {
	t.Helper()
	npm := needed(t, "npm")
	cache, err := os.UserCacheDir()
	if err != nil {
		cache = t.TempDir()
	}
	dir := filepath.Join(cache, "sandarac-tests", strings.ReplaceAll(nameAtVersion, "@", "-"))
	name, _, _ := strings.Cut(nameAtVersion, "@")
	if _, err := os.Stat(filepath.Join(dir, "node_modules", name)); err == nil {
		return dir
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	install := exec.Command(npm, "install", "--prefix", dir, "--no-audit", "--no-fund", "--ignore-scripts", nameAtVersion)
	install.Dir = dir
	if out, err := install.CombinedOutput(); err != nil {
		t.Fatalf("npm install: %v\n%s", err, out)
	}
	return dir
}

// TestPagesAreValidHTML asks html-validate, with its standard rules but two of
// style: how void elements end, and spaces at line ends.
func TestPagesAreValidHTML(t *testing.T) {
	dir := npmPackage(t, htmlValidate)
	_, out := demoSite(t)
	config := filepath.Join(dir, "benchbook.json")
	rules := `{"root":true,"extends":["html-validate:standard"],"rules":{"void-style":"off","no-trailing-whitespace":"off","long-title":"off"}}`
	if err := os.WriteFile(config, []byte(rules), 0o644); err != nil {
		t.Fatal(err)
	}
	args := []string{filepath.Join(dir, "node_modules", "html-validate", "bin", "html-validate.mjs"), "--config", config, "--formatter", "text"}
	for _, name := range pagesOf(t, out) {
		args = append(args, filepath.Join(out, filepath.FromSlash(name)))
	}
	check := exec.Command("node", args...)
	check.Dir = dir
	if report, err := check.CombinedOutput(); err != nil {
		t.Errorf("%v\n%.6000s", err, report)
	}
}

// pagesOf lists the HTML files of a tree.
func pagesOf(t testing.TB, out string) []string {
	t.Helper()
	var names []string
	err := fs.WalkDir(os.DirFS(out), ".", func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && path.Ext(name) == ".html" {
			names = append(names, name)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return names
}

var hrefs = regexp.MustCompile(`<a\b[^>]*\bhref="([^"]*)"`)

// links are the folders of the site that a page's links lead to.
func links(body, from string) []string {
	var out []string
	base := &url.URL{Path: "/" + from}
	for _, m := range hrefs.FindAllStringSubmatch(body, -1) {
		to, err := base.Parse(strings.ReplaceAll(m[1], "&amp;", "&"))
		if err != nil || to.Host != "" || to.Scheme != "" || !strings.HasSuffix(to.Path, "/") {
			continue
		}
		out = append(out, strings.TrimPrefix(to.Path, "/"))
	}
	return out
}
