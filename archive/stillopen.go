package archive

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"sandarac/archive/consent"
	"sandarac/archive/finding"
	"sandarac/archive/gallery"
	"sandarac/archive/record"
	"sandarac/archive/seal"
)

// oldLinks is how many links of a client before the present one are told apart
// from those of nobody.
const oldLinks = 20

// StillOpen tells of galleries that stand in the built site of the archive at
// root although they ended, or got a new link, since it was built: the old link
// opens them until the site is built and sent again. The gallery of a client
// whose record has errors is not judged.
func StillOpen(ctx context.Context, l *Looked, root, site string) ([]finding.Finding, error) {
	folders, err := os.ReadDir(filepath.Join(site, gallery.Folder))
	if errors.Is(err, fs.ErrNotExist) || l.Archive.Studio.Broken {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("looking at the built galleries: %w", err)
	}
	secret, err := seal.ReadSecret(secretPath(root))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil // without it no folder can be told from another
	}
	if err != nil {
		return nil, err
	}
	state := map[string]string{}
	for _, g := range consent.Galleries(l.Archive, l.Today) {
		state[g.ClientID] = g.State
	}
	known := map[string]finding.Finding{} // by folder; an open gallery's is empty
	for _, c := range l.Archive.Clients {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		for generation := max(1, c.Gallery.Generation-oldLinks); generation <= c.Gallery.Generation; generation++ {
			keys, err := seal.NewGallery(secret, c.ID, generation)
			if err != nil {
				return nil, err
			}
			known[keys.Name()] = whyNotOpen(c, generation, state[c.ID])
		}
	}
	for _, c := range l.Archive.StrayClients {
		if keys, err := seal.NewGallery(secret, c.ID, max(1, c.Gallery.Generation)); err == nil {
			known[keys.Name()] = finding.Finding{}
		}
	}
	var out []finding.Finding
	for _, f := range folders {
		if !f.IsDir() {
			continue
		}
		found, ok := known[f.Name()]
		if !ok {
			found = stillOpen(l.Archive.Studio.File, 1, "a gallery of no client of these records at "+gallery.Folder+"/"+f.Name()+"/")
		}
		if found.Code != "" {
			out = append(out, found)
		}
	}
	finding.Sort(out)
	return out, nil
}

func whyNotOpen(c *record.Client, generation int, state string) finding.Finding {
	switch {
	case generation < c.Gallery.Generation:
		return stillOpen(c.File, c.Line("gallery.generation"), fmt.Sprintf("the gallery of %s under its old link, generation %d", c.ID, generation))
	case c.Broken || state == "open":
		return finding.Finding{}
	}
	return stillOpen(c.File, c.Line("gallery.until"), "the gallery of "+c.ID+", which is "+state)
}

func stillOpen(file string, line int, what string) finding.Finding {
	return finding.Finding{Severity: finding.Warning, Code: "still-open", File: file, Line: max(line, 1),
		Message: "the built site still holds " + what,
		Remedy:  "run build, which takes it down, and send the site to its host again"}
}
