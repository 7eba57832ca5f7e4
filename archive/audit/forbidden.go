package audit

// Forbidden is what must not be found in a tree, and what may be.
type Forbidden struct {
	Things []Thing
	// Open are the texts that are published: titles, alternative texts, tags,
	// names that may be shown, the studio's own. What they say is no leak.
	Open []string
	// OpenNames are those of them that may hold a private name in a longer one:
	// the names that may be shown and the studio's.
	OpenNames []string
	// Frame is what every site of the program says, whoever is in it: its markup,
	// scripts, style sheets and the parts of its addresses. A name or an id that
	// stands in it cannot be told from it where it stands in other text.
	Frame []string
	// Plain are texts whose words pages put together with numbers from what a
	// record says ("quarter plate, tintype, 2026", "exposed for 8 seconds"). Notes
	// and titles of such words alone are not told from that.
	Plain []string
	// Hidden and Shown are small pictures of the scans that may not and that may
	// be seen. A published picture must not be made from a hidden one; where the
	// two are much alike (a plate and its remake), the shown ones tell whose it is.
	Hidden, Shown []Picture
}

// Kind is the kind of a forbidden thing.
type Kind string

// The kinds of things.
const (
	Name   Kind = "name"   // of a person who may not be named
	Email  Kind = "email"  // of a client
	Note   Kind = "note"   // free text that is never public
	Title  Kind = "title"  // or alternative text of an unpublished plate
	Plate  Kind = "plate"  // id of an unpublished plate
	Person Kind = "person" // id of a client, or of a sitter who may not be named
	File   Kind = "file"   // name of a file of the archive
	Secret Kind = "secret" // bytes
)

// Thing is one thing that must not be found.
type Thing struct {
	Kind Kind
	Text string // as written; for a secret its bytes
	// What says what a secret is ("the key of a gallery"), since it is never
	// printed.
	What  string
	Plate string // id of the plate it belongs to, if it does
}

// Picture is a small picture of a scan, made by the studio itself: JPEG or PNG, of
// 200 pixels or more on the longer side.
type Picture struct {
	Plate string
	Path  string
}
