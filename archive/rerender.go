package archive

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"

	"sandarac/archive/hugo"
	"sandarac/archive/stamp"
	"sandarac/archive/swap"
)

// Most pages of a site are those of single plates, and a change in one record
// leaves nearly all of them as they are. Hugo reads everything, so that lists are
// whole, and renders the pages that could differ; the others are taken over from
// the site that stands. A page may be taken over if
//
//   - it is of a kind that is made of its own content file, of the pages that this
//     file names by their path, and of the frame, and of nothing else: see
//     selfContained, and TestRerender, which holds the result against a whole build;
//   - the frame is the same: templates, words, styles, the site's settings with all
//     they count, this program and Hugo;
//   - its content file is the same, and it names no page that is new, changed or gone;
//   - its file in the standing site, and what pages load there, are as the last
//     build left them.
//
// The finished tree is counted, audited and swapped like any other.

// selfContained are, by stage, the folders of content with such pages.
var selfContained = map[string][]string{portfolioStage: {"plates"}, benchStage: {"plates", "papers"}}

const (
	portfolioStage = "portfolio"
	benchStage     = "bench-book"
)

// resourceFolders are where Hugo puts what pages load. It does so while it renders
// the first page that asks, which may be one that is taken over.
var resourceFolders = []string{"css", "js", "assets"}

// mostChanged is how many pages may differ before everything is rendered anew.
const mostChanged = 64

// rendered is what the last build knew of one site.
type rendered struct {
	Layout int
	Frame  string
	Loaded string                  // stamp of the resource folders of the site
	Pages  map[string]renderedPage // by content file, relative to the content folder
}

type renderedPage struct {
	Content string // sum of the content file
	Output  string // stamp of the page in the site
}

const renderedLayout = 2

func renderedPath(root, stage string) string {
	return filepath.Join(toolDir(root), "cache", "rendered-"+stage)
}

// rerender is one site's rendering.
type rerender struct {
	stage string // its folder; the last part is its name
	place string // where the site stands
	frame string
	pages map[string]string // content sums of the self-contained pages
	other map[string]bool   // folders of other pages
	kept  []string          // content files whose pages are taken over
	only  []string          // for Hugo; nil renders all
}

// newRerender looks at what is staged and decides what Hugo is to render.
func (b *build) newRerender(ctx context.Context, stage, place string) (*rerender, error) {
	r := &rerender{stage: stage, place: place, pages: map[string]string{}, other: map[string]bool{}}
	if real, err := filepath.EvalSymlinks(place); err == nil {
		r.place = real
	}
	if err := r.look(ctx, b.setting); err != nil {
		return nil, err
	}
	var last rendered
	text, err := os.ReadFile(renderedPath(b.opt.Root, filepath.Base(stage)))
	if err != nil || b.setting == "" || json.Unmarshal(text, &last) != nil || last.Layout != renderedLayout || last.Frame != r.frame {
		return r, nil
	}
	if loaded := r.loaded(ctx); loaded == "" || loaded != last.Loaded {
		return r, nil
	}
	return r, r.choose(last)
}

// look sums up the stage: each self-contained page, and the frame, which is all
// the rest but the files that are copied as they are.
func (r *rerender) look(ctx context.Context, setting string) error {
	frame := sha256.New()
	fmt.Fprintln(frame, setting)
	err := filepath.WalkDir(r.stage, func(file string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		rel, err := filepath.Rel(r.stage, file)
		if err != nil {
			return err
		}
		if rel = filepath.ToSlash(rel); d.IsDir() {
			if rel == "static" {
				return fs.SkipDir
			}
			return nil
		}
		name, content := strings.CutPrefix(rel, "content/")
		alone := content && r.alone(name)
		if content && !alone && path.Base(name) != "_index.md" {
			r.other[path.Dir(name)] = true
		}
		if content && !alone && filepath.Base(r.stage) == benchStage {
			return nil // no page of the bench book looks at another's content
		}
		body, err := os.ReadFile(file)
		if err != nil {
			return err
		}
		sum := sha256.Sum256(body)
		if alone {
			r.pages[name] = hex.EncodeToString(sum[:16])
		} else {
			fmt.Fprintf(frame, "%q %x\n", rel, sum)
		}
		return nil
	})
	r.frame = hex.EncodeToString(frame.Sum(nil))
	return err
}

// alone tells whether a content file is that of a self-contained page.
func (r *rerender) alone(name string) bool {
	return path.Base(name) != "_index.md" && slices.Contains(selfContained[filepath.Base(r.stage)], path.Dir(name))
}

