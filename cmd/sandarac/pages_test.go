package main

import (
	"context"
	"io"
	"net/http/httptest"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"sandarac/archive"
	"sandarac/archive/bench"
	"sandarac/archive/record"
	"sandarac/cmd/screens/browser"
	"sandarac/cmd/screens/kind"
	"sandarac/cmd/screens/outside"
)

// The tests of the pages look at the demo's two sites as they are served, in a
// real browser: one page of every kind, and the states that scripts make.

// sites are the demo's two sites, served, with what there is to look at.
type sites struct {
	dirs  map[kind.Site]string
	pages []kind.Page
}

var demoSites = sync.OnceValues(func() (*sites, error) {
	dir, err := demo()
	if err != nil {
		return nil, err
	}
	day, err := record.ParseDate(demoDay)
	if err != nil {
		return nil, err
	}
	on := func(*time.Location) (record.Date, error) { return day, nil }
	links, err := archive.Galleries(context.Background(), archive.LookOptions{Root: dir, Today: on, Report: newSay(io.Discard, io.Discard)})
	if err != nil {
		return nil, err
	}
	s := &sites{dirs: map[kind.Site]string{kind.Portfolio: filepath.Join(dir, "public"), kind.BenchBook: filepath.Join(dir, "bench-book")}}
	s.pages, err = kind.List(s.dirs[kind.Portfolio], s.dirs[kind.BenchBook], links)
	return s, err
})

// needSites serves the demo's sites for a test.
func needSites(t *testing.T) (*sites, map[kind.Site]string) {
	t.Helper()
	demoDir(t)
	s, err := demoSites()
	if err != nil {
		t.Fatal(err)
	}
	roots := map[kind.Site]string{}
	for site, dir := range s.dirs {
		server := httptest.NewServer(bench.Files(dir, "/"))
		t.Cleanup(server.Close)
		roots[site] = server.URL + "/"
	}
	return s, roots
}

// needBrowser starts a browser for a test.
func needBrowser(t *testing.T) *browser.Browser {
	t.Helper()
	if _, err := browser.Path(); err != nil {
		outside.Missing(t, err)
	}
	b, err := browser.Start(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(b.Close)
	return b
}
