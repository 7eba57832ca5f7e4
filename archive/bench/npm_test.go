package bench

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// npmPackage installs a package once into the user's cache and gives the folder
// that holds its node_modules.
func npmPackage(t *testing.T, nameAtVersion string) string {
	t.Helper()
	npm, err := exec.LookPath("npm")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("npm is not installed")
		}
		t.Skip("npm is not installed")
	}
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

// html-validate finds nothing to mend in the page, with its standard rules but
// two of style: how void elements end, and spaces at line ends.
func TestThePageIsValidHTML(t *testing.T) {
	dir := npmPackage(t, "html-validate@10.17.0")
	at := t.TempDir()
	assets, err := loadAssets()
	if err != nil {
		t.Fatal(err)
	}
	page := filepath.Join(at, "index.html")
	if err := os.WriteFile(page, assets["index.html"].data, 0o644); err != nil {
		t.Fatal(err)
	}
	config := filepath.Join(at, "config.json")
	if err := os.WriteFile(config, []byte(`{"root": true, "extends": ["html-validate:standard"], "rules": {"void-style": "off", "no-trailing-whitespace": "off"}}`), 0o644); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(filepath.Join(dir, "node_modules", ".bin", "html-validate"), "--config", config, page).CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}
