package main

import (
	"context"
	"fmt"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"

	"sandarac/archive/bench"
	"sandarac/cmd/screens/browser"
	"sandarac/cmd/screens/kind"
)

// views are what is looked at: a phone and a desk, in both schemes.
var views = []browser.View{
	{Width: 390, Height: 844, Density: 2, Phone: true},
	{Width: 390, Height: 844, Density: 2, Phone: true, Dark: true},
	{Width: 1440, Height: 900, Density: 1},
	{Width: 1440, Height: 900, Density: 1, Dark: true},
}

// shoot takes the pictures of all pages in all views.
func shoot(ctx context.Context, pages []kind.Page, dirs map[kind.Site]string, only, out string) error {
	if err := os.MkdirAll(out, 0o755); err != nil {
		return err
	}
	roots := map[kind.Site]string{}
	for site, dir := range dirs {
		s := httptest.NewServer(bench.Files(dir, "/"))
		defer s.Close()
		roots[site] = s.URL + "/"
	}
	b, err := browser.Start(ctx)
	if err != nil {
		return err
	}
	defer b.Close()
	n := 0
	for _, v := range views {
		tab, err := b.Open(v)
		if err != nil {
			return err
		}
		for _, p := range pages {
			if !strings.Contains(string(p.Site)+" "+p.Name, only) {
				continue
			}
			if err := shootPage(tab, v, p, roots[p.Site], out); err != nil {
				return fmt.Errorf("%s, %s, %d px, %s: %w", p.Site, p.Name, v.Width, v.Scheme(), err)
			}
			n++
		}
		tab.Close()
	}
	fmt.Printf("%d pictures in %s\n", n, out)
	return nil
}

func shootPage(tab *browser.Tab, v browser.View, p kind.Page, root, out string) error {
	if err := p.Reach(tab, root); err != nil {
		return err
	}
	if err := tab.Settle(); err != nil {
		return err
	}
	name := filepath.Join(out, fmt.Sprintf("%s-%s-%d-%s", p.Site, p.Name, v.Width, v.Scheme()))
	picture, err := tab.Screenshot(!p.Close)
	if err != nil {
		return err
	}
	if err := os.WriteFile(name+".jpg", picture, 0o644); err != nil {
		return err
	}
	if !p.Paper || v.Phone {
		return nil
	}
	pdf, err := tab.Paper()
	if err != nil {
		return err
	}
	return os.WriteFile(name+".pdf", pdf, 0o644)
}
