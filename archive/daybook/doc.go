// Package daybook writes plate records: from a folder of scans, from settings
// typed at the desk, from the form at the bench, from a spreadsheet.
//
// In go values as people write them, each for a key of the plate record; out
// comes a sidecar that record reads and check finds no fault with, or a Refusal
// that says which key, what was found and what is accepted. Plate ids follow
// the studio's pattern. A new plate carries over what the last one of its
// session had, but never who is in it or whose it is: a plate that shows the
// wrong person, or goes to the wrong client, is worse than one typed line.
//
// Nothing is overwritten: sidecars are made with swap.CreateNew, and what is
// there already is left alone. Masters are only read.
package daybook
