// Sandarac keeps a wet-plate photographer's plates with their recipes, publishes
// those whose sitters agreed, seals a gallery for each client, and says which
// batch, light and exposure gave the best plates.
//
// main.go is the table of commands and the one place that turns what happened
// into an exit code. Each command has a file: flags in, one call, words out.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
	"time"
	_ "time/tzdata" // a studio's zone must be known on machines without a zone database

	"github.com/alecthomas/kong"

	"sandarac/archive/record"
)

// Exit codes.
const (
	exitDone   = 0 // done
	exitFaults = 1 // the archive or the result has errors, or the machine refused
	exitUsage  = 2 // the command line is wrong
)

// commands is the table; the order is the order of a day's work.
type commands struct {
	Archive string `help:"The archive's folder. Default: the one at or above this folder that holds the studio record." placeholder:"DIR" type:"path"`
	Today   string `help:"Act as if today were this day." placeholder:"YYYY-MM-DD" hidden:""`

	Demo      demoCommand      `cmd:"" help:"Write the demo archive, build both sites, and serve them on this machine."`
	Init      initCommand      `cmd:"" help:"Start an empty archive with one commented example of each record."`
	Log       logCommand       `cmd:"" help:"Write records for new scans or a new plate, carrying over the session's settings."`
	Check     checkCommand     `cmd:"" help:"Read everything; say what is wrong or missing, where, and how to mend it."`
	Build     buildCommand     `cmd:"" help:"Build the public site, the sealed galleries and the bench book."`
	Serve     serveCommand     `cmd:"" help:"Serve the built sites on this machine, rebuilding on change."`
	Analyse   analyseCommand   `cmd:"" help:"Say which batch, light and exposure gave the best plates."`
	Expose    exposeCommand    `cmd:"" help:"Say what exposure to set next, with its interval and what it rests on."`
	Mix       mixCommand       `cmd:"" help:"Print a batch's recipe, scaled, with its cautions."`
	Galleries galleriesCommand `cmd:"" help:"List each client's private link, its state and its end."`
	Fixity    fixityCommand    `cmd:"" help:"Keep checksums of all scans and records, and find out when one changes."`
	Publish   publishCommand   `cmd:"" help:"Send the public site to a folder or to object storage: changed files only, pages last."`
	Audit     auditCommand     `cmd:"" help:"Look through a built site for anything that may not be in it."`
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// errFaults says that what was asked for was done and found faults, which have
// been printed: nothing more is to be said.
var errFaults = errors.New("faults were found")

// hint is an error with what to do about it.
type hint struct {
	err    error
	remedy string
}

func (h *hint) Error() string { return h.err.Error() }
func (h *hint) Unwrap() error { return h.err }

func withHint(err error, remedy string) error { return &hint{err, remedy} }

func run(ctx context.Context, args []string, out, errOut io.Writer) int {
	var c commands
	say := newSay(out, errOut)
	exited := -1
	parser, err := kong.New(&c,
		kong.Name("sandarac"),
		kong.Description("Plates with their recipes: kept, published with consent, delivered, learned from."),
		kong.Writers(out, errOut),
		kong.Exit(func(code int) { exited = code }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}),
		kong.UsageOnError(),
	)
	if err != nil {
		say.fail(err)
		return exitUsage
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	parsed, err := parser.Parse(args)
	if exited >= 0 {
		return exited
	}
	if err != nil {
		say.fail(withHint(err, "sandarac --help lists the commands, and sandarac COMMAND --help what each takes"))
		return exitUsage
	}
	env := &environment{ctx: ctx, say: say, archive: c.Archive, today: c.Today}
	switch err := parsed.Run(env); {
	case err == nil:
		return exitDone
	case errors.Is(err, errFaults):
		return exitFaults
	case errors.Is(err, context.Canceled) && ctx.Err() != nil:
		say.fail(errors.New("stopped; what was there before still stands"))
		return exitFaults
	default:
		var usage *usageError
		say.fail(err)
		if errors.As(err, &usage) {
			return exitUsage
		}
		return exitFaults
	}
}

// usageError is a command line that parsed and still cannot be meant.
type usageError struct{ message string }

func (e *usageError) Error() string { return e.message }

func usagef(format string, args ...any) error { return &usageError{fmt.Sprintf(format, args...)} }

// environment is what every command gets.
type environment struct {
	ctx     context.Context
	say     *say
	archive string
	today   string
}

// root finds the archive.
func (e *environment) root() (string, error) {
	dir := e.archive
	if dir == "" {
		dir = "."
	} else if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return "", usagef("--archive %s is not a folder", dir)
	}
	if e.archive != "" {
		return dir, nil
	}
	return record.Root(dir)
}

// day is the day to act on, in the studio's zone.
func (e *environment) day(zone *time.Location) (record.Date, error) {
	if e.today == "" {
		return record.DateOf(time.Now().In(zone)), nil
	}
	d, err := record.ParseDate(e.today)
	if err != nil {
		return record.Date{}, usagef("--today: %v", err)
	}
	return d, nil
}
