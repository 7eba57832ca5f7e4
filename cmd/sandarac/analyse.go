package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"sandarac/archive"
	"sandarac/archive/analysis"
)

type analyseCommand struct {
	JSON bool `help:"Print the whole analysis as JSON."`
}

// Help is shown below the flags.
func (analyseCommand) Help() string {
	return "Records observe: batch, weather, sitter and skill travel together. A side-by-side pair of plates settles more than ten comparisons."
}

func (c *analyseCommand) Run(e *environment) error {
	root, err := e.root()
	if err != nil {
		return err
	}
	report, err := archive.Analyse(e.ctx, archive.LookOptions{Root: root, Today: e.day, Report: e.say})
	if err != nil {
		return err
	}
	if c.JSON {
		return e.say.json(report)
	}
	return report.Text(e.say.out, e.say.width)
}

// fNumber is a stop as people write it: 4, f4, f/4.
type fNumber float64

// UnmarshalText reads it.
func (f *fNumber) UnmarshalText(text []byte) error {
	n, err := strconv.ParseFloat(strings.TrimPrefix(strings.TrimPrefix(strings.ToLower(string(text)), "f"), "/"), 64)
	if err != nil {
		return fmt.Errorf("%q is no f-number; accepted: a number such as 5.6, or f/5.6", text)
	}
	*f = fNumber(n)
	return nil
}

type exposeCommand struct {
	Collodion     string   `help:"Id of the collodion batch. Default: any batch." placeholder:"BATCH"`
	Light         string   `help:"The light, in the words of your records." placeholder:"KIND"`
	EV            *float64 `help:"Incident exposure value at ISO 100." placeholder:"EV"`
	Lux           *float64 `help:"Illuminance, in place of --ev." placeholder:"LUX"`
	Stop          fNumber  `help:"The f-number that will be set." required:"" placeholder:"N"`
	Magnification *float64 `help:"Image size over object size; 0 for far away." placeholder:"M"`
	Extension     *float64 `help:"Lens to plate in millimetres, in place of --magnification; needs --lens." placeholder:"MM"`
	Lens          string   `help:"Id of a lens of the studio record." placeholder:"LENS"`
	JSON          bool     `help:"Print the advice as JSON."`
}

// Help is shown below the flags.
func (exposeCommand) Help() string {
	return "Exit code 1 when the archive has nothing to go by."
}

func (c *exposeCommand) Run(e *environment) error {
	root, err := e.root()
	if err != nil {
		return err
	}
	advice, err := archive.Expose(e.ctx, archive.LookOptions{Root: root, Today: e.day, Report: e.say}, analysis.Ask{
		Collodion: c.Collodion, Light: c.Light, EV100: c.EV, Lux: c.Lux, Stop: float64(c.Stop),
		Magnification: c.Magnification, ExtensionMM: c.Extension, Lens: c.Lens,
	})
	if errors.Is(err, analysis.ErrAsk) {
		return usagef("%v", err)
	}
	if err != nil {
		return err
	}
	if c.JSON {
		return e.say.json(advice)
	}
	return advice.Text(e.say.out, e.say.width)
}
