// Package publish puts a built site on a host: object storage that speaks S3 or
// Azure's protocol, or a folder. Only what changed is sent; pages come after
// everything they show, removals last, so that a visitor sees the old page or the
// new one, complete, at every moment, also when it stops half-way. Running it
// again goes on where it stopped.
//
// In go the folder of the site and an address; out comes what was done, or with a
// dry run what would be. It takes no folder that is not a built site, and no place
// that holds anything else. It imports none of ours, and is the only package that
// imports gocloud.dev.
package publish

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"golang.org/x/sync/errgroup"
)

// Mark is the file by which a built site is known, here and at its place.
const Mark = ".sandarac-tree"

// Options of [Publish]. The zero value is fine.
type Options struct {
	// DryRun changes nothing and tells what would be done.
	DryRun bool
	// Adopt takes over a place that holds other things; they are removed.
	Adopt bool
	// Parallel is how many files are sent at a time; 0 for 8.
	Parallel int
	// Tries is how often a file is tried before it is given up; 0 for 6.
	Tries int
	// Progress is told how many bytes of how many are sent, one call at a time.
	Progress func(done, total int64)
}

// Report is what was done, or in a dry run what would be.
type Report struct {
	Sent    []string // in the order in which they became visible, by step
	Removed []string
	Same    int
	Bytes   int64 // sent
}

// Errors for errors.Is.
var (
	// ErrNotASite: the folder was not made by build.
	ErrNotASite = errors.New("this is not a built site")
	// ErrForeign: the place holds things that did not come from here.
	ErrForeign = errors.New("the place holds other things")
)

// Publish brings the place at address up to what the folder dir holds.
func Publish(ctx context.Context, dir, address string, opt Options) (Report, error) {
	if opt.Parallel <= 0 {
		opt.Parallel = 8
	}
	if opt.Tries <= 0 {
		opt.Tries = 6
	}
	if _, err := os.Stat(filepath.Join(dir, Mark)); err != nil {
		return Report{}, fmt.Errorf("%s: %w (it has no %s); build first, and name the folder it was built to", dir, ErrNotASite, Mark)
	}
	local, err := readSite(ctx, dir, opt.Parallel)
	if err != nil {
		return Report{}, err
	}
	p, err := open(ctx, address)
	if err != nil {
		return Report{}, err
	}
	defer p.close()
	r := &run{place: p, opt: opt, dir: dir, local: local}
	if err := r.plan(ctx); err != nil {
		return Report{}, fmt.Errorf("reading %s: %w", p, err)
	}
	if opt.DryRun {
		return r.report, nil
	}
	if err := r.carryOut(ctx); err != nil {
		return r.report, fmt.Errorf("publishing to %s: %w; what visitors see is still whole, and publishing again goes on from here", p, err)
	}
	return r.report, nil
}

// run is one publication.
type run struct {
	place  *place
	opt    Options
	dir    string
	local  map[string]*file
	report Report
	steps  [][]*file // to send, one step after the other
	remove [][]string
	first  bool // the place has no mark yet

	mu   sync.Mutex
	sent int64
}

// plan compares the site with the place.
func (r *run) plan(ctx context.Context) error {
	var remote map[string]object
	if err := r.again(ctx, "listing what is there", listWait(), func(ctx context.Context) (err error) {
		remote, err = r.place.list(ctx)
		return err
	}); err != nil {
		return err
	}
	_, ours := remote[Mark]
	r.first = !ours
	if !ours && len(remote) > 0 && !r.opt.Adopt {
		return fmt.Errorf("%w: %d of them, for instance %s; name an empty place or a prefix in it, or say that it may be taken over", ErrForeign, len(remote), anyOf(remote))
	}
	var toSend []*file
	changed := map[string]bool{}
	for _, f := range r.local {
		object, there := remote[f.name]
		var same bool
		if err := r.again(ctx, "looking at "+f.name, sendWait(f.size), func(ctx context.Context) (err error) {
			same, err = r.place.same(ctx, f, object, there)
			return err
		}); err != nil {
			return err
		}
		if same {
			r.report.Same++
			continue
		}
		if f.name == Mark && r.first {
			r.report.Sent = append(r.report.Sent, f.name)
			r.report.Bytes += f.size
			continue // carryOut sends it before all else
		}
		changed[f.name] = there
		toSend = append(toSend, f)
	}
	r.steps = steps(toSend, changed)
	for _, step := range r.steps {
		for _, f := range step {
			r.report.Sent = append(r.report.Sent, f.name)
			r.report.Bytes += f.size
		}
	}
	r.remove = removals(remote, r.local)
	for _, step := range r.remove {
		r.report.Removed = append(r.report.Removed, step...)
	}
	return nil
}

func anyOf(remote map[string]object) string {
	names := make([]string, 0, len(remote))
	for name := range remote {
		names = append(names, name)
	}
	return slices.Min(names)
}

// carryOut sends and removes, a step at a time. The mark comes first, so that a
// first publication that stops can go on.
func (r *run) carryOut(ctx context.Context) error {
	total := r.report.Bytes
	if r.first {
		if err := r.send(ctx, r.local[Mark], total); err != nil {
			return err
		}
	}
	for _, step := range r.steps {
		if err := r.each(ctx, len(step), func(ctx context.Context, i int) error { return r.send(ctx, step[i], total) }); err != nil {
			return err
		}
	}
	for _, step := range r.remove {
		if err := r.each(ctx, len(step), func(ctx context.Context, i int) error {
			return r.again(ctx, "removing "+step[i], leastWait, func(ctx context.Context) error { return r.place.remove(ctx, step[i]) })
		}); err != nil {
			return err
		}
	}
	return nil
}

func (r *run) send(ctx context.Context, f *file, total int64) error {
	err := r.again(ctx, "sending "+f.name, sendWait(f.size), func(ctx context.Context) error { return r.place.write(ctx, r.dir, f) })
	if err == nil && r.opt.Progress != nil {
		r.mu.Lock()
		defer r.mu.Unlock()
		r.sent += f.size
		r.opt.Progress(r.sent, total)
	}
	return err
}

// each does n things, several at a time, and all of them before it returns.
func (r *run) each(ctx context.Context, n int, do func(ctx context.Context, i int) error) error {
	group, inner := errgroup.WithContext(ctx)
	group.SetLimit(r.opt.Parallel)
	for i := range n {
		if inner.Err() != nil {
			break
		}
		group.Go(func() error { return do(inner, i) })
	}
	if err := group.Wait(); err != nil {
		return err
	}
	return ctx.Err()
}
