package analysis

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// grid is a table of text: the first column to the left, the others to the
// right. Where the whole would not fit, names are shortened as far as they stay
// apart, then columns left out from the right.
type grid struct {
	head []string
	rows [][]string
	// left marks further columns set to the left.
	left map[int]bool
}

func (g *grid) add(cells ...string) { g.rows = append(g.rows, cells) }

func (g *grid) write(w io.Writer, width int) error {
	widths := make([]int, len(g.head))
	for _, r := range append([][]string{g.head}, g.rows...) {
		for i, c := range r {
			widths[i] = max(widths[i], utf8.RuneCountInString(c))
		}
	}
	// The first column gives way first; then the last columns are left out.
	columns, total := len(widths), -2
	for _, n := range widths {
		total += n + 2
	}
	least := g.least(widths[0])
	for columns > 2 && total-max(0, widths[0]-least) > width {
		columns--
		total -= widths[columns] + 2
	}
	if over := total - width; over > 0 {
		widths[0] = max(least, widths[0]-over)
	}
	for _, r := range append([][]string{g.head}, g.rows...) {
		var line strings.Builder
		for i, c := range r[:columns] {
			if i > 0 {
				line.WriteString("  ")
			}
			if i == 0 {
				c = pinch(c, widths[i])
			} else {
				c = shorten(c, widths[i])
			}
			pad := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(c))
			if i == 0 || g.left[i] {
				line.WriteString(c + pad)
			} else {
				line.WriteString(pad + c)
			}
		}
		if _, err := fmt.Fprintln(w, strings.TrimRight(line.String(), " ")); err != nil {
			return err
		}
	}
	return nil
}

// least is the width the first column may be cut to: eight characters, or as
// many as keep apart the names that differ; the whole where nothing less does.
func (g *grid) least(whole int) int {
	names := map[string]bool{}
	for _, r := range g.rows {
		names[r[0]] = true
	}
	for n := 8; n < whole; n++ {
		cut := map[string]bool{}
		for name := range names {
			cut[pinch(name, n)] = true
		}
		if len(cut) == len(names) {
			return n
		}
	}
	return whole
}

// pinch cuts a name to n characters in its middle: ids differ at their end,
// words at their beginning.
func pinch(s string, n int) string {
	r := []rune(s)
	if len(r) <= n {
		return s
	}
	head := max(0, n-1) / 2
	tail := max(0, n-1) - head
	return string(r[:head]) + "…" + string(r[len(r)-tail:])
}

// shorten cuts a text to n characters, an ellipsis for the rest.
func shorten(s string, n int) string {
	if utf8.RuneCountInString(s) <= n {
		return s
	}
	return string([]rune(s)[:max(0, n-1)]) + "…"
}

// wrap breaks a text into lines of at most width characters, the first after
// the prefix, the others indented as far.
func wrap(prefix, text string, width int) string {
	indent := strings.Repeat(" ", utf8.RuneCountInString(prefix))
	var out strings.Builder
	line, used := prefix, utf8.RuneCountInString(prefix)
	empty := true
	for _, word := range strings.Fields(text) {
		n := utf8.RuneCountInString(word)
		if !empty && used+1+n > width {
			out.WriteString(line + "\n")
			line, used, empty = indent, utf8.RuneCountInString(indent), true
		}
		if !empty {
			line, used = line+" ", used+1
		}
		line, used, empty = line+word, used+n, false
	}
	out.WriteString(line + "\n")
	return out.String()
}
