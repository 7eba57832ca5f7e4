package swap

import (
	"errors"

	"golang.org/x/sys/windows"
)

// reason puts the system's error numbers into words; empty if it has none.
func reason(err error) (why, mend string) {
	var number windows.Errno
	if !errors.As(err, &number) {
		return "", ""
	}
	switch number {
	case windows.ERROR_DISK_FULL, windows.ERROR_HANDLE_DISK_FULL:
		return "the disk is full", "free some space and run it again; what was there before is unchanged"
	case windows.ERROR_DISK_QUOTA_EXCEEDED:
		return "your share of the disk is used up", "free some space or ask for more; what was there before is unchanged"
	case windows.ERROR_WRITE_PROTECT:
		return "the disk is read-only", "use a disk that can be written, or take off its write protection"
	case windows.ERROR_SHARING_VIOLATION, windows.ERROR_LOCK_VIOLATION:
		return "another program has a file in it open", "close that program and run it again"
	case windows.ERROR_NOT_SAME_DEVICE:
		return "it lies on another disk than the folder beside it", "name a folder that is not itself a mounted disk"
	case windows.ERROR_FILENAME_EXCED_RANGE:
		return "the name is too long for this disk", "use a shorter name"
	case windows.ERROR_CRC:
		return "the disk reports a fault", "check the disk and its cable before anything else"
	}
	return "", ""
}

// busy says that somebody has it open. Windows says of a folder in which a file
// is open that access is denied.
func busy(err error) bool {
	return errors.Is(err, windows.ERROR_SHARING_VIOLATION) || errors.Is(err, windows.ERROR_LOCK_VIOLATION) || errors.Is(err, windows.ERROR_ACCESS_DENIED)
}
