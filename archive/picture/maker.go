package picture

import (
	"context"
	"errors"
	"fmt"
	"os"
	"runtime"
	"sync"
	"sync/atomic"
	"time"

	"golang.org/x/sync/errgroup"
	"golang.org/x/sync/semaphore"

	"sandarac/archive/scan"
	"sandarac/archive/scan/limit"
)

// Options of a Maker; the zero value is the default.
type Options struct {
	// Memory is how much all decodes together may hold, in bytes; 0 is 384
	// MiB. A master that needs more is worked on alone.
	Memory int64
	// Workers is how many masters are worked on at once; 0 is one per core.
	Workers int
	// Limits of a master; zero fields take limit.Default.
	Limits limit.Limits
	// Time is the longest one master may take; 0 is ten minutes.
	Time time.Duration
}

const (
	defaultMemory = 384 << 20
	defaultTime   = 10 * time.Minute
	// saveEvery is how often the index is kept during a long run, so that a
	// killed run loses little.
	saveEvery = 15 * time.Second
)

// Maker makes derivatives into one cache folder. Its methods may be called one
// after the other, not at the same time; two Makers must not share a folder.
type Maker struct {
	opt     Options
	store   *store
	memory  *semaphore.Weighted
	decoded atomic.Int64

	mu    sync.Mutex // guards index and byID
	index index
	byID  map[[32]byte]*known
	dirty bool
	saved time.Time
}

// New opens or creates the cache folder.
func New(cacheDir string, opt Options) (*Maker, error) {
	if opt.Memory <= 0 {
		opt.Memory = defaultMemory
	}
	if opt.Workers <= 0 {
		opt.Workers = runtime.GOMAXPROCS(0)
	}
	if opt.Time <= 0 {
		opt.Time = defaultTime
	}
	s, x, err := openStore(cacheDir)
	if err != nil {
		return nil, fmt.Errorf("opening the picture cache: %w", err)
	}
	m := &Maker{opt: opt, store: s, memory: semaphore.NewWeighted(opt.Memory), index: x, byID: map[[32]byte]*known{}, saved: time.Now()}
	for _, k := range x {
		m.byID[k.id] = k
	}
	return m, nil
}

// Decoded is the number of masters decoded by this Maker.
func (m *Maker) Decoded() int { return int(m.decoded.Load()) }

// Make makes what is missing and returns all that was asked for, by master.
// A master that cannot be used is in faults (a *scan.Fault) and not in sets;
// the others are made all the same. err is the machine's: the context ended,
// the disk is full. progress, if not nil, is called once per master, never
// twice at once.
//
// A master whose size and time of change are as the index remembers is not
// opened; one that only moved is read to be known again (see
// scan.Master.Identity) but not decoded.
func (m *Maker) Make(ctx context.Context, jobs []Job, progress func(done, total int)) (sets map[string]Set, faults map[string]error, err error) {
	merged, order := merge(jobs)
	sets, faults = make(map[string]Set, len(order)), map[string]error{}
	var mu sync.Mutex
	done := 0
	finish := func(path string, set Set, err error) {
		mu.Lock()
		defer mu.Unlock()
		if err != nil {
			faults[path] = err
		} else {
			sets[path] = set
		}
		if done++; progress != nil {
			progress(done, len(order))
		}
	}
	var left []string
	for i, set := range m.cachedAll(order, merged) {
		if set.Master != "" {
			finish(order[i], set, nil)
		} else {
			left = append(left, order[i])
		}
	}
	group, running := errgroup.WithContext(ctx)
	group.SetLimit(m.opt.Workers)
	for _, path := range left {
		if running.Err() != nil {
			break
		}
		group.Go(func() error {
			set, err := m.one(running, path, merged[path])
			var fault *scan.Fault
			if err != nil && (!errors.As(err, &fault) || running.Err() != nil) {
				return err
			}
			finish(path, set, err)
			return m.keepNow(false)
		})
	}
	err = group.Wait()
	if err == nil {
		err = ctx.Err()
	}
	return sets, faults, errors.Join(err, m.keepNow(true))
}

