package swap

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// exchange swaps the names of two folders in one step (renameat2).
func exchange(a, b string) error {
	return supported(unix.Renameat2(unix.AT_FDCWD, a, unix.AT_FDCWD, b, unix.RENAME_EXCHANGE))
}

// renameNew renames a to b, which must not exist.
func renameNew(a, b string) error {
	return supported(unix.Renameat2(unix.AT_FDCWD, a, unix.AT_FDCWD, b, unix.RENAME_NOREPLACE))
}

// supported marks what an old kernel or a foreign file system cannot do.
func supported(err error) error {
	if errors.Is(err, unix.ENOSYS) || errors.Is(err, unix.EINVAL) || errors.Is(err, unix.ENOTSUP) {
		return errUnsupported
	}
	return err
}

// syncTree puts all of dir on the disk, in one call for its file system.
func syncTree(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(unix.Syncfs(int(f.Fd())), f.Close())
}
