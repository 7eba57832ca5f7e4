// Package gallery makes each client's private folder g/<name>/ of the public
// site: one page, the same for all, and sealed files that only the holder of
// the link can read.
//
// In go consent.Gallery views, the pictures made for them, and the archive's
// secret; out come, in the finished tree, index.html, list.bin and pictures
// under names that say nothing. Nothing readable of a gallery is written.
//
// What it refuses: to seal without the page that Hugo rendered, and to seal
// over files that are there already. A plate of which a picture is missing is
// left out whole and named in Sealed.Left. A gallery without plates, or past
// its last day, has no folder.
//
// The same records, pictures and secret give the same bytes, whatever the day:
// the list carries no date of building but the day of the newest plate in it.
//
// How the parts follow each other: Jobs says which pictures are needed; Stage
// puts the page's template and scripts into the project of the public site;
// Hugo renders it to g/page/; Seal copies it into each gallery and seals.
package gallery
