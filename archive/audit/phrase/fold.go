// Package phrase finds many phrases in text at once, however they are spelt:
// in any case, with or without accents, with any sign or space between the
// words. In go the phrases that are looked for and texts in which one of them
// may stand; out come the places.
//
// A text is cut into words (runs of letters and digits), each folded (NFKD,
// marks dropped, lower case, ligatures and strokes written out) and hashed, so
// that a phrase is a short run of numbers. It imports none of ours.
package phrase

import (
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// Words is a text cut into folded words.
type Words struct {
	Hash       []uint64
	Start, End []int32 // byte offsets of each word as written
}

// Cut replaces w by the words of text, which is at most 2 GiB long.
func (w *Words) Cut(text []byte) {
	w.Hash, w.Start, w.End = w.Hash[:0], w.Start[:0], w.End[:0]
	c := cutter{w: w}
	for i := 0; i < len(text); {
		b := text[i]
		if b < utf8.RuneSelf {
			c.ascii(b, i)
			i++
			continue
		}
		r, size := utf8.DecodeRune(text[i:])
		c.wide(r, i, size)
		i += size
	}
	c.close()
}

const (
	hashSeed  = 14695981039346656037
	hashPrime = 1099511628211
)

// cutter is the state between two letters; the hash is FNV-1a, mixed at the end.
type cutter struct {
	w          *Words
	open       bool
	hash       uint64
	start, end int
}

// lower holds, for each ASCII letter or digit, its folded form; else 0.
var lower = func() (t [utf8.RuneSelf]byte) {
	for b := byte('0'); b <= '9'; b++ {
		t[b] = b
	}
	for b := byte('a'); b <= 'z'; b++ {
		t[b], t[b-'a'+'A'] = b, b
	}
	return t
}()

func (c *cutter) ascii(b byte, at int) {
	if folded := lower[b]; folded != 0 {
		c.add(folded, at, 1)
		return
	}
	c.close()
}

// wide takes a rune outside ASCII: its folded form may be several letters, none
// (a mark), or a break.
func (c *cutter) wide(r rune, at, size int) {
	if ignorable(r) {
		return
	}
	for _, f := range foldRune(r) {
		switch {
		case unicode.IsMark(f):
		case unicode.IsLetter(f) || unicode.IsNumber(f):
			var buf [utf8.UTFMax]byte
			for _, b := range buf[:utf8.EncodeRune(buf[:], f)] {
				c.add(b, at, size)
			}
		default:
			c.close()
		}
	}
}

func (c *cutter) add(b byte, at, size int) {
	if !c.open {
		c.open, c.hash, c.start = true, hashSeed, at
	}
	c.hash = (c.hash ^ uint64(b)) * hashPrime
	c.end = at + size
}

func (c *cutter) close() {
	if !c.open {
		return
	}
	c.open = false
	c.w.Hash = append(c.w.Hash, mix(c.hash))
	c.w.Start = append(c.w.Start, int32(c.start))
	c.w.End = append(c.w.End, int32(c.end))
}

// mix spreads a hash over all its bits (the finaliser of MurmurHash3, Appleby).
func mix(h uint64) uint64 {
	h ^= h >> 33
	h *= 0xff51afd7ed558ccd
	h ^= h >> 33
	h *= 0xc4ceb9fe1a85ec53
	return h ^ h>>33
}

// ignorable are signs that do not show, inside a word or out of it: soft
// hyphen, zero-width spaces and joiners, word joiner, byte-order mark.
func ignorable(r rune) bool {
	switch r {
	case 0x00AD, 0x200B, 0x200C, 0x200D, 0x2060, 0xFEFF:
		return true
	}
	return false
}

// strokes are letters that Unicode does not decompose although people type the
// plain ones for them.
var strokes = map[rune]string{
	'ß': "ss", 'ẞ': "ss", 'æ': "ae", 'Æ': "ae", 'œ': "oe", 'Œ': "oe", 'ø': "o", 'Ø': "o", 'ł': "l", 'Ł': "l",
	'đ': "d", 'Đ': "d", 'ð': "d", 'Ð': "d", 'þ': "th", 'Þ': "th", 'ħ': "h", 'Ħ': "h", 'ŧ': "t", 'Ŧ': "t", 'ı': "i", 'ς': "σ",
}

// known holds the folded form of the common scripts' runes, made once.
var known = func() []string {
	t := make([]string, 0x2000)
	for r := range rune(len(t)) {
		t[r] = foldSlow(r)
	}
	return t
}()

func foldRune(r rune) string {
	if int(r) < len(known) {
		return known[r]
	}
	return foldSlow(r)
}

func foldSlow(r rune) string {
	if s, ok := strokes[r]; ok {
		return s
	}
	out := []rune(norm.NFKD.String(string(r)))
	for i, f := range out {
		out[i] = unicode.ToLower(f)
	}
	return string(out)
}

// Fold gives the words of text in folded form.
func Fold(text string) []string {
	var words []string
	var word []byte
	flush := func() {
		if len(word) > 0 {
			words = append(words, string(word))
			word = word[:0]
		}
	}
	for _, r := range text {
		if ignorable(r) {
			continue
		}
		for _, f := range foldRune(r) {
			switch {
			case unicode.IsMark(f):
			case unicode.IsLetter(f) || unicode.IsNumber(f):
				word = utf8.AppendRune(word, f)
			default:
				flush()
			}
		}
	}
	flush()
	return words
}

// hashWord is the hash Cut gives a folded word.
func hashWord(folded string) uint64 {
	h := uint64(hashSeed)
	for i := range len(folded) {
		h = (h ^ uint64(folded[i])) * hashPrime
	}
	return mix(h)
}

// Hashes gives the words of text as hashes.
func Hashes(text string) []uint64 {
	var w Words
	w.Cut([]byte(text))
	return w.Hash
}
