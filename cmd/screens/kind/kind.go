// Package kind lists what there is to look at in a built archive: one page of
// every kind of the portfolio, the galleries and the bench book, and the states
// that pages can be brought into. Pictures for review are taken of these, and
// tests walk through them, so that a new kind of page is looked at without
// anyone adding it to a list.
package kind

import (
	"bytes"
	"cmp"
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"

	"golang.org/x/net/html"

	"sandarac/archive/gallery"
	"sandarac/cmd/screens/browser"
)

// Site is one of the two trees that a build makes.
type Site string

// The galleries lie in the portfolio's tree.
const (
	Portfolio Site = "portfolio"
	BenchBook Site = "bench-book"
)

// Page is something to look at.
type Page struct {
	Site Site
	Name string // such as "term-tags" or "plate-close"; no two of a site are alike
	Path string // relative to the root of the site, with query and fragment
	Do   string // an expression that brings the page into its state; "" for as it is
	When string // an expression that becomes true when it is there; "" for at once
	// Paper says that the page is made to be printed as well.
	Paper bool
	// Close says that a close view covers the page, which is then one window high.
	Close bool
}

// Reach loads the page from a root ending in / and brings it into its state.
func (p Page) Reach(tab *browser.Tab, root string) error {
	if err := tab.Go(root + p.Path); err != nil {
		return err
	}
	if p.Do != "" {
		if _, err := browser.Eval[bool](tab, "(async () => { await ("+p.Do+"); return true })()"); err != nil {
			return err
		}
	}
	if p.When != "" {
		return tab.Until(p.When)
	}
	return nil
}

// List finds the kinds in two finished trees. Kinds of page are told apart by
// the class of their body and, in the bench book, by their folder; of each the
// first by address is taken, and a plate of each support. links are those of
// the galleries.
func List(public, bench string, links []gallery.Link) ([]Page, error) {
	pages, err := inTree(Portfolio, public)
	if err != nil {
		return nil, err
	}
	book, err := inTree(BenchBook, bench)
	if err != nil {
		return nil, err
	}
	states, err := portfolioStates(pages)
	if err != nil {
		return nil, err
	}
	rooms, err := galleries(links)
	if err != nil {
		return nil, err
	}
	return slices.Concat(pages, states, rooms, book), nil
}

// inTree gives a page of each kind in a tree, in the order of their names.
func inTree(site Site, dir string) ([]Page, error) {
	seen := map[string]bool{}
	var out []Page
	err := fs.WalkDir(os.DirFS(dir), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(name) != ".html" || site == Portfolio && strings.HasPrefix(name, gallery.Folder+"/") {
			return err
		}
		body, err := fs.ReadFile(os.DirFS(dir), name)
		if err != nil {
			return err
		}
		kind, err := kindOf(site, name, body)
		if err != nil || seen[kind] {
			return err
		}
		seen[kind] = true
		out = append(out, Page{Site: site, Name: kind, Path: strings.TrimSuffix(name, "index.html"), Paper: printable(site, kind)})
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("looking for kinds of page in %s: %w", dir, err)
	}
	slices.SortFunc(out, func(a, b Page) int { return cmp.Compare(a.Name, b.Name) })
	return out, nil
}

// kindOf names the kind of a page.
func kindOf(site Site, name string, body []byte) (string, error) {
	doc, err := html.Parse(bytes.NewReader(body))
	if err != nil {
		return "", fmt.Errorf("%s: %w", name, err)
	}
	var class, support string
	for n := range doc.Descendants() {
		if n.Type != html.ElementNode {
			continue
		}
		switch {
		case n.Data == "body":
			class = attribute(n, "class")
		case support == "" && n.Data == "article":
			support = attribute(n, "data-support")
		}
	}
	if class == "" {
		return "", fmt.Errorf("%s: its body has no class, by which kinds of page are told apart", name)
	}
	parts := strings.Fields(class)
	if folder, _, below := strings.Cut(name, "/"); site == BenchBook && below && len(strings.Split(name, "/")) > 2 {
		parts = append(parts, folder)
	}
	if support != "" {
		parts = append(parts, support)
	}
	return strings.Join(parts, "-"), nil
}

func attribute(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

// printable pages of the portfolio are those that people take along; every page
// of the bench book may be printed.
func printable(site Site, kind string) bool {
	return site == BenchBook || strings.HasPrefix(kind, "page")
}
