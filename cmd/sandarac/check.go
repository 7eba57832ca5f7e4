package main

import (
	"path/filepath"

	"sandarac/archive"
	"sandarac/archive/finding"
)

type checkCommand struct {
	JSON    bool `help:"Print the findings as JSON."`
	Deep    bool `help:"Decode every scan, not its header alone."`
	Remarks bool `help:"List remarks too."`
}

// Help is shown below the flags.
func (checkCommand) Help() string { return "Exit code 0: no errors; 1: errors; 2: wrong command line." }

func (c *checkCommand) Run(e *environment) error {
	root, err := e.root()
	if err != nil {
		return err
	}
	looked, err := archive.Look(e.ctx, archive.LookOptions{Root: root, Today: e.day, Deep: c.Deep, Report: e.say})
	if err != nil {
		return err
	}
	online, err := archive.StillPublic(e.ctx, looked, filepath.Join(root, "public"))
	if err != nil {
		return err
	}
	open, err := archive.StillOpen(e.ctx, looked, root, filepath.Join(root, "public"))
	if err != nil {
		return err
	}
	looked.Findings = append(append(looked.Findings, online...), open...)
	finding.Sort(looked.Findings)
	if c.JSON {
		if err := e.say.json(checkJSON(looked)); err != nil {
			return err
		}
	} else {
		e.say.findings(e.say.out, looked.Findings, c.Remarks)
	}
	if finding.Count(looked.Findings, finding.Error) > 0 {
		return errFaults
	}
	return nil
}

type findingJSON struct {
	Severity finding.Severity `json:"severity"`
	Code     string           `json:"code"`
	File     string           `json:"file"`
	Line     int              `json:"line"`
	Message  string           `json:"message"`
	Remedy   string           `json:"remedy"`
	Plate    *string          `json:"plate"`
}

type checkedJSON struct {
	Plates   int           `json:"plates"`
	Findings []findingJSON `json:"findings"`
}

func checkJSON(l *archive.Looked) checkedJSON {
	out := checkedJSON{Plates: len(l.Archive.Plates), Findings: []findingJSON{}}
	for _, f := range l.Findings {
		j := findingJSON{Severity: f.Severity, Code: f.Code, File: f.File, Line: f.Line, Message: f.Message, Remedy: f.Remedy}
		if f.Plate != "" {
			j.Plate = &f.Plate
		}
		out.Findings = append(out.Findings, j)
	}
	return out
}
