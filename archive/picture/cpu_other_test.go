//go:build !unix

package picture

import "time"

// cpuTime is not known here.
func cpuTime() time.Duration { return 0 }
