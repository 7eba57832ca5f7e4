package daybook

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"sandarac/archive/record"
)

// Change is one difference as typed at the prompt.
type Change struct{ Key, Text string }

// Changes reads a line of differences: key=value (quoted if the value has
// spaces), "9s" for seconds, "f4" or "f/5.6" for the stop, and words that can
// mean one thing only: keeper, right, tin, half, fog. "key=" takes a key out.
func Changes(line string) ([]Change, error) {
	words, err := split(line)
	if err != nil {
		return nil, err
	}
	var out []Change
	var flaws []string
	for _, w := range words {
		key, text, isPair := strings.Cut(w, "=")
		if isPair {
			if k, ok := KeyOf(key); ok {
				key = k.Path
			} else if key != "sitters" && key != "notes" && !IsOwn(key) {
				return nil, fmt.Errorf("“%s” is no key of a plate; the keys are %s, sitters, notes", Clip(key), strings.Join(flagNames(), ", "))
			}
			out = append(out, Change{key, text})
			continue
		}
		c, err := meaning(w)
		if err != nil {
			return nil, err
		}
		if c.Key == "flaws" {
			flaws = append(flaws, c.Text)
			continue
		}
		out = append(out, c)
	}
	if len(flaws) > 0 {
		out = append(out, Change{"flaws", strings.Join(flaws, ", ")})
	}
	return out, nil
}

// meaning is what a bare word can only mean.
func meaning(w string) (Change, error) {
	low := strings.ToLower(w)
	if number, ok := strings.CutSuffix(low, "s"); ok {
		if _, err := ParseNumber(number); err == nil {
			return Change{"exposure.seconds", number}, nil
		}
	}
	if number, ok := strings.CutPrefix(low, "f"); ok {
		number = strings.TrimPrefix(number, "/")
		if _, err := ParseNumber(number); err == nil {
			return Change{"exposure.stop", number}, nil
		}
	}
	var found []Change
	for _, key := range []string{"purpose", "support", "format", "judged", "outcome", "flaws"} {
		k, _ := KeyOf(key)
		if slices.Contains(k.Words, low) {
			found = append(found, Change{key, low})
		}
	}
	switch {
	case low == Nobody:
		return Change{"sitters", Nobody}, nil
	case len(found) == 1:
		return found[0], nil
	case len(found) > 1:
		return Change{}, fmt.Errorf("“%s” can be %s or %s: write which, such as %s=%s", w, found[0].Key, found[1].Key, found[0].Key, w)
	}
	return Change{}, fmt.Errorf("“%s” is not understood: write key=value, 9s, f4, or a word such as %s or %s", Clip(w), record.Outcomes[0], record.Supports[0])
}

// split cuts a line at spaces outside of quotes.
func split(line string) ([]string, error) {
	var out []string
	var word strings.Builder
	var quote rune
	open := false
	for _, c := range line {
		switch {
		case quote != 0 && c == quote:
			quote = 0
		case quote != 0:
			word.WriteRune(c)
		case (c == '"' || c == '\'') && (word.Len() == 0 || strings.HasSuffix(word.String(), "=")):
			quote, open = c, true
		case c == ' ' || c == '\t':
			if open || word.Len() > 0 {
				out = append(out, word.String())
			}
			word.Reset()
			open = false
		default:
			word.WriteRune(c)
		}
	}
	if quote != 0 {
		return nil, errors.New("a quote is not closed")
	}
	if open || word.Len() > 0 {
		out = append(out, word.String())
	}
	return out, nil
}

func flagNames() []string {
	var out []string
	for _, k := range Keys {
		out = append(out, k.Flag)
	}
	return out
}
