package record

import (
	"strings"
	"testing"

	"github.com/adrg/frontmatter"

	"sandarac/archive/finding"
)

// The faults of the front matter library for which there is a fence: it reads
// nothing and says nothing, or takes a rule within a text for the end. Each file
// is read by the library alone first; when it has mended a fault this fails, and
// that part of the fence can go.
func TestLibraryFaults(t *testing.T) {
	const alt = "what stands behind"
	for name, c := range map[string]struct {
		file string
		lost string // the key that the library loses without a word
		read bool   // here: read, or else a fault
	}{
		"byte-order mark":  {"\ufeff---\nplate: p1\nmade: 2026-05-03\nalt: " + alt + "\n---\n", "plate", true},
		"never closed":     {"---\nplate: p1\nmade: 2026-05-03\nalt: " + alt + "\n", "plate", false},
		"JSON in one line": {`{"plate": "p1", "made": "2026-05-03", "alt": "` + alt + `"}` + "\n\nNotes.\n", "plate", false},
		"a rule in a text": {"---\nplate: p1\nmade: 2026-05-03\ntitle: |\n  above\n  ---\n  below\nalt: " + alt + "\n---\n", "alt", false},
	} {
		t.Run(name, func(t *testing.T) {
			var got map[string]any
			if _, err := frontmatter.Parse(strings.NewReader(c.file), &got); err != nil || got[c.lost] != nil {
				t.Errorf("the library does no harm any more: %v, %v", got, err)
			}
			a, found := read(t, map[string]string{"p.md": c.file})
			if errors := finding.Count(found, finding.Error); c.read != (errors == 0) {
				t.Errorf("%d errors: %v", errors, found)
			}
			if c.read && (len(a.Plates) != 1 || a.Plates[0].Alt != alt) {
				t.Errorf("read as %+v", a.Plates)
			}
			for _, f := range found {
				if f.File != "p.md" || f.Remedy == "" {
					t.Errorf("%+v", f)
				}
			}
		})
	}
}
