//go:build !linux && !darwin

package swap

// exchange is not to be had here: the caller renames twice.
func exchange(_, _ string) error { return errUnsupported }

// renameNew is not to be had here.
func renameNew(_, _ string) error { return errUnsupported }
