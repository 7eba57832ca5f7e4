// Package sheet turns the bytes of a spreadsheet's text export into a table, and
// a table into bytes that a spreadsheet may open without harm. It knows no
// plates.
//
// Reading finds out the encoding (UTF-8, UTF-16, else Windows-1252, of which
// Latin-1 is a part), the sign between cells, and the header; it bounds rows,
// columns and cells, and lists the rows that it cannot read instead of guessing
// at them. Writing quotes every cell and takes the power from cells that a
// spreadsheet would run as formulas; reading gives it back.
package sheet
