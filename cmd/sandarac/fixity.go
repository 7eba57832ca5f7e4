package main

import (
	"errors"
	"os"

	"sandarac/archive"
	"sandarac/archive/finding"
	"sandarac/archive/fixity"
	"sandarac/archive/record"
)

type fixityCommand struct {
	Record fixityRecordCommand `cmd:"" help:"Take the checksums of scans and records that have none yet."`
	Verify fixityVerifyCommand `cmd:"" help:"Compare scans and records with their checksums."`
	Bag    fixityBagCommand    `cmd:"" help:"Hand the archive, a season or a plate on as a BagIt bag, or check one."`
}

type fixityRecordCommand struct {
	Replace []string `help:"A scan whose new content is meant, by its path in the archive. May be given more than once." placeholder:"FILE"`
	Forget  []string `help:"A file that is gone on purpose." placeholder:"FILE"`
}

func (c *fixityRecordCommand) Run(e *environment) error {
	root, err := e.root()
	if err != nil {
		return err
	}
	report, findings, err := archive.FixityRecord(e.ctx, archive.LookOptions{Root: root, Today: e.day, Report: e.say}, c.Replace, c.Forget)
	if err != nil {
		return err
	}
	return fixityOutcome(e, report, findings)
}

type fixityVerifyCommand struct {
	Quick   bool    `help:"Compare names, sizes and times only."`
	Percent float64 `help:"Read this many per cent of the files whole, longest unread first." default:"100" placeholder:"N"`
}

// Help is shown below the flags.
func (fixityVerifyCommand) Help() string {
	return "A large archive can be read in rounds: --percent 5 on twenty evenings reads all of it."
}

func (c *fixityVerifyCommand) Run(e *environment) error {
	root, err := e.root()
	if err != nil {
		return err
	}
	if c.Quick {
		c.Percent = 0
	}
	if c.Percent < 0 || c.Percent > 100 {
		return usagef("--percent %g is not from 0 to 100", c.Percent)
	}
	report, findings, err := archive.FixityVerify(e.ctx, archive.LookOptions{Root: root, Today: e.day, Report: e.say}, c.Percent)
	if err != nil {
		return err
	}
	return fixityOutcome(e, report, findings)
}

func fixityOutcome(e *environment, r fixity.Report, findings []finding.Finding) error {
	finding.Sort(findings)
	if len(findings) > 0 {
		e.say.findings(e.say.out, findings, true)
	}
	e.say.print("%s: %d same, %d new, %d edited records, %d replaced, %d moved, %d changed, %d missing", plural(r.Files, "file"),
		r.Same, r.Added, r.Edited, r.Replaced, r.Moved, r.Changed, r.Missing)
	if finding.Count(findings, finding.Error) > 0 {
		return errFaults
	}
	return nil
}

type fixityBagCommand struct {
	Dir    string `arg:"" help:"The new bag's folder; with --verify the bag to check." type:"path"`
	Plate  string `help:"Only this plate, with its batches." placeholder:"ID"`
	From   string `help:"Only plates made from this day on." placeholder:"YYYY-MM-DD"`
	To     string `help:"Only plates made up to this day." placeholder:"YYYY-MM-DD"`
	Verify bool   `help:"Check the bag instead of making one."`
}

func (c *fixityBagCommand) Run(e *environment) error {
	if c.Verify {
		return c.verify(e)
	}
	root, err := e.root()
	if err != nil {
		return err
	}
	portion := archive.Portion{Plate: c.Plate}
	for _, d := range []struct {
		flag, text string
		to         *record.Date
	}{{"--from", c.From, &portion.From}, {"--to", c.To, &portion.To}} {
		if d.text == "" {
			continue
		}
		if *d.to, err = record.ParseDate(d.text); err != nil {
			return usagef("%s: %v", d.flag, err)
		}
	}
	n, err := archive.FixityBag(e.ctx, archive.LookOptions{Root: root, Today: e.day, Report: e.say}, c.Dir, portion)
	if errors.Is(err, archive.ErrNoPlate) {
		return usagef("--plate: %v", err)
	}
	if err != nil {
		return err
	}
	e.say.print("bagged %s (%s) into %s", portion, plural(n, "file"), c.Dir)
	return nil
}

func (c *fixityBagCommand) verify(e *environment) error {
	if info, err := os.Stat(c.Dir); err != nil || !info.IsDir() {
		return usagef("%s is not a folder", c.Dir)
	}
	bag, findings, err := fixity.VerifyBag(e.ctx, c.Dir, nil)
	if err != nil {
		return err
	}
	if len(findings) > 0 {
		e.say.findings(e.say.out, findings, true)
	}
	if finding.Count(findings, finding.Error) > 0 {
		return errFaults
	}
	e.say.print("a valid bag: %s, %d bytes", plural(bag.Files, "file"), bag.Bytes)
	return nil
}
