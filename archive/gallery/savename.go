package gallery

import (
	"strconv"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// longest is the length of a saved file's name in runes, without its ending.
const longest = 60

// saveName makes a file name, without its ending, that every system takes: the
// letters and digits of s in lower case with hyphens between.
func saveName(s, otherwise string) string {
	var b strings.Builder
	runes, gap := 0, false
	for _, r := range norm.NFC.String(s) {
		if runes == longest {
			break
		}
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r) {
			gap = b.Len() > 0
			continue
		}
		if gap {
			if runes+2 > longest {
				break
			}
			b.WriteByte('-')
			runes++
		}
		b.WriteRune(unicode.ToLower(r))
		runes, gap = runes+1, false
	}
	if b.Len() == 0 {
		return otherwise
	}
	return b.String()
}

// saveNames keeps the names of one gallery apart.
type saveNames map[string]bool

func (n saveNames) take(base string) string {
	name := base
	for i := 2; n[name]; i++ {
		name = base + "-" + strconv.Itoa(i)
	}
	n[name] = true
	return name
}
