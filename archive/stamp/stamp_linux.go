package stamp

import (
	"io/fs"
	"syscall"
)

// beyond gives the time at which anything of a file last changed, which no program
// can set, and its inode.
func beyond(info fs.FileInfo) (touched int64, inode uint64) {
	if s, ok := info.Sys().(*syscall.Stat_t); ok {
		return s.Ctim.Nano(), s.Ino
	}
	return 0, 0
}
