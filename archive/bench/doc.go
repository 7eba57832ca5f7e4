// Package bench serves the built sites to the machine they were built on, and
// watches the archive for changes.
//
// It listens on loopback only, answers only requests that name a loopback host
// (a page elsewhere that points its own name at this machine gets nothing),
// only reads, and only below the folder it was given. Slow clients and large
// requests are cut off.
package bench
