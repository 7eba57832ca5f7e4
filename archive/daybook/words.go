package daybook

import (
	"strings"

	"sandarac/archive/record"
)

// Words are what is read aloud to a sitter, one question for each thing they may
// agree to. Silence is a no.
type Words struct {
	Before    string `json:"before"`
	Portfolio string `json:"portfolio"`
	Name      string `json:"name"`
	Promotion string `json:"promotion"`
	Guardian  string `json:"guardian"`
	After     string `json:"after"`
	Yes       string `json:"yes"`
	No        string `json:"no"`
}

// Caution goes with every form of consent.
const Caution = "Rules on pictures of people, and of children above all, differ from place to place. This record is not legal advice and does not replace it."

// ConsentWords are the words in the language of the studio's sites.
func ConsentWords(language string) Words {
	if language == "de" {
		return Words{
			Before:    "Auf dieser Platte sind Sie zu sehen. Sie bestimmen, was mit dem Bild geschieht. Wozu Sie nicht Ja sagen, das tun wir nicht.",
			Portfolio: "Dürfen wir das Bild auf unserer öffentlichen Seite im Netz zeigen, wo es jeder sehen kann?",
			Name:      "Dürfen wir Ihren Namen dazuschreiben?",
			Promotion: "Darf das Bild für das Studio werben, in Vorschauen, Ankündigungen und Anzeigen?",
			Guardian:  "Bei Minderjährigen entscheidet eine erziehungsberechtigte Person mit und unterschreibt.",
			After:     "Sie können es sich jederzeit anders überlegen. Dann nehmen wir das Bild mit der nächsten Aktualisierung herunter. Was andere bis dahin kopiert haben, können wir nicht zurückholen.",
			Yes:       "Ja", No: "Nein",
		}
	}
	return Words{
		Before:    "You are in this plate, and you decide what happens with the picture. What you do not say yes to, we do not do.",
		Portfolio: "May we show the picture on our public website, where anybody can see it?",
		Name:      "May we put your name beside it?",
		Promotion: "May the picture speak for the studio, in previews, announcements and advertising?",
		Guardian:  "For somebody under age, a parent or guardian decides with them and signs.",
		After:     "You can change your mind at any time. Then we take the picture down with the next update. Copies that others have made by then we cannot call back.",
		Yes:       "Yes", No: "No",
	}
}

// statement is what was read aloud and answered, for the private file.
func (w Words) statement(c record.Consent) []string {
	answer := func(question string, yes bool) string {
		if yes {
			return question + " — " + w.Yes
		}
		return question + " — " + w.No
	}
	out := []string{w.Before, answer(w.Portfolio, c.Portfolio), answer(w.Name, c.Name), answer(w.Promotion, c.Promotion)}
	if c.Minor {
		out = append(out, w.Guardian)
	}
	return append(out, w.After)
}

// slug is a sitter's id from a name: small letters, digits and dashes.
func slug(name string) string {
	var b strings.Builder
	for _, c := range strings.ToLower(name) {
		if plain, ok := plainLetters[c]; ok {
			b.WriteString(plain)
			continue
		}
		switch {
		case c >= 'a' && c <= 'z' || c >= '0' && c <= '9':
			b.WriteRune(c)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	s := strings.Trim(b.String(), "-")
	if len(s) > 60 {
		s = strings.TrimRight(s[:60], "-")
	}
	if s == "" {
		s = "sitter"
	}
	return s
}

var plainLetters = func() map[rune]string {
	out := map[rune]string{'ß': "ss", 'æ': "ae", 'ø': "o", 'œ': "oe", 'ð': "d", 'þ': "th", 'ł': "l", 'ä': "ae", 'ö': "oe", 'ü': "ue"}
	for plain, marked := range map[string]string{"a": "áàâãåāă", "c": "çćč", "d": "ď", "e": "éèêëēěę", "i": "íìîïī", "n": "ñńň", "o": "óòôõōő", "r": "řŕ", "s": "śšş", "t": "ťţ", "u": "úùûūůű", "y": "ýÿ", "z": "źžż"} {
		for _, c := range marked {
			out[c] = plain
		}
	}
	return out
}()
