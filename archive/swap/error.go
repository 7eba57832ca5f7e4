package swap

import (
	"errors"
	"fmt"
	"io/fs"
)

// Error says in plain words why something could not be written.
type Error struct {
	Path string // what was being written
	Why  string // what stood in the way
	Mend string // what to do about it; may be empty
	Err  error  // the cause, for errors.Is and errors.As
}

// Error gives path, reason and remedy in one line.
func (e *Error) Error() string {
	if e.Mend == "" {
		return fmt.Sprintf("%s: %s", e.Path, e.Why)
	}
	return fmt.Sprintf("%s: %s; %s", e.Path, e.Why, e.Mend)
}

// Unwrap gives the cause.
func (e *Error) Unwrap() error { return e.Err }

// Sentinels for refusals that are this package's own; the cause of an [*Error].
var (
	// ErrSymlink: the path is a symbolic link.
	ErrSymlink = errors.New("symbolic link")
	// ErrNotOurs: the folder to be replaced holds files this tool did not put there.
	ErrNotOurs = errors.New("not made by this tool")
	// ErrKind: a folder stands where a file is wanted, or the other way about.
	ErrKind = errors.New("wrong kind of file")
)

// Reason puts into words what the system says of a full, read-only or failing
// disk, wherever in a chain of errors it stands; empty for anything else.
func Reason(err error) (why, mend string) { return reason(err) }

// explain wraps err for path in words; nil stays nil, an *Error stays itself.
func explain(path string, err error) error {
	if err == nil {
		return nil
	}
	var known *Error
	if errors.As(err, &known) {
		return err
	}
	why, mend := reason(err)
	if why == "" {
		switch {
		case errors.Is(err, fs.ErrPermission):
			why = "you may not write here"
			mend = "check the owner and the permissions of the folder and of the file"
		case errors.Is(err, fs.ErrExist):
			why = "there is a file of this name already"
			mend = "choose another name; nothing was overwritten"
		case errors.Is(err, fs.ErrNotExist):
			why = "the folder it belongs in does not exist"
			mend = "make the folder first"
		default:
			why = err.Error()
		}
	}
	return &Error{Path: path, Why: why, Mend: mend, Err: err}
}
