package benchbook

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"sandarac/archive/analysis"
	"sandarac/archive/finding"
	"sandarac/archive/gallery"
	"sandarac/archive/picture"
	"sandarac/archive/record"
	"sandarac/templates"
)

// Input is everything the bench book is made of.
type Input struct {
	Archive  *record.Archive
	Today    record.Date
	Findings []finding.Finding
	Analysis *analysis.Report // nil: the pages say that it was not made
	Links    []gallery.Link
	Sets     map[string]picture.Set // by master path
	// PublicPaths are the addresses of the public pages of plates, by plate id:
	// whole, or relative to the studio's url.
	PublicPaths map[string]string
	// Templates holds the folders benchbook and shared; nil for those built in.
	Templates fs.FS
}

// Copy is a picture to be linked or copied into the finished tree.
type Copy struct {
	From string // where it lies now
	To   string // where it goes, relative to the root of the output, with /
}

// Staged is what a stage came to.
type Staged struct {
	Pages  int    // pages of plates
	Copies []Copy // pictures, for after Hugo has run
}

// ConfigFile is the settings file in the stage folder, for Hugo's --config.
const ConfigFile = "hugo.json"

// Stage writes the project of the bench book into dir, which must be empty or
// not exist.
func Stage(ctx context.Context, in Input, dir string) (Staged, error) {
	if err := fresh(dir); err != nil {
		return Staged{}, err
	}
	if in.Templates == nil {
		in.Templates = templates.Files
	}
	s := newStage(in, dir)
	for _, step := range []func(context.Context) error{
		s.writeTemplates, s.writeStyles, s.writePlates, s.writeBatches, s.writeClients, s.writeCheck,
		s.writeLearned, s.writePapers, s.writeConsents, s.writeFront, s.writeIndex, s.writeConfig,
	} {
		if err := ctx.Err(); err != nil {
			return Staged{}, err
		}
		if err := step(ctx); err != nil {
			return Staged{}, fmt.Errorf("staging the bench book: %w", err)
		}
	}
	return s.done, nil
}

func fresh(dir string) error {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return os.MkdirAll(dir, 0o755)
	case err != nil:
		return fmt.Errorf("staging the bench book: %w", err)
	case len(entries) > 0:
		return fmt.Errorf("staging the bench book: %s is not empty; give a fresh folder", dir)
	}
	return nil
}

// write puts a file into the stage folder, with / in its name.
func (s *stage) write(name string, body []byte) error {
	full := filepath.Join(s.dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(full), 0o755); err != nil {
		return err
	}
	return os.WriteFile(full, body, 0o644)
}
