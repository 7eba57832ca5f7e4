package chemistry

// Kind is which solution of the process a batch is.
type Kind string

const (
	Collodion Kind = "collodion"
	Bath      Kind = "bath"
	Developer Kind = "developer"
	Fixer     Kind = "fixer"
	Varnish   Kind = "varnish"
)

// Kinds in the order they meet a plate.
func Kinds() []Kind { return []Kind{Collodion, Bath, Developer, Fixer, Varnish} }
