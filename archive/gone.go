package archive

import (
	"net/url"
	"os"
	"path/filepath"
)

// pagesFolder holds the pages of plates in a built site.
const pagesFolder = "plates"

// gone lists the addresses of plate pages that stand in the old site and not in
// the new one: the photographer may have given them out.
func gone(oldSite, newSite, base string) []string {
	entries, err := os.ReadDir(filepath.Join(oldSite, pagesFolder))
	if err != nil {
		return nil // no old site
	}
	var out []string
	for _, e := range entries {
		if !e.IsDir() {
			continue
		}
		if _, err := os.Stat(filepath.Join(newSite, pagesFolder, e.Name())); err == nil {
			continue
		}
		if address, err := url.JoinPath(base, pagesFolder, e.Name(), "/"); err == nil {
			out = append(out, address)
		}
	}
	return out
}
