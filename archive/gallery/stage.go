package gallery

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
)

// pageFolder is where Hugo renders the one page: as deep as a gallery's folder, so
// that its relative links hold in each.
const pageFolder = Folder + "/page"

// sourceFolder is where the project holds what the page loads; the layout
// shortens each file on its way into the site.
const sourceFolder = "gallery/"

// shared are the style sheets that the gallery's own builds on.
var shared = []string{"shared/css/tokens.css", "shared/css/base.css", "shared/css/plate.css"}

// Stage puts what the gallery page is made of into the project of the public
// site at dir, which Hugo then renders: layout, words, style sheet, scripts and
// the one content file. templates holds the folders gallery and shared. Scripts
// and style lie in a folder named by their content, and may be cached for good.
func Stage(ctx context.Context, dir string, templates fs.FS) error {
	assets, err := readAssets(templates)
	if err != nil {
		return fmt.Errorf("staging the gallery page: %w", err)
	}
	folder := "assets/gallery/" + assets.version() + "/"
	for name, body := range assets {
		if err := write(dir, "assets/"+sourceFolder+name, body); err != nil {
			return fmt.Errorf("staging the gallery page: %w", err)
		}
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	front, err := json.Marshal(map[string]any{
		"title": "gallery", "url": "/" + pageFolder + "/", "layout": "gallery",
		"sitemap": map[string]any{"disable": true},
		// Rendered, and in no list, feed, term or site map of the site.
		"build":  map[string]any{"list": "never", "render": "always", "publishResources": false},
		"params": map[string]any{"assets": folder, "sources": sourceFolder},
	})
	if err != nil {
		return fmt.Errorf("staging the gallery page: %w", err)
	}
	return errors.Join(
		write(dir, "content/gallery-page.md", append(front, '\n')),
		copyLayouts(dir, templates),
		copyWords(dir, templates),
	)
}

// assets are the files that the page loads, by name.
type assets map[string][]byte

func readAssets(templates fs.FS) (assets, error) {
	out := assets{}
	entries, err := fs.ReadDir(templates, "gallery/assets")
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		if out[e.Name()], err = fs.ReadFile(templates, "gallery/assets/"+e.Name()); err != nil {
			return nil, err
		}
	}
	var style bytes.Buffer
	for _, name := range shared {
		body, err := fs.ReadFile(templates, name)
		if err != nil {
			return nil, err
		}
		style.Write(append(body, '\n'))
	}
	style.Write(out["gallery.css"])
	out["gallery.css"] = style.Bytes()
	return out, nil
}

// version names the files together: a page never meets scripts of another.
func (a assets) version() string {
	names := make([]string, 0, len(a))
	for name := range a {
		names = append(names, name)
	}
	slices.Sort(names)
	sum := sha256.New()
	for _, name := range names {
		fmt.Fprintf(sum, "%s %d\n", name, len(a[name]))
		sum.Write(a[name])
	}
	return hex.EncodeToString(sum.Sum(nil)[:6])
}

func copyLayouts(dir string, templates fs.FS) error {
	const from = "gallery/layouts"
	return fs.WalkDir(templates, from, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		body, err := fs.ReadFile(templates, name)
		if err != nil {
			return err
		}
		return write(dir, "layouts"+strings.TrimPrefix(name, from), body)
	})
}

// copyWords puts the language files there, which hold the words of all sites.
func copyWords(dir string, templates fs.FS) error {
	files, err := fs.Glob(templates, "shared/i18n/*.toml")
	if err != nil {
		return err
	}
	for _, name := range files {
		body, err := fs.ReadFile(templates, name)
		if err != nil {
			return err
		}
		if err := write(dir, "i18n/"+path.Base(name), body); err != nil {
			return err
		}
	}
	return nil
}

func write(dir, name string, body []byte) error {
	full := filepath.Join(dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(full), 0o755); err != nil {
		return err
	}
	return os.WriteFile(full, body, 0o644)
}
