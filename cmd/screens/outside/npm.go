// Package outside fetches the programs of others that tests hold our pages
// against. They come from npm, at a version that each test names, into a folder
// of the user's cache: once, and without running anything of theirs on the way.
package outside

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// NPM gives the folder whose node_modules holds the packages, each written
// name@version. It installs them if they are not there yet; packages asked for
// together share a folder and can import each other.
func NPM(packages ...string) (string, error) {
	cache, err := os.UserCacheDir()
	if err != nil {
		return "", err
	}
	base := filepath.Join(cache, "sandarac-tests")
	names := slices.Sorted(slices.Values(packages))
	dir := filepath.Join(base, strings.NewReplacer("@", "-", "/", "-").Replace(strings.TrimPrefix(strings.Join(names, "+"), "@")))
	if _, err := os.Stat(filepath.Join(dir, "node_modules")); err == nil {
		return dir, nil
	}
	npm, err := exec.LookPath("npm")
	if err != nil {
		return "", fmt.Errorf("npm is not installed: %w", err)
	}
	if err := os.MkdirAll(base, 0o755); err != nil {
		return "", err
	}
	draft, err := os.MkdirTemp(base, "draft-*")
	if err != nil {
		return "", err
	}
	defer os.RemoveAll(draft)
	install := exec.Command(npm, append([]string{"install", "--prefix", draft, "--no-audit", "--no-fund", "--ignore-scripts"}, packages...)...)
	install.Dir = draft
	if out, err := install.CombinedOutput(); err != nil {
		return "", fmt.Errorf("npm install %s: %w\n%s", strings.Join(packages, " "), err, out)
	}
	// Whoever comes second finds the name taken, by the same packages.
	if err := os.Rename(draft, dir); err != nil && !errors.Is(err, fs.ErrExist) {
		if _, taken := os.Stat(filepath.Join(dir, "node_modules")); taken != nil {
			return "", err
		}
	}
	return dir, nil
}

// NeedNPM is NPM for a test: without npm the test is skipped, but fails in CI,
// where everything must run.
func NeedNPM(t testing.TB, packages ...string) string {
	t.Helper()
	if _, err := exec.LookPath("npm"); err != nil {
		Missing(t, err)
	}
	dir, err := NPM(packages...)
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

// Need is the path of a program on PATH, for a test.
func Need(t testing.TB, program string) string {
	t.Helper()
	path, err := exec.LookPath(program)
	if err != nil {
		Missing(t, err)
	}
	return path
}

// Missing ends a test for want of a program: as a failure in CI.
func Missing(t testing.TB, err error) {
	t.Helper()
	if os.Getenv("CI") == "true" {
		t.Fatal(err)
	}
	t.Skip(err)
}
