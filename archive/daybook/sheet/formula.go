package sheet

import (
	"bufio"
	"io"
	"regexp"
	"strings"
)

// A spreadsheet runs a cell that begins with one of these signs as a formula,
// which can send data away or start programs; the wide forms are turned into
// them by some. (OWASP, CSV Injection.)
const formulaSigns = "=+-@\t\r\n＝＋－＠"

// negative numbers begin with a sign and are no formulas.
var negative = regexp.MustCompile(`^-[0-9]+(\.[0-9]+)?$`)

// Safe writes a cell so that no spreadsheet runs it: an apostrophe goes before a
// text that would be run, and before one that begins with an apostrophe, so that
// Plain can tell the two apart.
func Safe(cell string) string {
	if cell == "" || negative.MatchString(cell) {
		return cell
	}
	if first := []rune(cell)[0]; first == '\'' || strings.ContainsRune(formulaSigns, first) {
		return "'" + cell
	}
	return cell
}

// Plain undoes Safe. It also opens ="text", which people write to keep a
// spreadsheet from reading a number.
func Plain(cell string) string {
	if rest, ok := strings.CutPrefix(cell, "'"); ok && rest != "" {
		if first := []rune(rest)[0]; first == '\'' || strings.ContainsRune(formulaSigns, first) {
			return rest
		}
		return cell
	}
	if inner, ok := strings.CutPrefix(cell, `="`); ok {
		if inner, ok = strings.CutSuffix(inner, `"`); ok && !strings.ContainsAny(inner, `"&()`) {
			return inner
		}
	}
	return cell
}

// Write writes rows as comma-separated text in UTF-8 with a byte-order mark,
// every cell quoted, so that no other sign between cells can cut one open.
// Carriage returns become line feeds: readers drop them anyway.
func Write(w io.Writer, rows func(yield func(cells []string) bool)) error {
	out := bufio.NewWriter(w)
	_, err := out.WriteString("\uFEFF")
	rows(func(cells []string) bool {
		for i, c := range cells {
			if i > 0 {
				out.WriteByte(',')
			}
			c = strings.ReplaceAll(strings.ReplaceAll(c, "\r\n", "\n"), "\r", "\n")
			out.WriteByte('"')
			out.WriteString(strings.ReplaceAll(Safe(c), `"`, `""`))
			out.WriteByte('"')
		}
		_, err = out.WriteString("\r\n")
		return err == nil
	})
	if err != nil {
		return err
	}
	return out.Flush()
}
