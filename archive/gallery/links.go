package gallery

import (
	"fmt"
	"net/url"
	"strings"

	"sandarac/archive/consent"
	"sandarac/archive/seal"
)

// Folder is the folder of the galleries in the public site.
const Folder = "g"

// Link is a client's link and the state of their gallery, as `galleries --json`
// prints it. Anyone who has URL, and the passphrase if there is one, can see
// the gallery.
type Link struct {
	Client     string  `json:"client"`
	URL        string  `json:"url"`
	Generation int     `json:"generation"`
	Until      *string `json:"until"` // YYYY-MM-DD, or null
	State      string  `json:"state"` // open, ended or empty
	Plates     int     `json:"plates"`
	Passphrase string  `json:"passphrase,omitempty"`
}

// Links gives the link of every gallery, in the order given. base is the
// address of the public site.
func Links(galleries []consent.Gallery, secret seal.Secret, base string) ([]Link, error) {
	u, err := url.Parse(base)
	if err != nil || u.Host == "" || (u.Scheme != "https" && u.Scheme != "http") {
		return nil, fmt.Errorf("links of galleries: the studio's url is %q; accepted is an absolute address such as https://example.org/plates/", base)
	}
	out := make([]Link, 0, len(galleries))
	for _, g := range galleries {
		keys, err := seal.NewGallery(secret, g.ClientID, g.Generation)
		if err != nil {
			return nil, fmt.Errorf("link of client %s: %w", g.ClientID, err)
		}
		l := Link{
			Client: g.ClientID, Generation: g.Generation, State: g.State, Plates: g.Held,
			URL: strings.TrimSuffix(base, "/") + "/" + Folder + "/" + keys.Name() + "/#" + keys.Fragment(),
		}
		if !g.Until.IsZero() {
			until := g.Until.String()
			l.Until = &until
		}
		if g.PassphraseRequired {
			if l.Passphrase, err = seal.Passphrase(secret, g.ClientID, g.Generation); err != nil {
				return nil, fmt.Errorf("passphrase of client %s: %w", g.ClientID, err)
			}
		}
		out = append(out, l)
	}
	return out, nil
}
