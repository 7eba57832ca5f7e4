package bench

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"sandarac/archive/bench/journal"
	"sandarac/archive/daybook"
	"sandarac/archive/record"
	"sandarac/archive/scan"
	"sandarac/archive/swap"
)

// Logbook makes records of what devices send, each entry once, however often it
// is sent. It makes files, and never writes over one; only a change that a device
// asks for goes into the record it names, in place, and never over an edit by
// hand. It may be used from several goroutines, and beside other
// runs of the command on the same archive.
type Logbook struct {
	root    string
	now     func() time.Time
	journal *journal.Journal

	mu      sync.Mutex
	book    *daybook.Book
	stale   bool
	stamps  map[string]time.Time     // when each folder of the archive was changed
	flying  map[string]chan struct{} // entries being made, by id
	settled map[string]func()        // what the book must know of them when it is read anew
	holders int
	lock    *swap.Lock
	amended bool // a record was changed since the book was read

	changing sync.Mutex // one record is changed at a time
}

// OpenLogbook opens the log book of an archive, and makes what an earlier run
// that was killed had begun. Now tells the time; nil is the clock.
func OpenLogbook(ctx context.Context, root string, now func() time.Time) (*Logbook, error) {
	if now == nil {
		now = time.Now
	}
	if err := ownFolder(root); err != nil {
		return nil, err
	}
	j, err := journal.Open(filepath.Join(root, ".sandarac", "bench"))
	if err != nil {
		return nil, err
	}
	l := &Logbook{root: root, now: now, journal: j, stale: true, flying: map[string]chan struct{}{}, settled: map[string]func(){}}
	return l, l.recover(ctx)
}

// recover makes what was begun and not finished.
func (l *Logbook) recover(ctx context.Context) error {
	open, err := l.journal.Unfinished()
	if err != nil || len(open) == 0 {
		return err
	}
	for _, e := range open {
		release, err := l.enter(ctx, e.ID)
		if err != nil {
			return err
		}
		_, err = l.finish(ctx, e, true)
		release()
		var refused *Refused
		if err != nil && !errors.As(err, &refused) {
			return fmt.Errorf("finishing what the last run had begun: %w", err)
		}
	}
	return nil
}

// Touch says that files of the archive were changed by somebody else.
func (l *Logbook) Touch() {
	l.mu.Lock()
	l.stale = true
	l.mu.Unlock()
}

// Plate makes the record of a plate.
func (l *Logbook) Plate(ctx context.Context, sent []byte) (Answer, error) {
	var e PlateEntry
	if err := decodeEntry(sent, &e); err != nil {
		return Answer{}, err
	}
	return l.take(ctx, e.ID, "plate", sent, nil)
}

// Consent makes the record of a sitter and the private file of their signature.
func (l *Logbook) Consent(ctx context.Context, sent []byte) (Answer, error) {
	var e ConsentEntry
	if err := decodeEntry(sent, &e); err != nil {
		return Answer{}, err
	}
	return l.take(ctx, e.ID, "consent", sent, nil)
}

// Picture keeps a picture taken with the device beside the plate of an entry, as
// its scan until there is a better one: it ends in .jpeg, which comes last among
// the scans of a plate.
func (l *Logbook) Picture(ctx context.Context, id, of string, data []byte) (Answer, error) {
	sent, err := json.Marshal(struct{ ID, Of string }{id, of})
	if err != nil {
		return Answer{}, err
	}
	return l.take(ctx, id, "picture", sent, data)
}

// Change writes what is known later into the record of a plate.
func (l *Logbook) Change(ctx context.Context, sent []byte) (Answer, error) {
	var e ChangeEntry
	if err := decodeEntry(sent, &e); err != nil {
		return Answer{}, err
	}
	return l.take(ctx, e.ID, "change", sent, nil)
}

