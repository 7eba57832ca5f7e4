package portfolio

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	"sandarac/archive/consent"
	"sandarac/archive/picture"
	"sandarac/templates"
)

// Options say how the site is made.
type Options struct {
	// Secret names pictures and pages: the archive's own, at least 16 bytes.
	// With the same secret, addresses last.
	Secret []byte
	// Language is a BCP 47 tag; empty for the studio's. A language without a
	// file of words falls back to English.
	Language string
	// Templates holds the folders portfolio and shared; nil for those built in.
	Templates fs.FS
}

// Copy is a picture to be linked or copied into the finished tree.
type Copy struct {
	From string // where it lies now
	To   string // where it goes, relative to the root of the output, with /
}

// Staged is what a stage came to.
type Staged struct {
	Pages  int    // pages of plates, each to be found as To/…/index.html afterwards
	Copies []Copy // pictures, for after Hugo has run
	Left   []string
	// Paths are the folders of the plates' pages, by plate id, relative to the
	// root of the output and ending in a slash.
	Paths map[string]string
}

// ConfigFile is the settings file in the stage folder, for Hugo's --config.
const ConfigFile = "hugo.json"

// Stage writes the project of the public site into dir, which must be empty or
// not exist. sets holds the pictures by master, as picture.Maker gives them; a plate without
// any is left out of everything and named in Staged.Left.
func Stage(ctx context.Context, site consent.Site, sets map[string]picture.Set, opt Options, dir string) (Staged, error) {
	if err := fresh(dir); err != nil {
		return Staged{}, err
	}
	s, err := newStage(site, sets, opt, dir)
	if err != nil {
		return Staged{}, err
	}
	for _, step := range []func(context.Context) error{
		s.writeTemplates, s.writeStyles, s.writePlates, s.writeLists, s.writePages, s.writeIndex, s.writeIIIF, s.writeHostFiles, s.writeConfig,
	} {
		if err := ctx.Err(); err != nil {
			return Staged{}, err
		}
		if err := step(ctx); err != nil {
			return Staged{}, fmt.Errorf("staging the public site: %w", err)
		}
	}
	return s.done, nil
}

// stage is one run of Stage.
type stage struct {
	site     consent.Site
	plates   []plate
	lists    *lists
	related  [][]int
	front    front
	words    words
	language string
	base     *url.URL // of the studio, its path ending in /
	opt      Options
	dir      string
	done     Staged
}

func newStage(site consent.Site, sets map[string]picture.Set, opt Options, dir string) (*stage, error) {
	if len(opt.Secret) < 16 {
		return nil, errors.New("staging the public site: the secret that names its files has fewer than 16 bytes")
	}
	if opt.Templates == nil {
		opt.Templates = templates.Files
	}
	base, err := baseURL(site.Studio.URL)
	if err != nil {
		return nil, err
	}
	s := &stage{site: site, base: base, opt: opt, dir: dir, done: Staged{Paths: map[string]string{}}}
	s.language = languageFor(opt.Templates, cmp.Or(opt.Language, site.Studio.Language))
	if s.words, err = readWords(opt.Templates, s.language); err != nil {
		return nil, err
	}
	for _, p := range site.Plates {
		set, ok := sets[p.Master]
		if files, _ := publicFiles(set); !ok || len(files) == 0 {
			s.done.Left = append(s.done.Left, p.ID)
			continue
		}
		s.plates = append(s.plates, newPlate(p, set, opt.Secret, s.words))
	}
	if err := s.distinct(); err != nil {
		return nil, err
	}
	s.lists = newLists(s.plates, opt.Secret, s.words)
	s.related, s.front = related(s.plates), newFront(s.plates)
	return s, nil
}

// distinct makes sure that no two plates share an address: Hugo would make one
// page of them without a word.
func (s *stage) distinct() error {
	owner := map[string]string{}
	for _, p := range s.plates {
		if other, taken := owner[p.page]; taken {
			return fmt.Errorf("staging the public site: plates %q and %q would share the address %s; ids must be unique", other, p.ID, p.page)
		}
		owner[p.page] = p.ID
		s.done.Paths[p.ID] = p.page
	}
	return nil
}

func baseURL(address string) (*url.URL, error) {
	u, err := url.Parse(address)
	if err != nil || u.Host == "" || (u.Scheme != "https" && u.Scheme != "http") {
		return nil, fmt.Errorf("staging the public site: the studio's url is %q; accepted is an absolute address such as https://example.org/plates/", address)
	}
	u.Path = strings.TrimSuffix(u.Path, "/") + "/"
	u.RawPath, u.RawQuery, u.Fragment, u.User = "", "", "", nil
	return u, nil
}

// absolute is the public address of a path of the site.
func (s *stage) absolute(path string) string { return s.base.JoinPath(path).String() }

func fresh(dir string) error {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return os.MkdirAll(dir, 0o755)
	case err != nil:
		return fmt.Errorf("staging the public site: %w", err)
	case len(entries) > 0:
		return fmt.Errorf("staging the public site: %s is not empty; give a fresh folder", dir)
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
