// Package intake turns the spreadsheet that a photographer kept for years into
// records.
//
// In goes a sheet.Table and a Mapping: which column is which key of the record,
// in which unit, with which words. Propose makes the mapping from headings and
// cells; the photographer reads and changes it in a small YAML file. Out comes a
// Plan: what each row becomes, what is kept as an own key because the archive
// has no record of that name, and what cannot be read. What can be meant in two
// ways (3/5/2026, 1,250, an ounce) is asked, never guessed. Consent is never
// taken from a spreadsheet: a person in one agreed to nothing yet.
//
// It imports goccy/go-yaml for the mapping's file, which people edit, so that
// lines can be told; record does so for the same reason.
package intake
