package portfolio

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base32"
	"strconv"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"sandarac/archive/hugo"
)

// tokenBits: 80 bits, sixteen characters, keep the names of ten million plates
// apart and cannot be tried through.
const tokenLength = 16

var tokenAlphabet = base32.NewEncoding("abcdefghijkmnpqrstuvwxyz23456789").WithPadding(base32.NoPadding)

// token is a name that only the holder of the secret can work out: the first
// 80 bits of HMAC-SHA-256 over the kind and the parts, each with its length in
// front, in letters and digits as IIIF asks of identifiers.
func token(secret []byte, kind string, parts ...string) string {
	mac := hmac.New(sha256.New, secret)
	for _, p := range append([]string{"sandarac portfolio " + kind}, parts...) {
		mac.Write([]byte(strconv.Itoa(len(p)) + ":" + p))
	}
	return tokenAlphabet.EncodeToString(mac.Sum(nil))[:tokenLength]
}

// slugLength is where a readable address is cut.
const slugLength = 48

// slug is the readable part of an address: lower-case ASCII letters and digits
// with single hyphens. Marks are dropped; what has no ASCII form is left out,
// so it can be empty.
func slug(text string) string {
	var b strings.Builder
	gap := false
	for _, r := range norm.NFKD.String(foldLetters.Replace(text)) {
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

// foldLetters spells out letters that decomposition leaves alone.
var foldLetters = strings.NewReplacer("ß", "ss", "Æ", "Ae", "æ", "ae", "Ø", "O", "ø", "o", "Œ", "Oe", "œ", "oe",
	"Ł", "L", "ł", "l", "Đ", "D", "đ", "d", "Þ", "Th", "þ", "th", "ð", "d", "ı", "i")

// termSlugs gives each of the words a slug of its own, in a stable way: two
// words that fold alike are told apart by a token.
func termSlugs(secret []byte, kind string, words []string) map[string]string {
	count := map[string]int{}
	for _, w := range words {
		count[slug(w)]++
	}
	out := map[string]string{}
	for _, w := range words {
		s := slug(w)
		if count[s] > 1 || hugo.Taken(s) {
			s = strings.Trim(s+"-"+token(secret, kind, w)[:8], "-")
		}
		out[w] = s
	}
	return out
}
