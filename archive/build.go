package archive

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"runtime/debug"
	"slices"
	"time"

	"sandarac/archive/consent"
	"sandarac/archive/finding"
	"sandarac/archive/gallery"
	"sandarac/archive/hugo"
	"sandarac/archive/picture"
	"sandarac/archive/portfolio"
	"sandarac/archive/seal"
	"sandarac/archive/swap"
	"sandarac/templates"
)

// BuildOptions say what to build and where to.
type BuildOptions struct {
	Root   string
	Out    string // the public site, to upload
	Bench  string // the bench book, never uploaded
	Today  Day
	Strict bool // keep the old site when the archive has any error
	Report Reporter
}

// Built is what a build came to.
type Built struct {
	Looked
	Published int // plates in the portfolio
	Galleries int // sealed galleries
	Decoded   int // scans decoded: none when nothing changed
	Kept      bool
	Why       string   // why the old site was kept
	Gone      []string // addresses of plates that were public and no longer are
	Public    swap.Changes
	Took      time.Duration
}

// places of the tool's own in an archive.
func toolDir(root string) string     { return filepath.Join(root, ".sandarac") }
func secretPath(root string) string  { return filepath.Join(toolDir(root), "secret") }
func picturesDir(root string) string { return filepath.Join(toolDir(root), "cache", "pictures") }

// Build runs the whole job. It publishes what is sound: a plate with an error is
// left out whole. The old site stands until the new one is complete and audited,
// and stays for good when the studio record has errors, when the audit finds
// anything, or, with Strict, when the archive has any error.
func Build(ctx context.Context, opt BuildOptions) (*Built, error) {
	start := time.Now()
	if err := ownPlaces(opt.Root); err != nil {
		return nil, err
	}
	b := &build{opt: opt, out: &Built{}}
	lock, err := swap.AcquireWait(ctx, filepath.Join(toolDir(opt.Root), "lock"), "build", func(h swap.Holder) {
		opt.Report.Note("another run is at work on this archive (" + h.String() + "); waiting for it")
	})
	if err != nil {
		return nil, err
	}
	defer lock.Release()
	// Most of what a build allocates is short-lived text: twice the usual room before
	// it is collected saves a twentieth of the time.
	defer debug.SetGCPercent(debug.SetGCPercent(200))
	err = b.once(ctx)
	b.out.Took = time.Since(start)
	return b.out, err
}

// once does the job, unless it is done already.
func (b *build) once(ctx context.Context) error {
	work, now, err := workDir(b.opt.Root)
	if err != nil {
		return err
	}
	b.work = work
	defer dropWork(work)
	if b.inputs, err = b.readInputs(ctx, now); err != nil {
		return err
	}
	if b.unchanged(ctx) {
		b.note("unchanged  nothing was touched since the last build")
		return nil
	}
	if err := b.run(ctx); err != nil {
		return err
	}
	dropWork(work) // now: what it shares with the sites is not to be touched later
	if !b.out.Kept {
		for _, r := range b.renders {
			r.remember(ctx, b.opt.Root)
		}
	}
	b.remember(ctx)
	return nil
}

// build is one run.
type build struct {
	opt    BuildOptions
	out    *Built
	work   string
	inputs inputs

	secret  seal.Secret
	setting string // see settingOf; made with the tools

	site      consent.Site
	galleries []consent.Gallery
	pictures  pictures
	hugo      hugo.Binary
	renders   []*rerender

	publicPaths map[string]string // by plate id
}

// errKept ends a run early with the old site in place.
var errKept = errors.New("the old site is kept")

func (b *build) keep(why string) error {
	b.out.Kept, b.out.Why = true, why
	return errKept
}

