// Package bench serves what the studio uses on its own machine: the built sites,
// and the form by which plates are logged at the bench.
//
// Site serves a built site on loopback only, answers only requests that name a
// loopback host (a page elsewhere that points its own name at this machine gets
// nothing), only reads, and only below the folder it was given. Watch tells when
// the archive changed.
//
// Form is a page for phone and tablet. Its entries become records through a
// Logbook, each once, however often a device sends it and wherever the server
// dies (package journal). The form makes files and never writes over one. What is
// known later of a plate (its varnish, how it was judged) goes into its record in
// place, and only while that holds what the device showed: an edit by hand
// meanwhile stands, and the device is told. It is on loopback; with LAN also on
// the machine's own networks, to devices that know the code on the terminal. The
// connection is plain HTTP, and page and terminal say so. The page's files are in
// templates/benchform; what they ask of the server is in form.go.
//
// What the form takes: an entry's id is made on the device. A plate comes as
// values by key of the plate record, with who is in it; consent comes with the
// answers and a signature, which becomes a private file; a picture comes after
// its plate and stands for it until there is a scan. What may not become a record
// is refused with the reason, and stays on the device to be mended.
//
// Events is the studio's calendar. Slow clients and large requests are cut off.
package bench
