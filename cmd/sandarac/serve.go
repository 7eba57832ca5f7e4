package main

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"time"

	"golang.org/x/sync/errgroup"

	"sandarac/archive"
	"sandarac/archive/bench"
)

type serveCommand struct {
	places
	formFlags
	Port    int  `help:"Port of the public site; the bench book and the bench form are on the next two. 0: any free ports." default:"4170"`
	NoBuild bool `help:"Serve what is built, without building first or on change."`
}

// Help is shown below the flags.
func (serveCommand) Help() string {
	return "Only this machine can reach what is served, unless --lan opens the bench form to the local network. Records and scans that change are built again. The bench form logs plates from a phone or tablet; what it takes becomes records in the archive."
}

func (c *serveCommand) Run(e *environment) error {
	root, err := e.root()
	if err != nil {
		return err
	}
	b := buildCommand{places: c.places}
	opt := b.options(e, root)
	if !c.NoBuild {
		if err := b.build(e, opt); err != nil && !errors.Is(err, errFaults) {
			return err
		}
	}
	return c.open(e, opt)
}

// open serves both sites and the form until Ctrl-C, and builds again when the
// archive changes.
func (c *serveCommand) open(e *environment, opt archive.BuildOptions) error {
	g, ctx := errgroup.WithContext(e.ctx)
	if err := openSites(ctx, g, e, opt, c.Port); err != nil {
		return err
	}
	formPort := 0
	if c.Port > 0 {
		formPort = c.Port + 2
	}
	if err := c.formFlags.serve(ctx, g, e, opt, formPort); err != nil {
		return err
	}
	if c.LAN {
		e.say.print("Only this machine can open the two sites. Ctrl-C ends.")
	} else {
		e.say.print("Only this machine can open these addresses. Ctrl-C ends.")
	}
	b := buildCommand{places: c.places}
	if !c.NoBuild {
		g.Go(func() error {
			return bench.Watch(ctx, opt.Root, []string{opt.Out, opt.Bench}, func() {
				e.say.note("the archive changed; building")
				if err := b.build(e, opt); err != nil && !errors.Is(err, errFaults) {
					e.say.fail(err)
				}
			})
		})
	}
	return g.Wait()
}

// openSites serves both built sites and prints their addresses.
func openSites(ctx context.Context, g *errgroup.Group, e *environment, opt archive.BuildOptions, port int) error {
	for i, s := range []struct{ name, dir string }{{"portfolio ", opt.Out}, {"bench book", opt.Bench}} {
		if _, err := os.Stat(s.dir); err != nil {
			e.say.note("%s is not built yet (%s)", s.name, filepath.Base(s.dir))
			continue
		}
		site := &bench.Site{Name: s.name, Dir: s.dir}
		if port > 0 {
			site.Port = port + i
		}
		url, err := site.Listen()
		if err != nil && port > 0 {
			e.say.note("port %d is taken; using another", site.Port)
			site.Port = 0
			url, err = site.Listen()
		}
		if err != nil {
			return err
		}
		e.say.print("%s  %s", s.name, url)
		g.Go(func() error { return site.Serve(ctx) })
	}
	return nil
}

// took is a span short enough for a line.
func took(d time.Duration) string {
	switch {
	case d < time.Second:
		return d.Round(time.Millisecond).String()
	case d < time.Minute:
		return d.Round(100 * time.Millisecond).String()
	}
	return d.Round(time.Second).String()
}
