package archive

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"

	"sandarac/archive/consent"
	"sandarac/archive/finding"
	"sandarac/archive/record"
)

// identifier is a plate's id in the structured data of its page.
var identifier = regexp.MustCompile(`"identifier":\s*"([^"\\]+)"`)

// StillPublic tells of plates that may not be seen on the day and stand in the
// built site all the same: since it was built a consent ended, was withdrawn, or
// a record was changed. A site that was never built has none.
func StillPublic(ctx context.Context, l *Looked, site string) ([]finding.Finding, error) {
	hidden := map[string]consent.Hidden{}
	for _, h := range consent.Why(l.Archive, l.Today) {
		hidden[h.Plate.ID] = h
	}
	pages, err := os.ReadDir(filepath.Join(site, pagesFolder))
	if errors.Is(err, fs.ErrNotExist) || len(hidden) == 0 {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("looking at the built site: %w", err)
	}
	var out []finding.Finding
	for _, p := range pages {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		page, err := os.ReadFile(filepath.Join(site, pagesFolder, p.Name(), "index.html"))
		if err != nil {
			continue // no page of a plate
		}
		m := identifier.FindSubmatch(page)
		if m == nil {
			continue
		}
		h, ok := hidden[string(m[1])]
		if !ok {
			continue
		}
		r := h.Reasons[0]
		for _, other := range h.Reasons {
			if other.Code == "consent-withdrawn" {
				r = other // what a person asked for comes before what a record lacks
			}
		}
		out = append(out, stillPublic(h.Plate, r, pagesFolder+"/"+p.Name()+"/"))
	}
	return out, nil
}

func stillPublic(p *record.Plate, r consent.Reason, address string) finding.Finding {
	return finding.Finding{Severity: finding.Warning, Code: "still-public", File: p.File, Line: max(r.Line, 1), Plate: p.ID,
		Message: "the built site still shows this plate at " + address + ", and it may not be seen: " + r.Sentence,
		Remedy:  "run build, which takes it down, and send the site to its host again"}
}
