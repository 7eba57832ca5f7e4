// Package record reads the photographer's six kinds of record (studio, batch,
// client, sitter, plate, page): Markdown files whose front matter names the
// kind by its first key.
//
// In goes a folder; out come the records, each value with the line it stands
// on, and findings for whatever could not be read. Reading is strict (unknown
// keys, wrong types and wrong units are errors) and never stops: a broken
// record is marked Broken and the others are still read. Nothing is written.
//
// Only this package imports adrg/frontmatter. Its known faults are fenced in
// frontmatter.go: a byte-order mark, an unclosed block or JSON on one line read
// as "no front matter", and an indented delimiter inside a block text ends the
// block. The YAML and TOML inside are decoded here, not by it, because its
// decoders turn `no` into false and `012` into 10, and know no lines.
package record
