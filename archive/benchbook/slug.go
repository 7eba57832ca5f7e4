package benchbook

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"sandarac/archive/hugo"
)

// slugLength is where a readable address is cut.
const slugLength = 48

// slug is the readable part of an address: lower-case ASCII letters and digits
// with single hyphens. It can be empty.
func slug(text string) string {
	var b strings.Builder
	gap := false
	for _, r := range norm.NFKD.String(text) {
		switch {
		case unicode.IsMark(r) || r == '\'' || r == '’':
		case r < unicode.MaxASCII && (unicode.IsLetter(r) || unicode.IsDigit(r)):
			if gap && b.Len() > 0 {
				b.WriteByte('-')
			}
			gap = false
			b.WriteRune(unicode.ToLower(r))
		default:
			gap = true
		}
		if b.Len() >= slugLength {
			break
		}
	}
	return strings.Trim(b.String(), "-")
}

// slugs gives each of the keys an address of its own. Hugo makes one page of
// two addresses that differ in case alone, so what folds alike is told apart by
// a few digits of the key's sum; name is what the address is read from.
func slugs[K comparable](keys []K, name, distinct func(K) string) map[K]string {
	count := map[string]int{}
	for _, k := range keys {
		count[slug(name(k))]++
	}
	out := map[K]string{}
	for _, k := range keys {
		s := slug(name(k))
		if count[s] > 1 || hugo.Taken(s) {
			sum := sha256.Sum256([]byte(distinct(k)))
			s = strings.Trim(s+"-"+hex.EncodeToString(sum[:5]), "-")
		}
		out[k] = s
	}
	return out
}

func itself(s string) string { return s }
