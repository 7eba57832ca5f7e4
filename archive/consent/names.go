package consent

import (
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"sandarac/archive/record"
)

// PrivateNames are the names of people who may not be named in public on a day:
// sitters without consent to their name, guardians, and clients. A name that is
// also some sitter's consented name, or part of the studio's own name, credit
// or copyright (the photographer's), is not private.
func PrivateNames(a *record.Archive, day record.Date) []string {
	open := map[string]bool{}
	var private []string
	each := func(s *record.Sitter) {
		if Named(s, day) {
			open[fold(s.Name)] = true
		} else if s.Name != "" {
			private = append(private, s.Name)
		}
		if s.Guardian != "" {
			private = append(private, s.Guardian)
		}
	}
	for _, s := range a.Sitters {
		each(s)
	}
	for _, p := range a.Plates {
		for _, s := range p.Sitters {
			if s.Inline != nil {
				each(s.Inline)
			}
		}
	}
	for _, c := range a.Clients {
		if c.Name != "" {
			private = append(private, c.Name)
		}
	}
	own := " " + fold(strings.Join([]string{a.Studio.Name, a.Studio.Credit, a.Studio.Copyright}, " | ")) + " "
	private = slices.DeleteFunc(private, func(n string) bool {
		f := fold(n)
		return f == "" || open[f] || strings.Contains(own, " "+f+" ")
	})
	slices.Sort(private)
	return slices.Compact(private)
}

// privateTexts finds private names, and clients' addresses, in text.
func privateTexts(a *record.Archive, day record.Date) *names {
	list := PrivateNames(a, day)
	own := fold(a.Studio.Email)
	for _, c := range a.Clients {
		if f := fold(c.Email); f != "" && f != own {
			list = append(list, c.Email)
		}
	}
	return newNames(list)
}

// names finds private names in text.
type names struct {
	full   map[string]string // folded, of two words or more → as written
	single map[string]string // one word, as written: found only with its capital
}

func newNames(list []string) *names {
	n := &names{map[string]string{}, map[string]string{}}
	for _, name := range list {
		if f := fold(name); strings.Contains(f, " ") {
			n.full[" "+f+" "] = name
			n.full[" "+fold(unquoted.Replace(name))+" "] = name
		} else {
			n.single[norm.NFC.String(name)] = name
		}
	}
	return n
}

// in is a private name that stands in one of the texts as whole words, or "".
// A name of one word counts only as it is written, with its capital: a sitter
// called May does not hide the tag "may blossom".
func (n *names) in(texts []string) string {
	for _, t := range texts {
		if t == "" {
			continue
		}
		folded, joined := " "+fold(t)+" ", " "+fold(unquoted.Replace(t))+" "
		for f, name := range n.full {
			if strings.Contains(folded, f) || strings.Contains(joined, f) {
				return name
			}
		}
		for _, word := range strings.FieldsFunc(norm.NFC.String(t), func(r rune) bool {
			return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '-' && !unicode.IsMark(r)
		}) {
			if name, ok := n.single[word]; ok {
				return name
			}
		}
	}
	return ""
}

// unquoted joins what an apostrophe parts, so that O'Hara is found as OHara too;
// fold alone parts it, so that a possessive does not hide the name before it.
var unquoted = strings.NewReplacer("'", "", "’", "")

// fold is a text in lower case without marks, its words apart by one space.
func fold(s string) string {
	var b strings.Builder
	space := true
	for _, r := range norm.NFKD.String(s) {
		switch {
		case unicode.IsMark(r):
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			b.WriteRune(unicode.ToLower(r))
			space = false
		case !space:
			b.WriteByte(' ')
			space = true
		}
	}
	return strings.TrimSpace(b.String())
}
