package main

import (
	"errors"
	"os"
	"path/filepath"

	"sandarac/archive"
	"sandarac/archive/finding"
	"sandarac/archive/publish"
)

type publishCommand struct {
	places
	Address string `arg:"" help:"Where the site goes: a folder, s3://BUCKET?region=…, azblob://CONTAINER or another address of those kinds."`
	DryRun  bool   `help:"Say what would be sent and removed, and change nothing."`
	Adopt   bool   `help:"Take over a place that holds other things; they are removed."`
	List    bool   `help:"List every file sent and removed."`
}

// Help is shown below the flags.
func (publishCommand) Help() string {
	return "Looks through the site first, by the records of today: one that shows what may not be seen is not sent. Sends only what changed: pages after what they show, removals last. Stopped halfway, visitors see the old site or the new one, and the next run goes on. Keys and regions are taken from the environment, as the host's own tools take them; they are never part of the address."
}

func (c *publishCommand) Run(e *environment) error {
	root, err := e.root()
	if err != nil {
		return err
	}
	b := buildCommand{places: c.places}
	opt := b.options(e, root)
	if err := fitToSend(e, opt.Out, archive.LookOptions{Root: root, Today: e.day, Report: e.say}); err != nil {
		return err
	}
	const kilo = 1 << 10
	report, err := publish.Publish(e.ctx, opt.Out, c.Address, publish.Options{DryRun: c.DryRun, Adopt: c.Adopt, Progress: func(done, total int64) {
		e.say.Step("sent, KB", int(done/kilo), int(total/kilo))
	}})
	switch {
	case errors.Is(err, publish.ErrNotASite):
		return withHint(err, "build the site first: sandarac build")
	case errors.Is(err, publish.ErrForeign):
		return withHint(err, "name an empty place, or say --adopt to have everything there removed")
	case err != nil:
		return err
	}
	if c.DryRun || c.List {
		for _, name := range report.Sent {
			e.say.print("send    %s", name)
		}
		for _, name := range report.Removed {
			e.say.print("remove  %s", name)
		}
	}
	words := "%s sent (%d KB), %d removed, %d the same"
	if c.DryRun {
		words = "%s to send (%d KB), %d to remove, %d the same; nothing was changed"
	}
	e.say.print(words, plural(len(report.Sent), "file"), report.Bytes/kilo, len(report.Removed), report.Same)
	return nil
}

// fitToSend refuses a site that was right when it was built and is not today: a
// consent or a gallery ended since, or something was put into it by hand. What is no built
// site is left to publish to refuse.
func fitToSend(e *environment, site string, opt archive.LookOptions) error {
	if _, err := os.Stat(filepath.Join(site, publish.Mark)); err != nil {
		return nil
	}
	looked, err := archive.Look(e.ctx, opt)
	if err != nil {
		return err
	}
	if looked.Archive.Studio.Broken {
		return withHint(errors.New("nothing was sent: the studio record has errors, so nobody can say what may be seen"), "mend it; sandarac check says where")
	}
	found, err := archive.StillPublic(e.ctx, looked, site)
	if err != nil {
		return err
	}
	open, err := archive.StillOpen(e.ctx, looked, opt.Root, site)
	if err != nil {
		return err
	}
	if found = append(found, open...); len(found) == 0 {
		found, err = archive.Audit(e.ctx, site, opt)
	}
	if err != nil || len(found) == 0 {
		return err
	}
	for i := range found {
		found[i].Severity = finding.Error
	}
	e.say.findings(e.say.err, found, true)
	return withHint(errors.New("nothing was sent: the site holds what may not be seen today"), "build it again: sandarac build")
}
