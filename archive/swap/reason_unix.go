//go:build unix

package swap

import (
	"errors"
	"syscall"
)

// reason puts the system's error numbers into words; empty if it has none.
func reason(err error) (why, mend string) {
	var number syscall.Errno
	if !errors.As(err, &number) {
		return "", ""
	}
	switch number {
	case syscall.ENOSPC:
		return "the disk is full", "free some space and run it again; what was there before is unchanged"
	case syscall.EDQUOT:
		return "your share of the disk is used up", "free some space or ask for more; what was there before is unchanged"
	case syscall.EFBIG:
		return "the file is larger than this disk or account allows", "use another disk; what was there before is unchanged"
	case syscall.EROFS:
		return "the disk is read-only", "use a disk that can be written, or take off its write protection"
	case syscall.EBUSY:
		return "it is in use, or it is where a disk is mounted", "name a folder inside it instead"
	case syscall.EXDEV:
		return "it lies on another disk than the folder beside it", "name a folder that is not itself a mounted disk"
	case syscall.ENAMETOOLONG:
		return "the name is too long for this disk", "use a shorter name"
	case syscall.ENOTDIR:
		return "part of the path is a file, not a folder", "check the path"
	case syscall.EIO:
		return "the disk reports a fault", "check the disk and its cable before anything else"
	}
	return "", ""
}

// busy is never the reason here: what is open can be renamed.
func busy(error) bool { return false }
