package swap

import (
	"errors"

	"golang.org/x/sys/unix"
)

// exchange swaps the names of two folders in one step (renamex_np).
func exchange(a, b string) error { return supported(unix.RenamexNp(a, b, unix.RENAME_SWAP)) }

// renameNew renames a to b, which must not exist.
func renameNew(a, b string) error { return supported(unix.RenamexNp(a, b, unix.RENAME_EXCL)) }

// supported marks what a foreign file system cannot do.
func supported(err error) error {
	if errors.Is(err, unix.ENOTSUP) || errors.Is(err, unix.EINVAL) || errors.Is(err, unix.ENOSYS) {
		return errUnsupported
	}
	return err
}
