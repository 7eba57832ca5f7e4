// Package plates holds the demo archive: one season of an invented studio on a canal barge, with invented people and
// pictures that cmd/paintplates draws. The archive lies under "archive"; fs.Sub(plates.FS, "archive") is its root.
package plates

import "embed"

// FS is the demo archive as it is on disk.
//
//go:embed all:archive
var FS embed.FS
