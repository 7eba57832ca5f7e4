package main

import (
	"sandarac/archive"
)

type galleriesCommand struct {
	JSON bool `help:"Print the list as JSON."`
}

// Help is shown below the flags.
func (galleriesCommand) Help() string {
	return "A link opens the gallery for whoever holds it, and so does a copy of it: send each to its client only. To make a new link and let the old one die, raise generation in the client's record and build again; copies that hosts or visitors kept of the old files stay readable to holders of the old link."
}

func (c *galleriesCommand) Run(e *environment) error {
	root, err := e.root()
	if err != nil {
		return err
	}
	links, err := archive.Galleries(e.ctx, archive.LookOptions{Root: root, Today: e.day, Report: e.say})
	if err != nil {
		return err
	}
	if c.JSON {
		return e.say.json(map[string]any{"galleries": links})
	}
	if len(links) == 0 {
		e.say.print("no clients yet: a gallery is made for each client record")
		return nil
	}
	for _, l := range links {
		until := "no end"
		if l.Until != nil {
			until = "until " + *l.Until
		}
		e.say.print("%s: %s, %s, %s, generation %d", l.Client, l.State, plural(l.Plates, "plate"), until, l.Generation)
		if l.State == "open" {
			e.say.print("  %s", l.URL)
			if l.Passphrase != "" {
				e.say.print("  passphrase: %s  (send it another way than the link)", l.Passphrase)
			}
		}
	}
	e.say.note("\nWhoever holds a link can see its gallery. Send each to its client only.")
	return nil
}
