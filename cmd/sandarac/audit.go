package main

import (
	"os"

	"sandarac/archive"
)

type auditCommand struct {
	Dir string `arg:"" help:"The built site to look through." type:"path"`
}

// Help is shown below the flags.
func (auditCommand) Help() string {
	return "Reads every byte of a site for anything of an unpublished plate, a name without consent, a client or a key, by the archive's records of today. build does the same before it puts a new site in place."
}

func (c *auditCommand) Run(e *environment) error {
	root, err := e.root()
	if err != nil {
		return err
	}
	if info, err := os.Stat(c.Dir); err != nil || !info.IsDir() {
		return usagef("%s is not a folder", c.Dir)
	}
	found, err := archive.Audit(e.ctx, c.Dir, archive.LookOptions{Root: root, Today: e.day, Report: e.say})
	if err != nil {
		return err
	}
	if len(found) > 0 {
		e.say.findings(e.say.out, found, true)
		return errFaults
	}
	e.say.print("nothing in %s that may not be seen", c.Dir)
	return nil
}
