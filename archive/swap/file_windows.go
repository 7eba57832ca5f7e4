package swap

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"golang.org/x/sys/windows"
)

// replaceFile writes a temporary file in the same folder, flushes it and renames
// it over path.
func replaceFile(path string, data []byte, mode fs.FileMode) error {
	draft, err := os.CreateTemp(filepath.Dir(path), draftPrefix+"*")
	if err != nil {
		return err
	}
	defer os.Remove(draft.Name())
	moment("pending made")
	if err := fill(draft, data, mode); err != nil {
		return err
	}
	moment("pending filled")
	if err := move(draft.Name(), path, windows.MOVEFILE_REPLACE_EXISTING); err != nil {
		return err
	}
	moment("pending renamed")
	return nil
}

// settle gives draft the name path if nothing has it.
func settle(draft, path string) error { return move(draft, path, 0) }

// move renames with the name on disk when it returns; without the replace flag
// it does not overwrite.
func move(from, to string, flags uint32) error {
	source, err := windows.UTF16PtrFromString(from)
	if err != nil {
		return err
	}
	target, err := windows.UTF16PtrFromString(to)
	if err != nil {
		return err
	}
	err = patiently(func() error {
		return windows.MoveFileEx(source, target, flags|windows.MOVEFILE_WRITE_THROUGH)
	}, busy, firstWait)
	if errors.Is(err, windows.ERROR_ALREADY_EXISTS) || errors.Is(err, windows.ERROR_FILE_EXISTS) {
		err = fs.ErrExist
	}
	return err
}

// setMode does nothing: rights on Windows are inherited from the folder.
func setMode(*os.File, fs.FileMode) error { return nil }

// syncDir does nothing: move writes through, and folders cannot be flushed.
func syncDir(string) error { return nil }
