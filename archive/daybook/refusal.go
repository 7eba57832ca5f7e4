package daybook

import (
	"fmt"
	"strings"
)

// Refusal is a value that a record may not hold.
type Refusal struct {
	Key      string `json:"key"`
	Found    string `json:"found"`
	Accepted string `json:"accepted"`
}

func (r *Refusal) Error() string {
	return fmt.Sprintf("%s is “%s”; accepted: %s", r.Key, r.Found, r.Accepted)
}

func refuse(key, found, accepted string) error {
	return &Refusal{Key: key, Found: Clip(found), Accepted: accepted}
}

// Clip keeps a message readable when a value is not: one line, 60 characters.
func Clip(s string) string {
	const most = 60
	if len(s) > 8*most {
		s = s[:8*most] // runes are cut below; this only bounds the work
	}
	r := []rune(strings.ToValidUTF8(s, "�"))
	for i, c := range r {
		if c < ' ' || c == 0x7f || (c >= 0x80 && c < 0xa0) || (c >= 0x202a && c <= 0x202e) || (c >= 0x2066 && c <= 0x2069) {
			r[i] = ' '
		}
	}
	if len(r) > most {
		return string(r[:most]) + "…"
	}
	return string(r)
}