// merge joins the outputs of jobs with the same master, in order.
func merge(jobs []Job) (outputs map[string][]Output, order []string) {
	outputs = make(map[string][]Output, len(jobs))
	for _, j := range jobs {
		if _, ok := outputs[j.Master]; !ok {
			order = append(order, j.Master)
		}
		outputs[j.Master] = append(outputs[j.Master], j.Outputs...)
	}
	return outputs, order
}

// cachedAll asks cached of every master, on all cores. A Set without a Master
// means no.
func (m *Maker) cachedAll(order []string, outputs map[string][]Output) []Set {
	sets := make([]Set, len(order))
	var group errgroup.Group
	const share = 256
	for from := 0; from < len(order); from += share {
		group.Go(func() error {
			for i := from; i < min(from+share, len(order)); i++ {
				if set, ok := m.cached(order[i], outputs[order[i]]); ok {
					sets[i] = set
				}
			}
			return nil
		})
	}
	group.Wait()
	return sets
}

// cached answers from the index alone, if all is there.
func (m *Maker) cached(path string, outputs []Output) (Set, bool) {
	m.mu.Lock()
	k := m.index[path]
	m.mu.Unlock()
	if k == nil {
		return Set{}, false
	}
	info, err := os.Lstat(path)
	if err != nil || !info.Mode().IsRegular() || info.Size() != k.size || info.ModTime().UnixNano() != k.mtime {
		return Set{}, false
	}
	return m.assemble(path, k, outputs)
}

// assemble builds a Set of files that are all in the cache.
func (m *Maker) assemble(path string, k *known, outputs []Output) (Set, bool) {
	set := Set{Master: path, Info: k.info, Tone: k.tone, Hash: k.hash, Files: make([]File, len(outputs))}
	for i, o := range outputs {
		w, h := fit(k.info, o.Width)
		m.mu.Lock()
		f, ok := k.files[keyOf(k.id, w, h, o)]
		m.mu.Unlock()
		if !ok || !m.store.has(f) {
			return Set{}, false
		}
		set.Files[i] = File{Output: o, Path: m.store.path(f), Width: f.width, Height: f.height, Bytes: f.bytes, SHA256: f.sum, Grey: f.grey}
	}
	return set, true
}

// fit is the true size of an output: never wider than the master.
func fit(info scan.Info, width int) (int, int) {
	if width <= 0 || width >= info.Width {
		return info.Width, info.Height
	}
	h := (int64(width)*int64(info.Height) + int64(info.Width)/2) / int64(info.Width)
	return width, max(1, int(h))
}

// keepNow saves the index if it changed, at the end or from time to time.
func (m *Maker) keepNow(end bool) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if !m.dirty || !end && time.Since(m.saved) < saveEvery {
		return nil
	}
	if err := m.store.save(m.index); err != nil {
		return fmt.Errorf("saving the picture cache's index: %w", err)
	}
	m.dirty, m.saved = false, time.Now()
	return nil
}

// Prune removes from the cache whatever is not in keep, files and memory, and
// says how many files and bytes that were.
func (m *Maker) Prune(keep map[string]Set) (files int, bytes int64, err error) {
	m.mu.Lock()
	wanted := map[key]bool{}
	for path, k := range m.index {
		set, ok := keep[path]
		if !ok {
			delete(m.index, path)
			delete(m.byID, k.id)
			continue
		}
		kept := make(map[key]made, len(set.Files))
		for _, f := range set.Files {
			id := keyOf(k.id, f.Width, f.Height, f.Output)
			if one, ok := k.files[id]; ok {
				kept[id], wanted[id] = one, true
			}
		}
		k.files = kept
	}
	m.dirty = true
	m.mu.Unlock()
	if err := m.keepNow(true); err != nil {
		return 0, 0, err
	}
	return m.store.sweep(wanted)
}
