//go:build !unix

package scan

import "os"

// openFile opens for reading; the caller has looked with Lstat and compares.
func openFile(path string) (*os.File, error) { return os.Open(path) }
