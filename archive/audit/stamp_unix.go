//go:build unix

package audit

import (
	"fmt"
	"io/fs"
	"syscall"
)

// stampOf names the state of a file on disk: the same stamp is the same content.
// Pictures are linked from one cache into every build and keep it.
func stampOf(info fs.FileInfo) string {
	stat, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return ""
	}
	return fmt.Sprintf("%d:%d:%d:%d", stat.Dev, stat.Ino, info.Size(), info.ModTime().UnixNano())
}
