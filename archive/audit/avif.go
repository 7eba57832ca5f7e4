//go:build nodynamic

package audit

// With it an AVIF in the tree is decoded and held against what is hidden. A
// program built without the tag cannot decode it, and so refuses it.
import _ "github.com/gen2brain/avif"
