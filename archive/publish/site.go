package publish

import (
	"cmp"
	"context"
	"crypto/md5"
	"crypto/sha256"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/sync/errgroup"
)

// file is one file of the site.
type file struct {
	name    string // relative, with slashes
	size    int64
	md5     [md5.Size]byte // what object storage compares by
	sha256  [sha256.Size]byte
	kind    string // media type
	caching string // Cache-Control
}

// readSite lists the site and takes its sums.
func readSite(ctx context.Context, dir string, parallel int) (map[string]*file, error) {
	site := map[string]*file{}
	var list []*file
	err := filepath.WalkDir(dir, func(p string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		name, err := filepath.Rel(dir, p)
		if err != nil {
			return err
		}
		if !entry.Type().IsRegular() {
			return fmt.Errorf("%s is a link or a device; a site has only files", p)
		}
		f := &file{name: filepath.ToSlash(name)}
		f.kind = mediaType(f.name)
		site[f.name] = f
		list = append(list, f)
		return nil
	})
	if err != nil {
		return nil, err
	}
	caching, err := readHeaders(filepath.Join(dir, "_headers"))
	if err != nil {
		return nil, err
	}
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(parallel)
	for _, f := range list {
		f.caching = caching.of(f.name)
		group.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			return f.sum(dir)
		})
	}
	return site, group.Wait()
}

func (f *file) sum(dir string) error {
	in, err := os.Open(filepath.Join(dir, filepath.FromSlash(f.name)))
	if err != nil {
		return err
	}
	defer in.Close()
	m, s := md5.New(), sha256.New()
	if f.size, err = io.Copy(io.MultiWriter(m, s), in); err != nil {
		return err
	}
	m.Sum(f.md5[:0])
	s.Sum(f.sha256[:0])
	return nil
}

// mediaTypes by ending. Text is UTF-8 throughout the site.
var mediaTypes = map[string]string{
	".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".mjs": "text/javascript; charset=utf-8",
	".json": "application/json", ".webmanifest": "application/manifest+json", ".xml": "application/xml", ".atom": "application/atom+xml", ".rss": "application/rss+xml",
	".svg": "image/svg+xml", ".jpg": "image/jpeg", ".jpeg": "image/jpeg", ".png": "image/png", ".webp": "image/webp", ".avif": "image/avif", ".txt": "text/plain; charset=utf-8",
	".ics": "text/calendar; charset=utf-8", ".gz": "application/gzip", ".zip": "application/zip",
}

// mediaType is what a file is served as. Sealed files and parts of the search
// index are plain bytes, never a content coding.
func mediaType(name string) string {
	if t, ok := mediaTypes[strings.ToLower(path.Ext(name))]; ok {
		return t
	}
	switch path.Base(name) {
	case "_headers", "_redirects", "CNAME", ".nojekyll", Mark:
		return "text/plain; charset=utf-8"
	}
	return "application/octet-stream"
}

// isPage says whether visitors come to a file by its own address, so that it must
// come after all that it shows.
func isPage(name string) bool {
	switch strings.ToLower(path.Ext(name)) {
	case ".html", ".xml", ".atom", ".rss":
		return true
	}
	switch name {
	case "robots.txt", "_headers", "_redirects":
		return true
	}
	return false
}

// steps puts what is to be sent in order: first files under new names, which
// nobody asks for yet; then changed files that are no pages (a list that names
// other files); then new pages, then changed pages, at last the front page.
func steps(toSend []*file, changed map[string]bool) [][]*file {
	var out [5][]*file
	for _, f := range toSend {
		switch page := isPage(f.name); {
		case f.name == "index.html":
			out[4] = append(out[4], f)
		case page && changed[f.name]:
			out[3] = append(out[3], f)
		case page:
			out[2] = append(out[2], f)
		case changed[f.name]:
			out[1] = append(out[1], f)
		default:
			out[0] = append(out[0], f)
		}
	}
	var full [][]*file
	for _, step := range out {
		slices.SortFunc(step, func(a, b *file) int { return cmp.Compare(a.name, b.name) })
		if len(step) > 0 {
			full = append(full, step)
		}
	}
	return full
}

// removals are what the place holds and the site does not: pages first, then what
// they showed.
func removals(remote map[string]object, site map[string]*file) [][]string {
	var pages, rest []string
	for name := range remote {
		if _, ours := site[name]; ours {
			continue
		}
		if isPage(name) {
			pages = append(pages, name)
		} else {
			rest = append(rest, name)
		}
	}
	var out [][]string
	for _, step := range [][]string{pages, rest} {
		slices.Sort(step)
		if len(step) > 0 {
			out = append(out, step)
		}
	}
	return out
}
