package benchbook

import (
	"fmt"

	"sandarac/archive/care"
	"sandarac/archive/record"
)

// cardView is the card that leaves with a plate. It holds the client's name only
// if the studio asks for that: it lies on the outside.
type cardView struct {
	Plate  string   `json:"plate"`
	For    string   `json:"for"` // the client's name, or ""
	Day    string   `json:"day"`
	What   string   `json:"what"`
	Cure   string   `json:"cure"`
	Ready  string   `json:"ready"` // date and time; empty when not varnished
	Care   []string `json:"care"`
	QR     *qrView  `json:"qr"`
	Link   string   `json:"link"`
	Asks   bool     `json:"asks"` // the gallery asks for a passphrase
	Until  string   `json:"until"`
	NoLink string   `json:"nolink"`
}

// cardsView is a page of cards, six to a sheet of paper.
type cardsView struct {
	Studio string     `json:"studio"`
	Email  string     `json:"email"`
	Cards  []cardView `json:"cards"`
	Named  bool       `json:"named"` // the cards bear clients' names
	Turn   turn       `json:"turn"`
	Back   said       `json:"back"`
}

// careLines is how many lines of care a card bears, the studio's own among
// them.
const careLines = 7

func (s *stage) card(p *record.Plate) (cardView, error) {
	v := cardView{Plate: p.ID, Day: "not noted"}
	if !p.Made.IsZero() {
		v.Day = p.Made.Format("Monday 2 January 2006")
	}
	v.What = capital(joinedWith(noEmpty(spelled(p.Support), p.Format.Name), ", "))
	if c, ok := s.Archive.Clients[p.Client]; ok && s.Archive.Studio.CardsNameClient && !c.Broken {
		v.For = oneLine(c.Name)
	}
	clock := s.clock(p)
	if !clock.Ready.IsZero() {
		v.Ready = clock.Ready.Format("Monday 2 January 2006, 15:04")
		v.Cure = fmt.Sprintf("Varnish cures for %s hours.", upTo(clock.Hours, 1))
	} else {
		v.Cure = "Not varnished when this was printed."
	}
	lines := care.CardLines(p.Support, !p.Varnished.IsZero(), s.Archive.Studio.Care)
	for _, l := range lines[:min(len(lines), careLines)] {
		v.Care = append(v.Care, oneLine(l))
	}
	return v, s.addLink(&v, p)
}

// code is newQR, once for a link: a client's cards all bear the same one, and a
// code takes milliseconds.
func (s *stage) code(link string) (*qrView, error) {
	if known, ok := s.codes[link]; ok {
		return known, nil
	}
	code, err := newQR(link)
	if err == nil {
		s.codes[link] = code
	}
	return code, err
}

// addLink puts the gallery's address on the card, if it is open.
func (s *stage) addLink(v *cardView, p *record.Plate) error {
	l, ok := s.link(p.Client)
	if !ok || l.State != "open" || p.Broken || p.Client == "" {
		return nil
	}
	code, err := s.code(l.URL)
	if err != nil {
		v.NoLink = capital(err.Error()) + "."
		code = nil
	}
	v.QR, v.Link, v.Asks = code, l.URL, l.Passphrase != ""
	if l.Until != nil {
		if d, err := record.ParseDate(*l.Until); err == nil {
			v.Until = dayWords(d)
		}
	}
	return nil
}
