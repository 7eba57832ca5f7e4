package main

import (
	"path/filepath"

	"sandarac/archive"
	"sandarac/archive/finding"
)

// places are where the two sites are built.
type places struct {
	Out   string `help:"Folder of the public site. Default: public in the archive." placeholder:"DIR" type:"path"`
	Bench string `help:"Folder of the bench book, which is never uploaded. Default: bench-book in the archive." placeholder:"DIR" type:"path"`
}

type buildCommand struct {
	places
	Strict bool `help:"Keep the old site when the archive has any error."`
}

// Help is shown below the flags.
func (buildCommand) Help() string {
	return "A plate with an error is left out whole, and the rest is built; the exit code is then 1. The old site stays when the studio record has errors or when the audit finds anything that may not be shown."
}

func (c *buildCommand) Run(e *environment) error {
	root, err := e.root()
	if err != nil {
		return err
	}
	return c.build(e, c.options(e, root))
}

func (c *buildCommand) options(e *environment, root string) archive.BuildOptions {
	opt := archive.BuildOptions{Root: root, Out: c.Out, Bench: c.Bench, Today: e.day, Strict: c.Strict, Report: e.say}
	if abs, err := filepath.Abs(root); err == nil {
		opt.Root = abs
	}
	if opt.Out == "" {
		opt.Out = filepath.Join(opt.Root, "public")
	}
	if opt.Bench == "" {
		opt.Bench = filepath.Join(opt.Root, "bench-book")
	}
	return opt
}

// build builds, and says what came of it.
func (c *buildCommand) build(e *environment, opt archive.BuildOptions) error {
	built, err := archive.Build(e.ctx, opt)
	if err != nil {
		return err
	}
	e.say.findings(e.say.err, built.Findings, false)
	if built.Kept {
		e.say.print("kept the site as it was: %s", built.Why)
		return errFaults
	}
	e.say.print("built %s: %s published, %s", opt.Out, plural(built.Published, "plate"), plural(built.Galleries, "sealed gallery"))
	for _, address := range built.Gone {
		e.say.print("gone  %s", address)
	}
	e.say.print("%s, %s decoded, in %s", changes(built), plural(built.Decoded, "scan"), took(built.Took))
	if finding.Count(built.Findings, finding.Error) > 0 {
		return errFaults
	}
	return nil
}

func changes(b *archive.Built) string {
	if !b.Public.Any() {
		return "nothing changed"
	}
	return plural(b.Public.Added, "new file") + ", " + plural(b.Public.Changed, "changed file") + ", " + plural(b.Public.Removed, "removed file")
}
