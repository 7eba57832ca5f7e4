package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"sandarac/archive/swap"
	"sandarac/plates"
)

type demoCommand struct {
	Dir  string `arg:"" optional:"" help:"Folder for the demo archive." default:"demo-archive" type:"path"`
	Once bool   `help:"Build and end, without serving."`
	Port int    `help:"Port of the public site; the bench book and the bench form are on the next two. 0: any free ports." default:"4170"`
}

// Help is shown below the flags.
func (demoCommand) Help() string {
	return "The studio, its people and its pictures are invented. A folder that holds the demo already is built again as it is now, so that you may change records and look at what happens: while it is served, what changes is built again. On the bench form you may log a plate of your own, and varnish and judge it later."
}

func (c *demoCommand) Run(e *environment) error {
	if err := c.write(e); err != nil {
		return err
	}
	b := buildCommand{}
	opt := b.options(e, c.Dir)
	err := b.build(e, opt)
	if err != nil && !errors.Is(err, errFaults) {
		return err
	}
	if c.Once {
		return nil
	}
	return (&serveCommand{Port: c.Port}).open(e, opt)
}

// write lays the archive out, unless it is there already. A folder that holds
// anything else is refused.
func (c *demoCommand) write(e *environment) error {
	if _, err := os.Stat(filepath.Join(c.Dir, "studio.md")); err == nil {
		e.say.note("demo       %s is there already; building it as it is", c.Dir)
		return nil
	}
	entries, err := os.ReadDir(c.Dir)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return withHint(err, "name a folder for the demo: sandarac demo DIR")
	}
	if len(entries) > 0 {
		return withHint(fmt.Errorf("%s holds other things", c.Dir), "name an empty or new folder for the demo: sandarac demo DIR")
	}
	n := 0
	err = fs.WalkDir(plates.FS, "archive", func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel("archive", filepath.FromSlash(name))
		if err != nil {
			return err
		}
		to := filepath.Join(c.Dir, rel)
		if d.IsDir() {
			return os.MkdirAll(to, 0o755)
		}
		data, err := fs.ReadFile(plates.FS, name)
		if err != nil {
			return err
		}
		n++
		return swap.CreateNew(to, data, 0o644)
	})
	if err != nil {
		return fmt.Errorf("writing the demo archive: %w", err)
	}
	e.say.note("demo       %d files written to %s", n, c.Dir)
	return nil
}
