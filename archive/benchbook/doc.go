// Package benchbook stages the bench book: the second site, which is private,
// stays on the studio's machine and shows everything the archive holds.
//
// In go the records, what check found, the analysis, the pictures and the links
// of the galleries; out comes a project that Hugo turns into pages: every plate,
// rejects and broken ones too, every batch with its recipe and its cautions, the
// numbers, and the papers to print. Pictures are not passed through Hugo:
// Staged.Copies lists them.
//
// Whatever a person wrote is data: it travels as front matter under params and
// is escaped by the layouts; notes are Markdown whose raw HTML, remote pictures
// and template braces do nothing. No page grows with the archive: lists go on
// over further pages. Links of galleries stand on the client list and on the
// envelope cards, and nowhere else; the archive's secret is never asked for.
//
// Numbers come from analysis, stats, exposure and chemistry; this package puts
// them into words and drawings. It alone imports boombuler/barcode, for the
// matrix of a QR code, which it draws itself.
package benchbook
