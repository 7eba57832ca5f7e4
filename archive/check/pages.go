package check

import (
	"regexp"
	"strings"

	"sandarac/archive/consent"
	"sandarac/archive/finding"
)

// Raw HTML and pictures in Markdown, as CommonMark 0.31 writes them (sections
// 6.4 and 6.6), near enough to say that they are there.
var (
	rawHTML  = regexp.MustCompile(`<(?:/?[A-Za-z][A-Za-z0-9-]*(?:\s[^>]*|/)?>|!--|[?!])`)
	pictures = regexp.MustCompile(`!\[[^\]]*\][(\[]`)
	code     = regexp.MustCompile("``[^`]+``|`[^`]*`")
)

// pages says why a text of the studio's own does not stand on its page, and
// what in one is not shown as it was written.
func (c *checker) pages() {
	hidden := map[string]bool{}
	for _, h := range consent.WhyPages(c.archive, c.today) {
		hidden[h.Page.Name] = true
		for _, r := range h.Reasons {
			if r.Code == "record-broken" {
				continue // said by its own finding
			}
			c.add(finding.Finding{Severity: finding.Warning, Code: r.Code, File: h.Page.File, Line: max(r.Line, 1),
				Message: "this text is not shown, and the site keeps its own: " + r.Sentence, Remedy: r.Remedy})
		}
	}
	for name, p := range c.archive.Pages {
		if hidden[name] {
			continue
		}
		warn := func(line int, code, message, remedy string) {
			c.add(finding.Finding{Severity: finding.Warning, Code: code, File: p.File, Line: line, Message: message, Remedy: remedy})
		}
		line, fenced := p.BodyLine, false
		for text := range strings.Lines(p.Body) {
			fence := strings.HasPrefix(strings.TrimSpace(text), "```")
			fenced = fenced != fence
			if plain := code.ReplaceAllString(text, ""); !fenced && !fence {
				if rawHTML.MatchString(plain) {
					warn(line, "raw-html", "this line holds HTML, which is left out of the page", "write it in Markdown, or put a sign that means itself between back-quotes")
				}
				if pictures.MatchString(plain) {
					warn(line, "text-picture", "this line shows a picture; the page will hold only its words", "leave it out: a picture comes into the portfolio as a plate, with its consent and its credit")
				}
			}
			line++
		}
	}
}
