package main

import (
	"embed"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"sandarac/archive/swap"
)

//go:embed example
var example embed.FS

type initCommand struct {
	Dir string `arg:"" help:"The folder to start the archive in." type:"path"`
}

// Help is shown below the flags.
func (initCommand) Help() string {
	return "Writes studio.md, to be filled in, and an example of each other record in examples/. Nothing that is there already is overwritten."
}

// Run writes the studio record as a record and the others beside it under
// names that are not read as records, so that a new archive is empty.
func (c *initCommand) Run(e *environment) error {
	if err := os.MkdirAll(filepath.Join(c.Dir, "examples"), 0o755); err != nil {
		return withHint(err, "name a folder that you may write to")
	}
	for _, f := range []struct{ from, to string }{
		{"studio.md", "studio.md"}, {"batch.md", "examples/batch.md.example"}, {"client.md", "examples/client.md.example"},
		{"sitter.md", "examples/sitter.md.example"}, {"plate.md", "examples/plate.md.example"}, {"page.md", "examples/page.md.example"},
	} {
		data, err := example.ReadFile("example/" + f.from)
		if err != nil {
			return err
		}
		to := filepath.Join(c.Dir, filepath.FromSlash(f.to))
		switch err := swap.CreateNew(to, data, 0o644); {
		case errors.Is(err, fs.ErrExist):
			e.say.print("kept   %s (it was there already)", to)
		case err != nil:
			return err
		default:
			e.say.print("wrote  %s", to)
		}
	}
	e.say.print("\nNext: fill in studio.md, copy an example to a name ending in .md, and run")
	e.say.print("  sandarac check --archive %s", shellWord(c.Dir))
	return nil
}

// shellWord quotes a path that a shell would take apart.
func shellWord(s string) string {
	if strings.ContainsAny(s, " \t\"'$&;()<>|*?") {
		return strconv.Quote(s)
	}
	return s
}
