package swap

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/gofrs/flock"
)

// Holder is who holds a lock.
type Holder struct {
	PID   int       `json:"pid"`
	Host  string    `json:"host"`
	Since time.Time `json:"since"`
	Doing string    `json:"doing"` // the command, in a word or two
}

// String describes the holder in a sentence's second half.
func (h Holder) String() string {
	if h.PID == 0 {
		return "another process"
	}
	return fmt.Sprintf("%q, process %d on %s, since %s", h.Doing, h.PID, h.Host, h.Since.Local().Format("2 January 15:04:05"))
}

// HeldError says that another process has the lock.
type HeldError struct {
	Path   string
	Holder Holder
}

func (e *HeldError) Error() string {
	return fmt.Sprintf("%s: the archive is in use by %s; wait until it has finished, or end it", e.Path, e.Holder)
}

// Lock is a lock this process holds.
type Lock struct {
	file *flock.Flock
	who  string
}

// Acquire takes the lock at path (for an archive, .sandarac/lock), making the
// file and its folder if need be, and writes beside it who has it and what for.
// If another process has it the error is a [*HeldError] at once. The system
// drops a lock with the process that held it, however that ended: there are no
// stale ones to clear.
func Acquire(path, doing string) (*Lock, error) {
	l, err := open(path)
	if err != nil {
		return nil, err
	}
	got, err := l.file.TryLock()
	if err != nil {
		return nil, explain(path, err)
	}
	if !got {
		return nil, &HeldError{Path: path, Holder: l.holder()}
	}
	return l, l.sign(doing)
}

// AcquireWait is Acquire that waits until the lock is free or ctx ends. If it has
// to wait it calls waiting once with the holder.
func AcquireWait(ctx context.Context, path, doing string, waiting func(Holder)) (*Lock, error) {
	l, err := Acquire(path, doing)
	var held *HeldError
	if !errors.As(err, &held) {
		return l, err
	}
	waiting(held.Holder)
	if l, err = open(path); err != nil {
		return nil, err
	}
	got, err := l.file.TryLockContext(ctx, 100*time.Millisecond)
	if ctxErr := ctx.Err(); ctxErr != nil && !got {
		return nil, errors.Join(ctxErr, &HeldError{Path: path, Holder: l.holder()})
	}
	if err != nil {
		return nil, explain(path, err)
	}
	return l, l.sign(doing)
}

// Release gives the lock back. The lock file stays: removing it would let two
// processes lock two files of one name.
func (l *Lock) Release() error {
	err := os.Remove(l.who)
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	return errors.Join(err, l.file.Unlock())
}

func open(path string) (*Lock, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return nil, explain(path, err)
	}
	// The holder is named in a file of its own, since Windows lets nobody else
	// read a locked one.
	return &Lock{file: flock.New(path), who: path + ".holder"}, nil
}

// sign writes who holds the lock; without that it is given back.
func (l *Lock) sign(doing string) error {
	host, _ := os.Hostname()
	text, err := json.Marshal(Holder{PID: os.Getpid(), Host: host, Since: time.Now().UTC().Truncate(time.Second), Doing: doing})
	if err == nil {
		err = WriteFile(l.who, append(text, '\n'), 0o644)
	}
	if err != nil {
		return errors.Join(err, l.file.Unlock())
	}
	return nil
}

// holder reads who holds the lock; the zero Holder if that is not known (yet).
func (l *Lock) holder() Holder {
	var h Holder
	if text, err := os.ReadFile(l.who); err == nil && json.Unmarshal(text, &h) != nil {
		return Holder{}
	}
	return h
}
