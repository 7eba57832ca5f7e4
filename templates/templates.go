// Package templates holds what the sites are made of: Hugo layouts, words,
// style sheets and scripts, embedded in the program.
package templates

import "embed"

// Files holds the folders of the sites and what they share.
//
//go:embed all:portfolio all:gallery all:benchbook all:benchform all:shared
var Files embed.FS
