package fixity

import (
	"context"
	"crypto/sha256"
	"crypto/sha512"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"golang.org/x/sync/errgroup"
	"golang.org/x/text/unicode/norm"

	"sandarac/archive/swap"
)

// ExportOptions of [Manifest.Export].
type ExportOptions struct {
	// Info is for bag-info.txt, in order (Source-Organization, Contact-Email,
	// External-Description and so on). Bagging-Date and Payload-Oxum are added.
	Info     []Label
	Today    time.Time
	Progress Progress
}

// Export copies files of the archive into a new bag at place, which must not
// exist: BagIt 1.0 with SHA-512 of the payload and of the tag files. It appears
// complete or not at all. A file whose bytes are not those that are recorded stops
// it: a bag must not hand on damage as if it were right.
//
// It refuses names with line breaks, and names that another system could take for
// one and the same.
func (m *Manifest) Export(ctx context.Context, archive string, files []File, place string, opt ExportOptions) error {
	files = sortFiles(files)
	if err := portable(files); err != nil {
		return err
	}
	root, err := os.OpenRoot(archive)
	if err != nil {
		return err
	}
	defer root.Close()
	tree, err := swap.BeginNew(place)
	if err != nil {
		return err
	}
	// After a commit there is nothing left to discard.
	defer tree.Discard()
	if err := m.fill(ctx, root, tree.Dir(), files, opt); err != nil {
		return err
	}
	_, err = tree.Commit(ctx)
	return err
}

// portable refuses lists of names that cannot be handed on.
func portable(files []File) error {
	if len(files) == 0 {
		return errors.New("there is nothing to put into the bag")
	}
	folded := map[string]string{}
	for _, f := range files {
		if !filepath.IsLocal(filepath.FromSlash(f.Path)) || path.Clean(f.Path) != f.Path {
			return fmt.Errorf("%q is not a path inside the archive", f.Path)
		}
		if strings.ContainsAny(f.Path, "\r\n") || !utf8.ValidString(f.Path) {
			return fmt.Errorf("the name %q cannot go into a bag; rename the file: no line breaks, and UTF-8", f.Path)
		}
		key := strings.ToLower(norm.NFC.String(f.Path))
		if other, taken := folded[key]; taken {
			return fmt.Errorf("%q and %q are the same name on other systems; rename one", other, f.Path)
		}
		folded[key] = f.Path
	}
	return nil
}

// fill writes the bag into dir.
func (m *Manifest) fill(ctx context.Context, root *os.Root, dir string, files []File, opt ExportOptions) error {
	states := look(root, files)
	total := int64(0)
	for _, s := range states {
		if s.missing {
			return fmt.Errorf("%s: the file is not there", s.Path)
		}
		if s.problem != "" {
			return fmt.Errorf("%s: %s", s.Path, s.problem)
		}
		total += s.size
	}
	sums, err := m.copyAll(ctx, root, dir, states, total, opt.Progress)
	if err != nil {
		return err
	}
	today := opt.Today
	if today.IsZero() {
		today = time.Now()
	}
	info, err := writeInfo(append(slices.Clone(opt.Info), Label{"Bagging-Date", today.Format("2006-01-02")}, Label{"Payload-Oxum", fmt.Sprintf("%d.%d", total, len(states))}))
	if err != nil {
		return err
	}
	var manifest, tags strings.Builder
	for i, s := range states {
		manifest.WriteString(manifestLine(sums[i], "data/"+s.Path))
	}
	for _, tag := range []struct{ name, text string }{{"bag-info.txt", info}, {"bagit.txt", declaration}, {"manifest-sha512.txt", manifest.String()}} {
		if err := os.WriteFile(filepath.Join(dir, tag.name), []byte(tag.text), 0o644); err != nil {
			return err
		}
		sum := sha512.Sum512([]byte(tag.text))
		tags.WriteString(manifestLine(sum[:], tag.name))
	}
	return os.WriteFile(filepath.Join(dir, "tagmanifest-sha512.txt"), []byte(tags.String()), 0o644)
}

// copyAll copies the payload, several files at a time, and gives the SHA-512 of
// each.
func (m *Manifest) copyAll(ctx context.Context, root *os.Root, dir string, states []*state, total int64, progress Progress) ([][]byte, error) {
	tell := progress.counter(total)
	sums := make([][]byte, len(states))
	group, inner := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i, s := range states {
		if inner.Err() != nil {
			break
		}
		group.Go(func() error {
			sum, err := m.copyOne(inner, root, dir, s, tell)
			if err != nil {
				return fmt.Errorf("%s: %w", s.Path, err)
			}
			sums[i] = sum
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	return sums, ctx.Err()
}

func (m *Manifest) copyOne(ctx context.Context, root *os.Root, dir string, s *state, tell func(int64)) ([]byte, error) {
	to := filepath.Join(dir, "data", filepath.FromSlash(s.Path))
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return nil, err
	}
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return nil, err
	}
	recorded, handed := sha256.New(), sha512.New()
	size, err := readInto(ctx, root, s.Path, io.MultiWriter(out, recorded, handed), tell)
	if err = errors.Join(err, out.Close()); err != nil {
		return nil, err
	}
	if size != s.size {
		return nil, errors.New("it changed while it was copied")
	}
	if e, known := m.entries[s.Path]; known && Sum(recorded.Sum(nil)) != e.Sum && s.Kind == Master {
		return nil, errors.New("it is not what was recorded; verify, and put it back from a backup before it is handed on")
	}
	return handed.Sum(nil), os.Chtimes(to, s.modTime, s.modTime)
}