// choose splits the pages into those to render and those to take over.
func (r *rerender) choose(last rendered) error {
	var changed []string
	for name, sum := range r.pages {
		if was, ok := last.Pages[name]; !ok || was.Content != sum {
			changed = append(changed, name)
		}
	}
	for name := range last.Pages {
		if _, ok := r.pages[name]; !ok {
			changed = append(changed, name)
		}
	}
	if len(changed) > mostChanged {
		return nil
	}
	var again []string
	for _, name := range slices.Sorted(maps.Keys(r.pages)) {
		fresh := slices.Contains(changed, name) || last.Pages[name].Output != r.standing(name)
		if !fresh {
			names, err := r.namesAny(name, changed)
			if err != nil {
				return err
			}
			fresh = names
		}
		if fresh {
			again = append(again, "/"+strings.TrimSuffix(name, ".md"))
		} else {
			r.kept = append(r.kept, name)
		}
	}
	if len(again) > 4*mostChanged {
		r.kept = nil
		return nil
	}
	r.only = append([]string{}, again...) // not nil: nil is all
	for _, folder := range slices.Sorted(maps.Keys(r.other)) {
		r.only = append(r.only, path.Join("/", folder, "*"))
	}
	return nil
}

// namesAny tells whether a content file names one of the pages.
func (r *rerender) namesAny(name string, pages []string) (bool, error) {
	if len(pages) == 0 {
		return false, nil
	}
	body, err := os.ReadFile(filepath.Join(r.stage, "content", filepath.FromSlash(name)))
	if err != nil {
		return false, err
	}
	return slices.ContainsFunc(pages, func(p string) bool { return bytes.Contains(body, []byte(strings.TrimSuffix(p, ".md"))) }), nil
}

// page is the file of a content file's page, relative to the site.
func page(name string) string { return path.Join(strings.TrimSuffix(name, ".md"), "index.html") }

// standing is the stamp of a page in the site that stands, or "".
func (r *rerender) standing(name string) string {
	sum, err := stamp.File(filepath.Join(r.place, filepath.FromSlash(page(name))))
	if err != nil {
		return ""
	}
	return hex.EncodeToString(sum[:16])
}

// loaded is the stamp of what pages load in the site that stands, or "".
func (r *rerender) loaded(ctx context.Context) string {
	sum := sha256.New()
	for _, folder := range resourceFolders {
		tree, err := stamp.Read(ctx, filepath.Join(r.place, folder), nil)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return ""
		}
		is, err := tree.Sum(ctx, nil)
		if err != nil {
			return ""
		}
		fmt.Fprintf(sum, "%s %x\n", folder, is)
	}
	return hex.EncodeToString(sum.Sum(nil)[:16])
}

// run renders, and puts the whole site's pages into a tree.
func (r *rerender) run(ctx context.Context, b *build, config, tree string) error {
	out := r.stage + "-rendered"
	site := hugo.Site{Source: r.stage, Config: filepath.Join(r.stage, config), Destination: out, Cache: filepath.Join(b.work, "hugo-cache"), Only: r.only}
	debug.FreeOSMemory() // Hugo holds a lot itself
	if err := hugo.Run(ctx, b.hugo, site); err != nil {
		return explainHugo(tree, err)
	}
	if err := carry(out, tree); err != nil {
		return err
	}
	if r.only != nil {
		b.note("rendered   the lists and %d of %d pages; the others are as they were", len(r.pages)-len(r.kept), len(r.pages))
		if err := r.takeOver(tree); err != nil {
			return err
		}
	}
	return r.complete(tree)
}

func (r *rerender) takeOver(tree string) error {
	for _, name := range r.kept {
		if err := place(tree, filepath.Join(r.place, filepath.FromSlash(page(name))), page(name)); err != nil {
			return err
		}
	}
	return r.resources(tree)
}

// complete makes sure that every page is there: Hugo drops one without a word when
// two share an address.
func (r *rerender) complete(tree string) error {
	var pages []string
	for _, name := range slices.Sorted(maps.Keys(r.pages)) {
		pages = append(pages, page(name))
	}
	missing, err := hugo.Missing(tree, pages)
	if err == nil && len(missing) > 0 {
		err = fmt.Errorf("Hugo made no page %s, and %d in all", missing[0], len(missing))
	}
	return err
}

// resources takes over what pages load and Hugo had no cause to write.
func (r *rerender) resources(tree string) error {
	for _, folder := range resourceFolders {
		err := filepath.WalkDir(filepath.Join(r.place, folder), func(file string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			rel, err := filepath.Rel(r.place, file)
			if err != nil {
				return err
			}
			if _, err := os.Lstat(filepath.Join(tree, rel)); err == nil {
				return nil
			}
			return place(tree, file, filepath.ToSlash(rel))
		})
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

// remember notes, now that the site stands, what the next rendering may take over.
// What fails here costs the next build time and nothing else.
func (r *rerender) remember(ctx context.Context, root string) {
	now := rendered{Layout: renderedLayout, Frame: r.frame, Loaded: r.loaded(ctx), Pages: make(map[string]renderedPage, len(r.pages))}
	for name, sum := range r.pages {
		now.Pages[name] = renderedPage{sum, r.standing(name)}
	}
	if text, err := json.Marshal(now); err == nil {
		_ = swap.WriteFile(renderedPath(root, filepath.Base(r.stage)), append(text, '\n'), 0o600)
	}
}
