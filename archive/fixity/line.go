package fixity

import (
	"fmt"
	"strings"
)

// encodePath writes a path as manifests have it: CR, LF and the percent sign are
// percent-encoded, and nothing else (RFC 8493, section 2.1.3).
func encodePath(path string) string {
	return strings.NewReplacer("%", "%25", "\r", "%0D", "\n", "%0A").Replace(path)
}

// decodePath reads a path of a manifest. A percent sign that begins none of the
// three codes stands for itself, as in the manifests of programs that do not
// encode it.
func decodePath(path string) string {
	if !strings.Contains(path, "%") {
		return path
	}
	var b strings.Builder
	for i := 0; i < len(path); i++ {
		if path[i] == '%' && i+2 < len(path) {
			switch strings.ToUpper(path[i+1 : i+3]) {
			case "25":
				b.WriteByte('%')
			case "0D":
				b.WriteByte('\r')
			case "0A":
				b.WriteByte('\n')
			default:
				b.WriteByte('%')
				continue
			}
			i += 2
			continue
		}
		b.WriteByte(path[i])
	}
	return b.String()
}

// manifestLine is one line of a manifest, as sha256sum and sha512sum write it too.
func manifestLine(sum []byte, path string) string {
	return fmt.Sprintf("%x  %s\n", sum, encodePath(path))
}

// splitLine takes a manifest line apart: the checksum as written, and the path,
// still encoded. Some programs mark binary files with an asterisk behind one space
// (RFC 8493, section 6.1.1); behind two it is part of the name.
func splitLine(line string) (sum, path string, ok bool) {
	at := strings.IndexAny(line, " \t")
	if at <= 0 {
		return "", "", false
	}
	sum = line[:at]
	path = strings.TrimLeft(line[at:], " \t")
	if strings.HasPrefix(line[at:], " *") {
		path = path[1:]
	}
	return sum, path, path != "" && isHex(sum)
}

func isHex(s string) bool {
	return s != "" && strings.IndexFunc(s, func(r rune) bool {
		return !('0' <= r && r <= '9' || 'a' <= r && r <= 'f' || 'A' <= r && r <= 'F')
	}) < 0
}

// lines cuts a text file into lines that end with LF, CR or both.
func lines(text string) []string {
	text = strings.ReplaceAll(text, "\r\n", "\n")
	text = strings.ReplaceAll(text, "\r", "\n")
	text = strings.TrimSuffix(text, "\n")
	if text == "" {
		return nil
	}
	return strings.Split(text, "\n")
}
