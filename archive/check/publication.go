package check

import (
	"fmt"

	"sandarac/archive/consent"
	"sandarac/archive/finding"
	"sandarac/archive/record"
)

// soonDays is how long before its end a consent is spoken of.
const soonDays = 60

// publication says why plates are not shown, and which consents end soon. It
// runs last: what the other checks broke is not shown either.
func (c *checker) publication() {
	hidden := map[string]bool{}
	for _, h := range consent.Why(c.archive, c.today) {
		hidden[h.Plate.ID] = true
		if h.Plate.Outcome == "keeper" && h.Plate.Purpose != "test" {
			c.whyHidden(h)
		}
		if h.Plate.Face() == "" && !h.Plate.Has("scans") {
			c.plate(h.Plate, finding.Remark, "not-scanned", "plate", "the plate has no scan yet; it counts in the analysis and is not published", "put the scan beside the record, with the same base name")
		}
	}
	for _, p := range c.archive.Plates {
		if hidden[p.ID] {
			continue
		}
		if p.Alt == "" {
			c.plate(p, finding.Warning, "alt-missing", "plate", "the plate is published without alt text, so visitors who cannot see it are told only its title", "add alt: one sentence that says what the picture shows")
		}
		c.endsSoon(p)
	}
	for _, shown := range consent.ClientWords(c.archive, c.today) {
		for _, r := range shown.Reasons {
			c.add(finding.Finding{Severity: finding.Warning, Code: r.Code, File: shown.Plate.File, Line: max(r.Line, 1), Plate: shown.Plate.ID,
				Message: "the plate is shown, and " + r.Sentence, Remedy: r.Remedy})
		}
	}
}

// whyHidden says what stands against a keeper. What the photographer or a
// sitter decided is a remark; what is missing or ran out is a warning.
func (c *checker) whyHidden(h consent.Hidden) {
	for _, r := range h.Reasons {
		severity := finding.Warning
		switch r.Code {
		case "record-broken", "studio-broken", "not-scanned":
			continue // said by its own finding
		case "no-consent", "consent-withdrawn":
			severity = finding.Remark
		}
		c.add(finding.Finding{Severity: severity, Code: r.Code, File: h.Plate.File, Line: max(r.Line, 1),
			Message: "the plate is not shown: " + r.Sentence, Remedy: r.Remedy, Plate: h.Plate.ID})
	}
}

func (c *checker) endsSoon(p *record.Plate) {
	for i, s := range p.Sitters {
		sitter, ok := c.archive.Sitter(s)
		if !ok {
			continue
		}
		end := sitter.Consent.Until
		if w := sitter.Consent.Withdrawn; !w.IsZero() && (end.IsZero() || w.AddDays(-1).Before(end)) {
			end = w.AddDays(-1)
		}
		if !end.IsZero() && end.DaysSince(c.today) <= soonDays {
			c.plate(p, finding.Warning, "consent-ends-soon", fmt.Sprintf("sitters.%d", i), "the consent this plate is shown by holds until "+daysAhead(end, c.today), "ask again in time, or let the plate come down by itself")
		}
	}
}

// daysAhead is a last day and how far off it is.
func daysAhead(end, today record.Date) string {
	switch n := end.DaysSince(today); n {
	case 0:
		return fmt.Sprintf("%s, which is today", end)
	case 1:
		return fmt.Sprintf("%s, which is tomorrow", end)
	default:
		return fmt.Sprintf("%s, %d days from now", end, n)
	}
}