// take makes an entry's files, or gives the answer that was given before.
func (l *Logbook) take(ctx context.Context, id, kind string, sent, blob []byte) (Answer, error) {
	if !journal.ValidID(id) {
		return Answer{}, fmt.Errorf("%w: %w", errMalformed, journal.ErrBadID)
	}
	release, err := l.enter(ctx, id)
	if err != nil {
		return Answer{}, err
	}
	defer release()
	e := journal.Entry{ID: id, Kind: kind, Sum: sumOfEntry(kind, sent, blob), Sent: sent, When: l.now().UTC()}
	before, done, err := l.journal.Find(id)
	switch {
	case err == nil && before.Sum != e.Sum:
		return Answer{}, errConflict
	case err == nil && done:
		return Answer{ID: id, Result: before.Result, File: before.Files[len(before.Files)-1].Path, Again: true}, nil
	case err == nil:
		return l.finish(ctx, before, true)
	case !errors.Is(err, journal.ErrUnknown):
		return Answer{}, err
	}
	remarks, err := l.plan(ctx, &e, blob)
	if err != nil {
		return Answer{}, err
	}
	answer, err := l.finish(ctx, e, false)
	answer.Remarks = remarks
	return answer, err
}

// sumOfEntry tells an entry that is sent once more from another under its id.
func sumOfEntry(kind string, sent, blob []byte) string {
	h := sha256.New()
	fmt.Fprintf(h, "%s\x00%d\x00", kind, len(sent))
	h.Write(sent)
	h.Write(blob)
	return hex.EncodeToString(h.Sum(nil))
}

// enter waits until no other request makes the entry, and takes the lock under
// which ids are given out, with all requests that are at work.
func (l *Logbook) enter(ctx context.Context, id string) (release func(), err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for {
		other, busy := l.flying[id]
		if !busy {
			break
		}
		l.mu.Unlock()
		select {
		case <-other:
		case <-ctx.Done():
		}
		l.mu.Lock()
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
	}
	if l.holders == 0 {
		if l.lock, err = daybook.Lock(ctx, l.root, "bench form", nil); err != nil {
			return nil, err
		}
		l.stale = l.stale || l.foldersChanged()
	}
	l.holders++
	mine := make(chan struct{})
	l.flying[id] = mine
	return func() { l.leave(id, mine) }, nil
}

func (l *Logbook) leave(id string, mine chan struct{}) {
	l.mu.Lock()
	defer l.mu.Unlock()
	delete(l.flying, id)
	delete(l.settled, id)
	close(mine)
	if l.holders--; l.holders == 0 {
		l.stampFolders()
		_ = l.lock.Release() // the system drops it with the process at the latest
	}
}

// plan finds out what files an entry becomes and puts it into the journal.
func (l *Logbook) plan(ctx context.Context, e *journal.Entry, blob []byte) (remarks []string, err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if err := l.refresh(ctx); err != nil {
		return nil, err
	}
	var know func()
	switch e.Kind {
	case "plate":
		know, remarks, err = l.planPlate(e)
	case "consent":
		know, err = l.planConsent(e)
	case "change":
		err = l.planChange(ctx, e)
	default:
		err = l.planPicture(ctx, e, blob)
	}
	if err != nil {
		return nil, err
	}
	if know != nil {
		know()
		l.settled[e.ID] = know
	}
	// The disk takes its time; others may plan meanwhile.
	l.mu.Unlock()
	err = l.journal.Begin(*e)
	l.mu.Lock()
	return remarks, err
}

func (l *Logbook) planPlate(e *journal.Entry) (know func(), remarks []string, err error) {
	var entry PlateEntry
	if err := decodeEntry(e.Sent, &entry); err != nil {
		return nil, nil, err
	}
	d, remarks, err := l.draft(&entry)
	if err != nil {
		return nil, nil, err
	}
	data, err := d.Markdown()
	if err != nil {
		return nil, nil, &Refused{[]*daybook.Refusal{{Key: "notes", Found: "a very long entry", Accepted: err.Error()}}}
	}
	e.Result, e.Files = d.ID(), []journal.File{{Path: d.File, Data: data, Mode: 0o644}}
	return func() { l.book.Settle(d) }, remarks, nil
}

