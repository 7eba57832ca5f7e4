package bench

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"os"

	"sandarac/archive/bench/journal"
	"sandarac/archive/daybook"
	"sandarac/archive/swap"
)

// planChange finds out how the record of a plate reads with what was said of it
// later. A key that the record has otherwise than the device showed was changed
// meanwhile, and is refused.
func (l *Logbook) planChange(ctx context.Context, e *journal.Entry) error {
	var entry ChangeEntry
	if err := decodeEntry(e.Sent, &entry); err != nil {
		return err
	}
	id, err := l.plateOf(&entry)
	if err != nil {
		return err
	}
	if _, ok := l.book.Archive.Plate(id); !ok {
		l.stale = true // it may have been logged since the archive was read
		if err := l.refresh(ctx); err != nil {
			return err
		}
	}
	later := daybook.Later{Notes: entry.Notes}
	for _, key := range sortedKeys(entry.Values) {
		was := entry.Was[key]
		later.Changes = append(later.Changes, daybook.LaterChange{Key: key, Text: entry.Values[key], Was: &was})
	}
	a, errs := l.book.Amend(id, later)
	if err := refusedBy(errs); err != nil {
		return err
	}
	e.Result = a.ID
	e.Files = []journal.File{{Path: a.File, Data: a.After, Was: contentSum(a.Before)}}
	return nil
}

// plateOf is the plate that a change is of.
func (l *Logbook) plateOf(e *ChangeEntry) (string, error) {
	if e.Of == "" {
		return e.Plate, nil
	}
	of, done, err := l.journal.Find(e.Of)
	if err != nil || !done || of.Kind != "plate" {
		return "", &Refused{[]*daybook.Refusal{{Key: "plate", Found: "a plate that is not in the archive", Accepted: "a plate that the form sent before: send that one first"}}}
	}
	return of.Result, nil
}

// change puts a changed record in the place of what it was made from; changed
// says that it holds something else by now, and that the change is to be made
// anew.
func (l *Logbook) change(book *daybook.Book, f journal.File) (changed bool, err error) {
	l.changing.Lock()
	defer l.changing.Unlock()
	now, err := os.ReadFile(book.Archive.Path(f.Path))
	if errors.Is(err, os.ErrNotExist) {
		return true, nil // it was moved
	}
	if err != nil {
		return false, err
	}
	switch contentSum(now) {
	case contentSum(f.Data):
		return false, nil // it was put there before, or says so already
	case f.Was:
	default:
		return true, nil
	}
	err = swap.ReplaceIf(book.Archive.Path(f.Path), now, f.Data)
	if errors.Is(err, swap.ErrChanged) {
		return true, nil
	}
	if err == nil {
		l.mu.Lock()
		l.amended = true
		l.mu.Unlock()
	}
	return false, err
}

func contentSum(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}
