// Package fault is what can be wrong with a master scan: which file, what was
// found in it, what is accepted instead, and how to mend it. Every refusal of
// package scan and its formats is a *Fault; none is told apart by its text.
package fault

import (
	"context"
	"errors"
	"fmt"
	"strings"
)

// Kind is the sort of fault, for callers that act on it.
type Kind string

const (
	// Missing: there is no such file.
	Missing Kind = "missing"
	// NotAFile: a symbolic link, folder, device, pipe or socket.
	NotAFile Kind = "not-a-file"
	// Unreadable: the system refused to open or read the file.
	Unreadable Kind = "unreadable"
	// Unsupported: a sound file of a kind that is not accepted.
	Unsupported Kind = "unsupported"
	// Damaged: cut short, inconsistent or corrupt.
	Damaged Kind = "damaged"
	// TooLarge: over a limit of package limit.
	TooLarge Kind = "too-large"
	// Profile: the colour profile cannot be honoured.
	Profile Kind = "profile"
	// Metadata: the EXIF block is damaged or hostile.
	Metadata Kind = "metadata"
	// Changed: the file was changed while it was read.
	Changed Kind = "changed"
	// Stopped: the time allowed ran out.
	Stopped Kind = "stopped"
)

// Fault is one refusal. Found completes "this scan …"-free: it is a clause by
// itself, such as "the picture is CMYK with the profile \"Coated\"".
type Fault struct {
	File     string // as given by the caller; filled in by In
	Kind     Kind
	Found    string
	Accepted string // what would have been accepted; may be empty
	Mend     string // what the photographer can do
	Err      error  // the library's or system's own error; may be nil
}

// Error says everything in one line.
func (f *Fault) Error() string {
	var b strings.Builder
	if f.File != "" {
		b.WriteString(Plain(f.File))
		b.WriteString(": ")
	}
	b.WriteString(f.Message())
	if f.Mend != "" {
		b.WriteString("; ")
		b.WriteString(f.Mend)
	}
	return b.String()
}

// Message is what was found and what is accepted.
func (f *Fault) Message() string {
	s := f.Found
	if f.Err != nil {
		s += " (" + Plain(f.Err.Error()) + ")"
	}
	if f.Accepted != "" {
		s += "; accepted: " + f.Accepted
	}
	return s
}

// Remedy is how to mend it.
func (f *Fault) Remedy() string { return f.Mend }

// Unwrap gives the cause.
func (f *Fault) Unwrap() error { return f.Err }

// In names the file in a fault, and makes a Damaged fault of any other error.
// Nil and the end of a context pass through unchanged.
func In(err error, file string) error {
	if err == nil || errors.Is(err, context.Canceled) {
		return err
	}
	var f *Fault
	if errors.As(err, &f) {
		named := *f
		named.File = file
		return &named
	}
	if errors.Is(err, context.DeadlineExceeded) {
		return &Fault{File: file, Kind: Stopped, Found: "decoding took longer than the time allowed", Mend: "save the scan again as an ordinary JPEG, PNG or TIFF", Err: err}
	}
	return &Fault{File: file, Kind: Damaged, Found: "the picture cannot be decoded", Mend: MendDamaged, Err: err}
}

// MendDamaged is the remedy for files that are cut short or corrupt.
const MendDamaged = "copy the file again from the scanner or a backup; if it is damaged there too, scan the plate again"

// Damagedf is a Damaged fault with the usual remedy.
func Damagedf(format string, args ...any) *Fault {
	return &Fault{Kind: Damaged, Found: fmt.Sprintf(format, args...), Mend: MendDamaged}
}

// Recover turns a panic of a decoding library into a Damaged fault. Use it
// deferred: defer fault.Recover("image/png", &err).
func Recover(library string, err *error) {
	if p := recover(); p != nil {
		*err = Damagedf("%s failed on it: %s", library, Plain(fmt.Sprint(p)))
	}
}

// Plain makes outside text safe for one line of a message: control characters
// become spaces, and 200 characters are kept.
func Plain(s string) string {
	n := 0
	return strings.Map(func(r rune) rune {
		n++
		switch {
		case n > 200:
			return -1
		case r < 0x20, r == 0x7f, r >= 0x80 && r < 0xa0, r == '\u2028', r == '\u2029', r >= 0x202a && r <= 0x202e, r >= 0x2066 && r <= 0x2069:
			return ' '
		}
		return r
	}, s)
}
