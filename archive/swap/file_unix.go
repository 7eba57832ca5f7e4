//go:build unix

package swap

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	"github.com/google/renameio/v2"
)

// replaceFile writes a temporary file in the same folder, syncs it and renames
// it over path. The folder itself is synced by the caller.
func replaceFile(path string, data []byte, mode fs.FileMode) error {
	options := []renameio.Option{renameio.WithTempDir(filepath.Dir(path))}
	if mode&0o077 == 0 {
		options = append(options, renameio.WithStaticPermissions(mode))
	} else {
		options = append(options, renameio.WithPermissions(mode), renameio.WithExistingPermissions())
	}
	pending, err := renameio.NewPendingFile(path, options...)
	if err != nil {
		return err
	}
	defer pending.Cleanup()
	moment("pending made")
	if _, err := pending.Write(data); err != nil {
		return err
	}
	moment("pending filled")
	if err := pending.CloseAtomicallyReplace(); err != nil {
		return err
	}
	moment("pending renamed")
	return nil
}

// settle gives draft the name path if nothing has it: by a hard link, which
// never overwrites, or on a disk without links by a rename that does not.
func settle(draft, path string) error {
	err := os.Link(draft, path)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	if renameErr := renameNew(draft, path); !errors.Is(renameErr, errUnsupported) {
		return renameErr
	}
	return err
}

// setMode sets mode as creating the file with it would have done.
func setMode(f *os.File, mode fs.FileMode) error { return f.Chmod(mode &^ umask) }

// umask is read once, at start: reading it means setting it, for all threads.
var umask = func() fs.FileMode {
	old := syscall.Umask(0o077)
	syscall.Umask(old)
	return fs.FileMode(old).Perm()
}()

// syncDir makes the names in dir last through a loss of power.
func syncDir(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	err = f.Sync()
	// Some network file systems cannot sync a folder; they have done what they can.
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, syscall.ENOTSUP) {
		err = nil
	}
	return errors.Join(err, f.Close())
}