func (b *build) run(ctx context.Context) error {
	for _, step := range []func(context.Context) error{b.read, b.findTools, b.makePictures, b.makeSites} {
		err := step(ctx)
		if errors.Is(err, errKept) {
			return nil
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// read reads, checks and, when errors forbid any site, stops.
func (b *build) read(ctx context.Context) error {
	looked, err := Look(ctx, LookOptions{Root: b.opt.Root, Today: b.opt.Today, Report: b.opt.Report})
	if err != nil {
		return err
	}
	b.out.Looked = *looked
	sweep(looked.Archive)
	a := looked.Archive
	b.note("read       plates: %d, batches: %d, clients: %d, sitters: %d", len(a.Plates), len(a.Batches), len(a.Clients), len(a.Sitters))
	if looked.Archive.Studio.Broken {
		return b.keep("the studio record has errors")
	}
	if b.opt.Strict && finding.Count(looked.Findings, finding.Error) > 0 {
		return b.keep("the archive has errors, and --strict was asked for")
	}
	return nil
}

func (b *build) findTools(ctx context.Context) (err error) {
	if b.setting != "" {
		return nil // found when asking whether anything changed
	}
	if b.secret, err = seal.EnsureSecret(secretPath(b.opt.Root)); err != nil {
		return err
	}
	b.hugo, err = hugo.Find(ctx, hugo.Options{Say: b.opt.Report.Note, Lock: func(ctx context.Context, path string) (func(), error) {
		lock, err := swap.AcquireWait(ctx, path, "building Hugo", func(h swap.Holder) {
			b.opt.Report.Note("another run is building Hugo (" + h.String() + "); waiting for it")
		})
		if err != nil {
			return nil, err
		}
		return func() { _ = lock.Release() }, nil
	}})
	if err == nil {
		b.setting = settingOf(b.opt, b.hugo)
	}
	return err
}

// views asks the gate anew; it is called again when a scan turned out to be
// damaged, since its plate is then left out whole.
func (b *build) views() {
	b.site = consent.Publish(b.out.Archive, b.out.Today)
	b.galleries = consent.Galleries(b.out.Archive, b.out.Today)
}

func (b *build) rights() picture.Rights {
	s := b.out.Archive.Studio
	return picture.Rights{Creator: s.Credit, Credit: s.Credit, Copyright: s.Copyright, LicenceURL: s.LicenceURL}
}

// makeSites builds both trees beside the old ones, looks through the public one
// as a stranger would, and only then puts them in place.
func (b *build) makeSites(ctx context.Context) error {
	public, err := swap.Begin(b.opt.Out)
	if err != nil {
		return err
	}
	defer public.Discard()
	bench, err := swap.Begin(b.opt.Bench)
	if err != nil {
		return err
	}
	defer bench.Discard()
	if err := b.makePublic(ctx, public.Dir()); err != nil {
		return fmt.Errorf("making the public site: %w", err)
	}
	if err := b.audit(ctx, public.Dir()); err != nil {
		return err
	}
	if err := b.makeBench(ctx, bench.Dir()); err != nil {
		return fmt.Errorf("making the bench book: %w", err)
	}
	gone := gone(b.opt.Out, public.Dir(), b.site.Studio.URL)
	if b.out.Public, err = public.Commit(ctx); err != nil {
		return fmt.Errorf("putting the public site in place: %w", err)
	}
	b.out.Gone = gone
	if _, err = bench.Commit(ctx); err != nil {
		return fmt.Errorf("putting the bench book in place: %w", err)
	}
	return nil
}

func (b *build) makePublic(ctx context.Context, tree string) error {
	stage := filepath.Join(b.work, portfolioStage)
	key, err := seal.SiteKey(b.secret)
	if err != nil {
		return err
	}
	staged, err := portfolio.Stage(ctx, b.site, b.pictures.portfolio, portfolio.Options{Secret: key}, stage)
	if err != nil {
		return err
	}
	if err := gallery.Stage(ctx, stage, templates.Files); err != nil {
		return err
	}
	if err := b.render(ctx, stage, portfolio.ConfigFile, tree, b.opt.Out); err != nil {
		return err
	}
	for _, c := range staged.Copies {
		if err := place(tree, c.From, c.To); err != nil {
			return err
		}
	}
	b.left(staged.Left)
	b.out.Published, b.publicPaths = staged.Pages, staged.Paths
	b.note("portfolio  %d plates published", staged.Pages)
	return b.sealGalleries(ctx, tree)
}

func (b *build) sealGalleries(ctx context.Context, tree string) error {
	sets := slices.Collect(maps.Values(b.pictures.gallery))
	sealed, err := gallery.Seal(ctx, tree, b.opt.Out, b.galleries, sets, b.secret)
	if err != nil {
		return err
	}
	b.left(sealed.Left)
	b.out.Galleries = sealed.Galleries
	b.note("galleries  %d sealed, in %d files", sealed.Galleries, sealed.Files)
	return nil
}

// left reports plates for which a stage found no picture. The scans' faults are
// findings already, so this is a plate whose picture went missing on the way.
func (b *build) left(ids []string) {
	for _, id := range ids {
		p, ok := b.out.Archive.Plate(id)
		if !ok || p.Broken {
			continue
		}
		b.fault(finding.Finding{Severity: finding.Error, Code: "picture-missing", File: p.File, Plate: id,
			Message: "no picture could be made of the plate, so it is left out", Remedy: "build again; if it stays, delete .sandarac/cache and build"})
	}
}

func (b *build) note(format string, args ...any) { b.opt.Report.Note(fmt.Sprintf(format, args...)) }

func (b *build) fault(f finding.Finding) {
	b.out.Findings = append(b.out.Findings, f)
	finding.Sort(b.out.Findings)
}
