// Package swap is the one place where files and folders are written: each is
// replaced whole or not at all.
//
// What goes in is a path and bytes, or a folder that the caller has filled;
// what comes out is the old state or the new one, also when the process is
// killed or the power fails in between. A folder cannot be replaced by one
// rename everywhere, so [Begin] and [Recover] finish or undo on the next start
// what an earlier run left behind. The package also holds the archive's lock.
//
// It refuses to write through a symbolic link, to replace a folder that it did
// not make, and to overwrite with [CreateNew]. Errors are [*Error]: the path,
// why, and how to mend it.
//
// Only this package imports google/renameio (which is not built on Windows)
// and gofrs/flock.
package swap

// moment is called between any two steps that change the disk. The tests kill
// the process there.
var moment = func(string) {}
