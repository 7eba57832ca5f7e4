//go:build unix

package scan

import (
	"os"
	"syscall"
)

// openFile opens without following a link and without waiting on a pipe.
func openFile(path string) (*os.File, error) {
	return os.OpenFile(path, os.O_RDONLY|syscall.O_NOFOLLOW|syscall.O_NONBLOCK, 0)
}
