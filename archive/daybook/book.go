package daybook

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"sandarac/archive/record"
	"sandarac/archive/swap"
)

// Book is an archive opened for writing plates. It knows which ids and file
// names are taken, by records and by its own drafts. It is not safe for
// concurrent use; Write is.
type Book struct {
	Archive *record.Archive
	Today   record.Date

	pattern Pattern
	ids     map[string]bool // folded
	stems   map[string]bool // folded paths without their ending
	highest map[string]int  // by what stands around the number
	claimed map[string]string
	days    map[record.Date][]*Entry // by made
	written bool
}

// Lock takes the lock under which plate ids are given out, so that the command,
// the form and an import at one time do not give out the same.
func Lock(ctx context.Context, root, doing string, waiting func(swap.Holder)) (*swap.Lock, error) {
	if waiting == nil {
		waiting = func(swap.Holder) {}
	}
	return swap.AcquireWait(ctx, filepath.Join(root, ".sandarac", "daybook.lock"), doing, waiting)
}

// Open opens an archive that was read. Today is the day in the studio's zone.
// The error says what in the studio record stands in the way.
func Open(a *record.Archive, today record.Date) (*Book, error) {
	if a.Studio.Broken {
		return nil, fmt.Errorf("the studio record %s has errors, so ids and times of new plates cannot be told: run check and mend it first", a.Studio.File)
	}
	p, err := ParsePattern(a.Studio.PlateIDs)
	if err != nil {
		return nil, fmt.Errorf("%s:%d: plate_ids: %w", a.Studio.File, a.Studio.Line("plate_ids"), err)
	}
	b := &Book{Archive: a, Today: today, pattern: p, ids: map[string]bool{}, stems: map[string]bool{}, highest: map[string]int{},
		claimed: map[string]string{}, days: map[record.Date][]*Entry{}}
	for _, plate := range a.Plates {
		b.ids[fold(plate.ID)] = true
		b.stems[fold(stem(plate.File))] = true
		for _, rel := range plate.Scans {
			b.claimed[rel] = plate.ID
		}
		if !plate.Broken && !plate.Made.IsZero() {
			b.remember(Of(a, plate))
		}
	}
	for _, rel := range a.Orphans {
		b.stems[fold(stem(rel))] = true
	}
	return b, nil
}

// Entry is an empty entry whose times are in the studio's zone.
func (b *Book) Entry() *Entry { return NewEntry(b.Archive.Studio.Zone) }

// Pattern is how the studio numbers its plates.
func (b *Book) Pattern() Pattern { return b.pattern }

// Taken reports whether a plate of that id is there already, in capitals or not.
func (b *Book) Taken(id string) bool { return b.ids[fold(id)] }

// NextID is the next id of a day's sequence: one past the highest, or the first
// one after it that is not taken in another way.
func (b *Book) NextID(day record.Date, taken func(id string) bool) string {
	_, n := b.sequence(day)
	for {
		n++
		if id := b.pattern.ID(day, n); !b.Taken(id) && (taken == nil || !taken(id)) {
			return id
		}
	}
}

// sequence finds the highest number of a day's sequence; it looks at all ids
// once a sequence.
func (b *Book) sequence(day record.Date) (key string, highest int) {
	before, after, _ := b.pattern.around(day)
	key = before + "\x00" + after
	if n, ok := b.highest[key]; ok {
		return key, n
	}
	for _, p := range b.Archive.Plates {
		highest = max(highest, b.pattern.Number(day, p.ID))
	}
	b.highest[key] = highest
	return key, highest
}

// claim takes an id out of the sequence.
func (b *Book) claim(day record.Date, id string) {
	b.ids[fold(id)] = true
	if n := b.pattern.Number(day, id); n > 0 {
		key, highest := b.sequence(day)
		b.highest[key] = max(highest, n)
	}
}

// remember keeps a plate for the plates after it to carry over from.
func (b *Book) remember(e *Entry) {
	day := e.Day()
	list := b.days[day]
	at, _ := e.Made()
	i := len(list)
	for i > 0 {
		before, _ := list[i-1].Made()
		if !before.After(at) {
			break
		}
		i--
	}
	b.days[day] = slices.Insert(list, i, e)
}

// Draft is an entry with its place.
type Draft struct {
	*Entry
	File     string   // where the sidecar is to stand, relative to the archive, with slashes
	Scan     string   // the scan it stands beside, or ""
	From     string   // id of the plate it carried over from, or ""
	Carried  []string // keys that were carried over
	Numbered bool     // its id is the pattern's, not the photographer's
	Remarks  []string
}

