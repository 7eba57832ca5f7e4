package substance

import (
	"fmt"
	"strings"
)

// Atoms counts the atoms of a formula by element.
type Atoms map[string]int

// Mass returns the molar mass in g/mol.
func (a Atoms) Mass() float64 {
	sum := 0.0
	for element, n := range a {
		sum += float64(n) * atomicWeights[element]
	}
	return sum
}

// ParseFormula reads a formula such as "AgNO3", "(C2H5)2O" or "FeSO4·7H2O". A
// raised dot (or an asterisk) joins water of crystallisation, with its number
// in front. It fails on an element without an atomic weight here.
func ParseFormula(formula string) (Atoms, error) {
	total := Atoms{}
	for part := range strings.SplitSeq(strings.ReplaceAll(formula, "*", "·"), "·") {
		times, rest := count(part)
		atoms, rest, err := group(rest)
		if err != nil {
			return nil, fmt.Errorf("formula %q: %w", formula, err)
		}
		if rest != "" || len(atoms) == 0 {
			return nil, fmt.Errorf("formula %q: cannot read %q", formula, part)
		}
		total.add(atoms, times)
	}
	return total, nil
}

func (a Atoms) add(b Atoms, times int) {
	for element, n := range b {
		a[element] += n * times
	}
}

// group reads up to the end or to a closing bracket.
func group(s string) (Atoms, string, error) {
	atoms := Atoms{}
	for s != "" && s[0] != ')' {
		var inner Atoms
		if s[0] == '(' {
			var err error
			if inner, s, err = group(s[1:]); err != nil {
				return nil, s, err
			}
			if !strings.HasPrefix(s, ")") {
				return nil, s, fmt.Errorf("a bracket is not closed")
			}
			s = s[1:]
		} else {
			symbol := s[:1]
			if len(s) > 1 && s[1] >= 'a' && s[1] <= 'z' {
				symbol = s[:2]
			}
			if _, ok := atomicWeights[symbol]; !ok {
				return nil, s, fmt.Errorf("no atomic weight for %q", symbol)
			}
			inner, s = Atoms{symbol: 1}, s[len(symbol):]
		}
		var n int
		n, s = count(s)
		atoms.add(inner, n)
	}
	return atoms, s, nil
}

// count reads the number s starts with, 1 if there is none.
func count(s string) (int, string) {
	n, i := 0, 0
	for i < len(s) && i < 3 && s[i] >= '0' && s[i] <= '9' {
		n = n*10 + int(s[i]-'0')
		i++
	}
	if i == 0 {
		return 1, s
	}
	return n, s[i:]
}
