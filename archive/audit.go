package archive

import (
	"context"
	"encoding/base64"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path"
	"path/filepath"

	"sandarac/archive/audit"
	"sandarac/archive/consent"
	"sandarac/archive/finding"
	"sandarac/archive/gallery"
	"sandarac/archive/picture"
	"sandarac/archive/record"
	"sandarac/templates"
)

// audit looks through the finished public tree. Whatever it finds keeps the old
// site.
func (b *build) audit(ctx context.Context, tree string) error {
	hidden, shown := likenesses(b.out.Archive, b.site, b.pictures.audit)
	links, err := gallery.Links(b.galleries, b.secret, b.site.Studio.URL)
	if err != nil {
		return err
	}
	secrets, err := secretsOf(b.opt.Root, links)
	if err != nil {
		return err
	}
	forbidden := audit.Gather(b.out.Archive, b.out.Today, audit.Sources{Secrets: secrets, Hidden: hidden, Shown: shown, Ours: ourWords()})
	found, err := audit.Tree(ctx, tree, forbidden, audit.Options{
		Cache:    filepath.Join(toolDir(b.opt.Root), "cache", "audit"),
		Progress: func(done, total int) { b.opt.Report.Step("audit", done, total) },
	})
	if err != nil {
		return fmt.Errorf("looking through the finished site: %w", err)
	}
	if len(found) > 0 {
		b.out.Findings = append(b.out.Findings, found...)
		finding.Sort(b.out.Findings)
		return b.keep("the audit found what may not be in it")
	}
	b.note("audit      nothing in it that may not be seen")
	return nil
}

// likenesses sorts the small pictures of all scans into those that may not be
// met in public and those that may. Only the face of a published plate may.
func likenesses(a *record.Archive, site consent.Site, sets map[string]picture.Set) (hidden, shown []audit.Picture) {
	public := map[string]bool{}
	for _, p := range site.Plates {
		public[p.Master] = true
	}
	for _, p := range a.Plates {
		for _, rel := range p.Scans {
			set, ok := sets[a.Path(rel)]
			if !ok || len(set.Files) == 0 {
				continue // it could not be decoded, so nothing was made from it
			}
			ref := audit.Picture{Plate: p.ID, Path: set.Files[0].Path}
			if public[a.Path(rel)] {
				shown = append(shown, ref)
			} else {
				hidden = append(hidden, ref)
			}
		}
	}
	return hidden, shown
}

// secretsOf lists the bytes that must be nowhere in public: the archive's
// secret, every gallery's key, and passphrases.
func secretsOf(root string, links []gallery.Link) ([]audit.Thing, error) {
	secret, err := os.ReadFile(secretPath(root))
	if err != nil {
		return nil, err
	}
	out := []audit.Thing{{Kind: audit.Secret, Text: string(secret), What: "the archive's secret"}}
	for _, l := range links {
		u, err := url.Parse(l.URL)
		if err != nil {
			return nil, fmt.Errorf("the link of a gallery: %w", err)
		}
		key, err := base64.RawURLEncoding.DecodeString(u.Fragment)
		if err != nil || len(key) == 0 {
			continue // an ended or empty gallery has no link
		}
		out = append(out, audit.Thing{Kind: audit.Secret, Text: string(key), What: "the key of a gallery"})
		if l.Passphrase != "" {
			out = append(out, audit.Thing{Kind: audit.Secret, Text: l.Passphrase, What: "the passphrase of a gallery"})
		}
	}
	return out, nil
}

// ourWords are the words of the templates, so that a note which happens to say
// the same is no leak.
func ourWords() []string {
	var out []string
	_ = fs.WalkDir(templates.Files, ".", func(name string, d fs.DirEntry, err error) error {
		if err == nil && path.Ext(name) == ".toml" {
			if text, err := fs.ReadFile(templates.Files, name); err == nil {
				out = append(out, string(text))
			}
		}
		return nil
	})
	return out
}
