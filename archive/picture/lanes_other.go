//go:build !amd64

package picture

// addWide is there for processors with wide registers.
func addWide([]uint64, []uint64, *[4]tap, bool) int { return 0 }
