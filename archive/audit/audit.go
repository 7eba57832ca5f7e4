// Package audit reads a finished site as a stranger would, byte by byte, and
// proves that nothing in it should not be there: no name of a person who did not
// agree to be named, no client, no note, no file name of the archive, nothing of
// an unpublished plate, not its pixels either, and no secret; in whatever
// encoding, in pages, index, feeds, metadata, archives and sealed files.
//
// In go a folder and what is forbidden in it ([Gather] makes that from the
// records); out come findings, all of them errors. What cannot be read is a
// finding too: a kind of file that is not known, a picture that cannot be
// decoded, a link. It writes nothing but its cache, and knows none of the
// packages that make what it reads.
//
// # What is found, and what is let pass
//
// Names of two words or more, email addresses and quotations of eight words from
// a note are found anywhere, in any case, with or without accents, across tags and
// escapes; a name inside a longer one that may be shown is not. A name of one
// word may be a word of the language (Rose, May, Lock): it is found where it
// stands for itself (the whole of an element, an attribute, a string, an item of
// a list, behind "Mrs" or "portrait of"), written as the person writes it, and
// as a search term or in an address if no published text explains it. Names of
// months and days of the week count only where a person is meant. Ids with a
// digit and five characters are found anywhere; others, which may be words or
// numbers, only where an id is meant and in addresses. A title of an unpublished
// plate is found anywhere if it has four words, else where it stands for itself,
// unless a published plate says the same.
//
// Encodings taken off, four deep: percent, character references, escapes of
// JSON, scripts and style sheets, quoted-printable, base64, hexadecimal, lists of
// numbers, UTF-16, gzip, zlib, deflate, ZIP. Not found: what is encrypted,
// scrambled or spelt with letters that only look alike.
package audit

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"sandarac/archive/finding"
)

// Options of [Tree]. The zero value is fine.
type Options struct {
	// Cache is a folder in which what was found clean is remembered by content
	// (for an archive, .sandarac/cache/audit); empty for none.
	Cache string
	// Progress, if set, is told how many of the files are read, one call at a time.
	Progress func(done, total int)
	// Workers is how many files are read at a time; 0 for one per processor.
	Workers int
}

// Tree reads every file below dir and gives what must not be there, sorted; File
// is relative to dir. The error is the machine's: a folder that cannot be read, a
// reference picture that is missing, a cancelled context.
func Tree(ctx context.Context, dir string, f Forbidden, opt Options) ([]finding.Finding, error) {
	a := newAuditor(dir, f, opt)
	found, err := a.run(ctx, f, opt)
	if err != nil {
		return nil, fmt.Errorf("auditing %s: %w", dir, err)
	}
	return found, nil
}

// auditor is one reading of a tree.
type auditor struct {
	dir      string
	search   *searcher
	sink     *sink
	cache    *cache
	pictures *album
	searched atomic.Int64 // texts that were not known to be clean

	mu    sync.Mutex
	pages map[string]string // hash of each gallery page → one that has it
	blobs map[blobKey]*blobHits
}

func newAuditor(dir string, f Forbidden, opt Options) *auditor {
	search := compile(f)
	return &auditor{dir: dir, search: search, sink: newSink(search), cache: openCache(opt.Cache, search.digest, search.secretsDigest), pages: map[string]string{}, blobs: map[blobKey]*blobHits{}}
}

func (a *auditor) run(ctx context.Context, f Forbidden, opt Options) ([]finding.Finding, error) {
	names, links, err := list(a.dir)
	if err != nil {
		return nil, err
	}
	for _, name := range links {
		a.sink.add(finding.Finding{Code: codeLink, File: name, Message: "this is a link or a device, not a file", Remedy: "put the file itself there; nothing of ours writes links"})
	}
	if a.pictures, err = newAlbum(ctx, f, a.cache); err != nil {
		return nil, err
	}
	if err := a.all(ctx, names, opt); err != nil {
		return nil, err
	}
	if err := a.pictures.compare(ctx, a.dir, a.sink); err != nil {
		return nil, err
	}
	a.comparePages()
	if err := a.cache.save(); err != nil {
		return nil, fmt.Errorf("keeping what was found clean: %w", err)
	}
	return a.sink.findings(), nil
}

// list gives all files below dir, with slashes, and apart from them everything
// that is neither a file nor a folder.
func list(dir string) (names, links []string, err error) {
	err = filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		name, err := filepath.Rel(dir, path)
		if err != nil {
			return err
		}
		if name = filepath.ToSlash(name); entry.Type().IsRegular() {
			names = append(names, name)
		} else {
			links = append(links, name)
		}
		return nil
	})
	return names, links, err
}

// all reads the files, several at a time.
func (a *auditor) all(ctx context.Context, names []string, opt Options) error {
	group, inner := errgroup.WithContext(ctx)
	group.SetLimit(cmp.Or(opt.Workers, runtime.GOMAXPROCS(0)))
	var mu sync.Mutex
	done := 0
	for _, name := range names {
		if inner.Err() != nil {
			break
		}
		group.Go(func() error {
			if err := a.file(inner, name); err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
			if opt.Progress != nil {
				mu.Lock()
				defer mu.Unlock()
				done++
				opt.Progress(done, len(names))
			}
			return nil
		})
	}
	return cmp.Or(group.Wait(), ctx.Err())
}

// comparePages holds the gallery pages against each other: if they differ, they
// tell something of whom they are for.
func (a *auditor) comparePages() {
	if len(a.pages) < 2 {
		return
	}
	var names []string
	for _, name := range a.pages {
		names = append(names, name)
	}
	slices.Sort(names)
	a.sink.add(finding.Finding{Code: codeSealed, File: names[1], Message: "this gallery page differs from " + names[0] + "; all must be the same file",
		Remedy: "build again; if it stays, report it: a gallery page must not tell whom it is for"})
}

// open opens a file of the tree for reading.
func (a *auditor) open(name string) (*os.File, fs.FileInfo, error) {
	f, err := os.Open(filepath.Join(a.dir, filepath.FromSlash(name)))
	if err != nil {
		return nil, nil, err
	}
	info, err := f.Stat()
	if err != nil {
		return nil, nil, errors.Join(err, f.Close())
	}
	return f, info, nil
}
