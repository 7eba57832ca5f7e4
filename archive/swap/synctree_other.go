//go:build !linux

package swap

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// syncTree puts every file below dir, and every name, on the disk.
func syncTree(dir string) error {
	return filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() {
			return syncDir(path)
		}
		if !entry.Type().IsRegular() {
			return nil
		}
		// Windows flushes only what is open for writing.
		f, err := os.OpenFile(path, os.O_RDWR, 0)
		if errors.Is(err, fs.ErrPermission) {
			return nil
		}
		if err != nil {
			return err
		}
		return errors.Join(f.Sync(), f.Close())
	})
}
