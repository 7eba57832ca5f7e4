package swap

import (
	"os"
	"time"
)

// Rename is os.Rename, patient with what others hold open for a moment: on
// Windows nothing that is open can be renamed, and programs that search disks or
// look for viruses open whatever is new.
func Rename(from, to string) error {
	return patiently(func() error { return os.Rename(from, to) }, busy, firstWait)
}

// firstWait doubles from try to try: five seconds in all.
const firstWait = 20 * time.Millisecond

// patiently does something until it works, fails for another reason than that
// somebody is at it, or has failed for that reason often enough.
func patiently(do func() error, busy func(error) bool, wait time.Duration) error {
	const tries = 9
	for try := 1; ; try++ {
		err := do()
		if err == nil || !busy(err) || try == tries {
			return err
		}
		time.Sleep(wait)
		wait *= 2
	}
}
