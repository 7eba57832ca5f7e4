package main

import (
	"sandarac/archive"
	"sandarac/archive/recipe"
)

type mixCommand struct {
	Batch string `arg:"" help:"Id of the batch whose recipe is to be mixed."`
	To    string `help:"Volume to scale to, such as 250ml or 1l. Default: the batch's own." placeholder:"VOLUME"`
}

// Help is shown below the flags.
func (mixCommand) Help() string {
	return "Prints what the batch's record says, scaled, with the order of mixing and the cautions that go with it. It is a record, not an instruction: read the safety data sheets and follow your local codes."
}

func (c *mixCommand) Run(e *environment) error {
	root, err := e.root()
	if err != nil {
		return err
	}
	looked, err := archive.Look(e.ctx, archive.LookOptions{Root: root, Today: e.day, Report: e.say})
	if err != nil {
		return err
	}
	ml := 0.0
	if c.To != "" {
		if ml, err = recipe.ParseVolume(c.To); err != nil {
			return usagef("--to: %v", err)
		}
	}
	card, err := recipe.Card(looked.Archive, c.Batch, ml)
	if err != nil {
		return withHint(err, "check lists what is wrong with a batch's record")
	}
	return recipe.Write(e.say.out, c.Batch, card)
}
