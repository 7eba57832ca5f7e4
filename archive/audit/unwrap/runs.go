package unwrap

import (
	"encoding/base64"
	"slices"
)

// Blob is bytes that were written as text.
type Blob struct {
	At    int // where in the text it begins
	Bytes []byte
	Form  string // in words
}

// Lengths a run must have to be decoded: characters of base64, bytes of
// hexadecimal, numbers of a list.
const (
	leastBase64 = 16
	leastHex    = 12
	leastList   = 12
)

// Runs gives what the runs of base64, hexadecimal and decimal numbers in a text
// stand for. Much of it is not meant so (a long word is base64, too): it is for
// looking for what is known, not for reading.
func Runs(text []byte) []Blob {
	return slices.Concat(base64Runs(text), hexRuns(text), listRuns(text))
}

// sextet is the value of each base64 character of either alphabet, with 1 added.
var sextet = func() (t [256]byte) {
	const alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/"
	for i := range len(alphabet) {
		t[alphabet[i]] = byte(i + 1)
	}
	t['-'], t['_'] = t['+'], t['/']
	return t
}()

func base64Runs(text []byte) []Blob {
	var out []Blob
	for i := 0; i < len(text); i++ {
		if sextet[text[i]] == 0 {
			continue
		}
		start := i
		run, end := base64Line(text, i)
		// A long one may go on over lines.
		for i = end; len(run) >= 48; i = end {
			next := resumes(text, i)
			if next < 0 {
				break
			}
			var more []byte
			more, end = base64Line(text, next)
			run = append(run[:len(run):len(run)], more...)
		}
		if len(run) >= leastBase64 {
			if b := fromBase64(run); b != nil {
				out = append(out, Blob{start, b, "in base64"})
			}
		}
	}
	return out
}

// base64Line gives the run of base64 characters from i on, a slash escaped as \/
// too, and where it ends.
func base64Line(text []byte, i int) (run []byte, end int) {
	from := i
	for i < len(text) {
		if sextet[text[i]] != 0 {
			i++
			continue
		}
		if text[i] != '\\' || i+1 >= len(text) || text[i+1] != '/' {
			break
		}
		run = append(run, text[from:i]...)
		i++
		from = i
	}
	if run == nil {
		return text[from:i], i
	}
	return append(run, text[from:i]...), i
}

// resumes gives the place after a line break at which base64 goes on; -1 if it
// does not.
func resumes(text []byte, i int) int {
	j := i
	if j+1 < len(text) && text[j] == '\\' && (text[j+1] == 'n' || text[j+1] == 'r') {
		j += 2
	}
	for j < len(text) && (text[j] == '\r' || text[j] == '\n' || text[j] == ' ' || text[j] == '\t') {
		j++
	}
	if j == i || j >= len(text) || sextet[text[j]] == 0 {
		return -1
	}
	return j
}

// fromBase64 decodes a run of base64 characters of either alphabet. An
// incomplete last group gives the bytes that are complete.
func fromBase64(run []byte) []byte {
	clean := make([]byte, len(run))
	for i, b := range run {
		switch b {
		case '-':
			b = '+'
		case '_':
			b = '/'
		}
		clean[i] = b
	}
	if len(clean)%4 == 1 {
		clean = clean[:len(clean)-1]
	}
	out := make([]byte, base64.RawStdEncoding.DecodedLen(len(clean)))
	n, err := base64.RawStdEncoding.Decode(out, clean)
	if err != nil {
		return nil
	}
	return out[:n]
}

// hexRuns takes pairs of digits, with or without one sign between the pairs.
func hexRuns(text []byte) []Blob {
	var out []Blob
	for i := 0; i < len(text); {
		if hexDigit(text[i]) < 0 {
			i++
			continue
		}
		start := i
		var run []byte
		for i+1 < len(text) {
			hi, lo := hexDigit(text[i]), hexDigit(text[i+1])
			if hi < 0 || lo < 0 {
				break
			}
			run = append(run, byte(hi<<4|lo))
			i += 2
			if i < len(text) && (text[i] == ' ' || text[i] == ':' || text[i] == '-') {
				i++
			}
		}
		if len(run) >= leastHex {
			out = append(out, Blob{start, run, "in hexadecimal"})
		}
		for i < len(text) && hexDigit(text[i]) >= 0 {
			i++
		}
	}
	return out
}

// listRuns takes numbers from 0 to 255 with commas between them.
func listRuns(text []byte) []Blob {
	var out []Blob
	var run []byte
	start := 0
	flush := func() {
		if len(run) >= leastList {
			out = append(out, Blob{start, run, "as a list of numbers"})
		}
		run = nil
	}
	for i := 0; i < len(text); {
		if text[i] < '0' || text[i] > '9' {
			i++
			continue
		}
		at, n := i, 0
		for i < len(text) && '0' <= text[i] && text[i] <= '9' {
			n = min(n*10+int(text[i]-'0'), 1000)
			i++
		}
		if n > 255 {
			flush()
			continue
		}
		if len(run) == 0 {
			start = at
		}
		run = append(run, byte(n))
		j := skipBlank(text, i)
		if j >= len(text) || text[j] != ',' {
			flush()
			continue
		}
		if i = skipBlank(text, j+1); i >= len(text) || text[i] < '0' || text[i] > '9' {
			flush()
		}
	}
	flush()
	return out
}

func skipBlank(text []byte, i int) int {
	for i < len(text) && (text[i] == ' ' || text[i] == '\t' || text[i] == '\r' || text[i] == '\n') {
		i++
	}
	return i
}