func (l *Logbook) planConsent(e *journal.Entry) (know func(), err error) {
	var entry ConsentEntry
	if err := decodeEntry(e.Sent, &entry); err != nil {
		return nil, err
	}
	a, err := l.agreement(&entry)
	if err != nil {
		return nil, refusedBy([]error{err})
	}
	d, errs := l.book.Sitter(a)
	if len(errs) > 0 {
		return nil, refusedBy(errs)
	}
	e.Result, e.Files = d.ID, nil
	if d.Signature != "" {
		e.Files = append(e.Files, journal.File{Path: d.Signature, Data: d.Signed, Mode: 0o600})
	}
	e.Files = append(e.Files, journal.File{Path: d.File, Data: d.Data, Mode: 0o644})
	return func() { l.book.Know(d) }, nil
}

// pictureMost bounds a picture, in bytes; a device makes it smaller before.
const pictureMost = 12 << 20

func (l *Logbook) planPicture(ctx context.Context, e *journal.Entry, data []byte) error {
	var entry struct{ ID, Of string }
	if err := json.Unmarshal(e.Sent, &entry); err != nil {
		return err
	}
	refuse := func(found, accepted string) error {
		return &Refused{[]*daybook.Refusal{{Key: "picture", Found: found, Accepted: accepted}}}
	}
	of, done, err := l.journal.Find(entry.Of)
	if err != nil || !done || of.Kind != "plate" {
		return refuse("a picture of no plate", "a picture of a plate that the form sent before")
	}
	file := of.Files[0].Path
	if p, ok := l.book.Archive.Plate(of.Result); ok {
		file = p.File // it may have been moved by hand
	} else if _, err := os.Lstat(l.book.Archive.Path(file)); err != nil {
		return refuse("a picture of plate "+of.Result, "a plate that is still in the archive")
	}
	target := strings.TrimSuffix(file, path.Ext(file)) + ".jpeg"
	if old, err := os.ReadFile(l.book.Archive.Path(target)); err == nil && !bytes.Equal(old, data) {
		return refuse("a second picture", "one picture a plate; "+target+" is there already")
	}
	if err := l.readable(ctx, data); err != nil {
		return refuse("a file that is no sound JPEG ("+daybook.Clip(err.Error())+")", "a JPEG of at most 12 MB")
	}
	e.Result, e.Files = of.Result, []journal.File{{Path: target, Data: data, Mode: 0o644}}
	return nil
}

// readable decodes a picture as check would.
func (l *Logbook) readable(ctx context.Context, data []byte) error {
	if len(data) > pictureMost || !bytes.HasPrefix(data, []byte("\xFF\xD8\xFF")) {
		return errors.New("it does not begin as one")
	}
	f, err := os.CreateTemp(filepath.Join(l.root, ".sandarac", "bench"), "picture-*.jpeg")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	_, err = f.Write(data)
	if err = errors.Join(err, f.Close()); err != nil {
		return err
	}
	bounded, stop := context.WithTimeout(ctx, 20*time.Second)
	defer stop()
	return scan.Verify(bounded, f.Name())
}

// triesMost is how many names are tried for an entry whose file is there.
const triesMost = 50

