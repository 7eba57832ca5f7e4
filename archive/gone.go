package archive

import (
	"net/url"
	"os"
	"path/filepath"
)

// gone lists the addresses of plate pages that stand in the old site and not in
// the new one: the photographer may have given them out.
func gone(oldSite, newSite, base string) []string {
	const pages = "plates"
	entries, err := os.ReadDir(filepath.Join(oldSite, pages))
	if err != nil {
		return nil // no old site
	}
	var out []string
	for _, e := range entries {
		if !e.IsDir() {
			continue
		}
		if _, err := os.Stat(filepath.Join(newSite, pages, e.Name())); err == nil {
			continue
		}
		if address, err := url.JoinPath(base, pages, e.Name(), "/"); err == nil {
			out = append(out, address)
		}
	}
	return out
}
