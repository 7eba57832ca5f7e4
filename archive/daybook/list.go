package daybook

import (
	"encoding/json"
	"errors"
	"strings"
)

// ParseList reads several texts out of one: with commas or semicolons between,
// or as a JSON list, which is how a text that holds such a sign is told apart.
func ParseList(s string) ([]string, error) {
	s = strings.TrimSpace(s)
	if strings.HasPrefix(s, "[") {
		var items []string
		if json.Unmarshal([]byte(s), &items) == nil {
			return items, nil
		}
		// [fog, comets], as in a record.
		inner, closed := strings.CutSuffix(strings.TrimPrefix(s, "["), "]")
		if !closed || strings.ContainsAny(inner, `[]"`) {
			return nil, errors.New("an open bracket")
		}
		s = inner
	}
	var out []string
	for item := range strings.FieldsFuncSeq(s, func(c rune) bool { return c == ',' || c == ';' || c == '\n' }) {
		if item = strings.TrimSpace(item); item != "" {
			out = append(out, item)
		}
	}
	return out, nil
}

// FormatList writes several texts so that ParseList reads them back.
func FormatList(items []string) string {
	plain := len(items) > 0
	for _, item := range items {
		if item == "" || strings.ContainsAny(item, ",;\n") || strings.TrimSpace(item) != item {
			plain = false
		}
	}
	if plain && !strings.HasPrefix(items[0], "[") {
		return strings.Join(items, "; ")
	}
	if len(items) == 0 {
		return "[]"
	}
	data, err := json.Marshal(items)
	if err != nil {
		return "" // texts always encode
	}
	return string(data)
}

// jsonList is a list in the notation that reads no sign as a separator.
func jsonList(items []string) string {
	if len(items) == 0 {
		return "[]"
	}
	data, err := json.Marshal(items)
	if err != nil {
		return "[]" // texts always encode
	}
	return string(data)
}
