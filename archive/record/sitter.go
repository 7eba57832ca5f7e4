package record

// Sitter is a person in a plate, and what they agreed to.
type Sitter struct {
	Source
	ID, Name string
	Consent  Consent
	Guardian string
}

// Consent is what one sitter agreed to. Whatever is not said is no.
type Consent struct {
	Portfolio, Name, Promotion bool
	Given, Until, Withdrawn    Date
	Minor                      bool
	Release                    string // a PLUS model release status; a record, not consent
}

// Releases are the PLUS model release status codes (PLUS vocabulary,
// http://ns.useplus.org/ldf/vocab/).
var Releases = []string{"MR-NON", "MR-NAP", "MR-UMR", "MR-LMR"}

func decodeSitter(d *decoder) *Sitter {
	s := &Sitter{}
	d.id("sitter", &s.ID)
	d.sitterKeys(s)
	return s
}

func (d *decoder) sitterKeys(s *Sitter) {
	d.text("name", &s.Name)
	d.text("guardian", &s.Guardian)
	d.group("consent", func(in *decoder) {
		c := &s.Consent
		in.truth("portfolio", &c.Portfolio)
		in.truth("name", &c.Name)
		in.truth("promotion", &c.Promotion)
		in.date("given", &c.Given)
		in.date("until", &c.Until)
		in.date("withdrawn", &c.Withdrawn)
		in.truth("minor", &c.Minor)
		in.oneOf("release", &c.Release, Releases...)
	})
}