// finish makes the files of an entry that was begun. A file that is there is the
// entry's own only if this resumes a run that was killed, and it holds the same
// or was edited by hand since. Otherwise it is somebody else's, and the entry
// goes to another place.
func (l *Logbook) finish(ctx context.Context, e journal.Entry, resumed bool) (Answer, error) {
	for range triesMost {
		again, err := l.makeFiles(e, resumed)
		if err != nil {
			return Answer{}, err
		}
		if !again {
			if err := l.journal.Finish(e); err != nil {
				return Answer{}, err
			}
			return Answer{ID: e.ID, Result: e.Result, File: e.Files[len(e.Files)-1].Path}, nil
		}
		resumed = false
		l.Touch()
		var blob []byte
		if e.Kind == "picture" {
			blob = e.Files[0].Data
		}
		if _, err := l.plan(ctx, &e, blob); err != nil {
			var refused *Refused
			if errors.As(err, &refused) {
				_ = l.journal.Drop(e.ID) // nothing was made of it; the device keeps it
			}
			return Answer{}, err
		}
	}
	return Answer{}, fmt.Errorf("no name could be found for entry %s in %d tries", e.ID, triesMost)
}

// makeFiles makes each file; again says that one of them is somebody else's.
func (l *Logbook) makeFiles(e journal.Entry, resumed bool) (again bool, err error) {
	if err := inside(e); err != nil {
		return false, err
	}
	l.mu.Lock()
	book := l.book
	if book == nil {
		if err := l.refresh(context.Background()); err != nil {
			l.mu.Unlock()
			return false, err
		}
		book = l.book
	}
	l.mu.Unlock()
	for _, f := range e.Files {
		if f.Was != "" {
			if changed, err := l.change(book, f); changed || err != nil {
				return changed, err
			}
			continue
		}
		err := book.Create(f.Path, f.Data, f.Mode)
		if !errors.Is(err, fs.ErrExist) {
			if err != nil {
				return false, err
			}
			continue
		}
		old, err := os.ReadFile(book.Archive.Path(f.Path))
		if err != nil || !bytes.Equal(old, f.Data) && !(resumed && edited(old, f.Data)) {
			return true, nil
		}
	}
	return false, nil
}

// edited reports whether a record is one that was made from data and edited by
// hand since: it has the same id and the same time.
func edited(old, data []byte) bool {
	lines := func(b []byte) (id, when string) {
		for line := range bytes.Lines(b) {
			text := strings.TrimSpace(string(line))
			switch {
			case id == "" && (strings.HasPrefix(text, "plate: ") || strings.HasPrefix(text, "sitter: ")):
				id = text
			case when == "" && (strings.HasPrefix(text, "made: ") || strings.HasPrefix(text, "given: ")):
				when = text
			}
		}
		return id, when
	}
	id, when := lines(data)
	oldID, oldWhen := lines(old)
	return id != "" && id == oldID && when == oldWhen
}

// refresh reads the archive anew if it was changed by others. What is being made
// and is not on the disk yet is told to the new book.
func (l *Logbook) refresh(ctx context.Context) error {
	now := l.now()
	if !l.stale && l.book != nil {
		l.book.Today = record.DateOf(now.In(l.book.Archive.Studio.Zone))
		return nil
	}
	a, _, err := record.Read(ctx, l.root)
	if err != nil {
		return err
	}
	book, err := daybook.Open(a, record.DateOf(now.In(a.Studio.Zone)))
	if err != nil {
		return err
	}
	l.book, l.stale, l.amended = book, false, false
	for _, know := range l.settled {
		know()
	}
	return nil
}

// foldersChanged reports whether a file came or went since the folders were
// looked at: another run of the command gives ids out under the same lock.
func (l *Logbook) foldersChanged() bool {
	if len(l.stamps) == 0 {
		return true
	}
	for dir, was := range l.stamps {
		info, err := os.Stat(filepath.Join(l.root, filepath.FromSlash(dir)))
		if err != nil || !info.ModTime().Equal(was) {
			return true
		}
	}
	return false
}

func (l *Logbook) stampFolders() {
	if l.book == nil || l.stale {
		l.stamps = nil
		return
	}
	l.stamps = map[string]time.Time{}
	for _, dir := range l.book.Folders() {
		if info, err := os.Stat(filepath.Join(l.root, filepath.FromSlash(dir))); err == nil {
			l.stamps[dir] = info.ModTime()
		}
	}
}