// Place gives an entry its id, if it has none, and its file, if it has none:
// beside its scan, or in the folder named, or in the folder where the studio's
// plates of that day would be. An id that is taken is refused.
func (b *Book) Place(d *Draft, folder string) error {
	if id := d.ID(); id != "" {
		if b.Taken(id) {
			return refuse("plate", id, "an id that no plate of the archive has yet")
		}
		if d.File == "" {
			d.File = b.file(folder, id, d.Scan, d.Day())
		}
		b.adopt(d)
		if b.exists(d.File) {
			return refuse("plate", id, "an id whose file is not there yet; "+d.File+" is, and was left alone")
		}
	} else {
		id := b.NextID(d.Day(), func(id string) bool {
			// A note or an unrecorded scan may have that name.
			file := b.file(folder, id, d.Scan, d.Day())
			return d.Scan == "" && d.File == "" && (b.stems[fold(stem(file))] || b.exists(file))
		})
		if d.File == "" {
			d.File = b.file(folder, id, d.Scan, d.Day())
		}
		d.values["plate"] = Value{Text: id}
		d.Numbered = true
	}
	return nil
}

// adopt makes an unrecorded scan that lies where the sidecar is to stand, under
// the name the photographer gave the plate, its scan: record would read it so.
func (b *Book) adopt(d *Draft) {
	if d.Scan != "" || d.Has("scans") {
		return
	}
	for _, rel := range b.Archive.Orphans {
		if stem(rel) == stem(d.File) {
			d.Scan = rel
			d.Remarks = append(d.Remarks, rel+" lies there under this name and becomes its scan")
			return
		}
	}
}

// Settle keeps a placed draft as written: its id and its name are taken, and the
// plates after it may carry over from it.
func (b *Book) Settle(d *Draft) {
	b.written = true
	b.claim(d.Day(), d.ID())
	b.stems[fold(stem(d.File))] = true
	b.remember(d.Entry)
	if d.Scan != "" {
		b.claimed[d.Scan] = d.ID()
	}
}

// Written reports whether anything was settled that the archive, as it was read,
// does not hold.
func (b *Book) Written() bool { return b.written }

func (b *Book) file(folder, id, scan string, day record.Date) string {
	if scan != "" {
		return stem(scan) + ".md"
	}
	if folder == "" {
		folder = b.Folder(day)
	}
	return path.Join(folder, FileName(id)+".md")
}

func (b *Book) exists(rel string) bool {
	_, err := os.Lstat(b.Archive.Path(rel))
	return err == nil
}

// Write makes the sidecar of a placed draft. An error for which
// errors.Is(err, fs.ErrExist) holds says that a file of that name is there; it
// was left alone. Write may be called from several goroutines.
func (b *Book) Write(d *Draft) error {
	data, err := d.Markdown()
	if err != nil {
		return fmt.Errorf("plate %s: %w", d.ID(), err)
	}
	return b.Create(d.File, data, 0o644)
}

// Create makes a file of the archive that must not exist yet, and the folders
// above it. It follows no symbolic link.
func (b *Book) Create(rel string, data []byte, mode fs.FileMode) error {
	if err := b.folders(path.Dir(rel), mode); err != nil {
		return err
	}
	return swap.CreateNew(b.Archive.Path(rel), data, mode)
}

// folders makes the folders of a path below the archive; a private file's
// folders are private too.
func (b *Book) folders(rel string, mode fs.FileMode) error {
	if rel == "." {
		return nil
	}
	perm := fs.FileMode(0o755)
	if mode&0o077 == 0 {
		perm = 0o700
	}
	at := ""
	for part := range strings.SplitSeq(rel, "/") {
		at = path.Join(at, part)
		full := b.Archive.Path(at)
		if err := os.Mkdir(full, perm); err != nil && !errors.Is(err, fs.ErrExist) {
			return err
		}
		info, err := os.Lstat(full)
		if err != nil {
			return err
		}
		if !info.IsDir() {
			return &swap.Error{Path: full, Why: "this is not a folder", Mend: "name a folder of the archive; links are not followed", Err: swap.ErrKind}
		}
	}
	return nil
}

func fold(s string) string { return strings.ToLower(s) }

// stem is a file's path without its ending.
func stem(rel string) string { return strings.TrimSuffix(rel, path.Ext(rel)) }

// Folders lists the folders that hold records or scans, and those above them.
func (b *Book) Folders() []string {
	seen := map[string]bool{".": true}
	add := func(rel string) {
		for dir := path.Dir(rel); !seen[dir]; dir = path.Dir(dir) {
			seen[dir] = true
		}
	}
	for s := range b.stems {
		add(s)
	}
	for _, p := range b.Archive.Plates {
		add(p.File)
	}
	for _, x := range b.Archive.Batches {
		add(x.File)
	}
	for _, x := range b.Archive.Clients {
		add(x.File)
	}
	for _, x := range b.Archive.Sitters {
		add(x.File)
	}
	out := make([]string, 0, len(seen))
	for dir := range seen {
		out = append(out, dir)
	}
	slices.Sort(out)
	return out
}
