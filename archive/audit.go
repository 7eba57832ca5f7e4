package archive

import (
	"context"
	"encoding/base64"
	"fmt"
	"net/url"
	"os"
	"path/filepath"

	"sandarac/archive/audit"
	"sandarac/archive/consent"
	"sandarac/archive/finding"
	"sandarac/archive/gallery"
	"sandarac/archive/picture"
	"sandarac/archive/record"
	"sandarac/archive/seal"
)

// audit looks through the finished public tree. Whatever it finds keeps the old
// site.
func (b *build) audit(ctx context.Context, tree string) error {
	links, err := gallery.Links(b.galleries, b.secret, b.site.Studio.URL)
	if err != nil {
		return err
	}
	found, err := lookThrough(ctx, tree, &b.out.Looked, b.opt.Root, b.pictures.audit, links, b.opt.Report)
	if err != nil {
		return err
	}
	if len(found) > 0 {
		b.out.Findings = append(b.out.Findings, found...)
		finding.Sort(b.out.Findings)
		return b.keep("the audit found what may not be in it")
	}
	b.note("audit      nothing in it that may not be seen")
	return nil
}

// Audit reads a built site, wherever it lies, and gives whatever may not be in
// it by the archive's records of today.
func Audit(ctx context.Context, tree string, opt LookOptions) ([]finding.Finding, error) {
	looked, err := Look(ctx, opt)
	if err != nil {
		return nil, err
	}
	secret, err := seal.EnsureSecret(secretPath(opt.Root))
	if err != nil {
		return nil, err
	}
	maker, err := picture.New(picturesDir(opt.Root), picture.Options{})
	if err != nil {
		return nil, err
	}
	sets, _, err := maker.Make(ctx, references(looked.Archive), func(done, total int) { opt.Report.Step("pictures", done, total) })
	if err != nil {
		return nil, err
	}
	links, err := gallery.Links(consent.Galleries(looked.Archive, looked.Today), secret, consent.Publish(looked.Archive, looked.Today).Studio.URL)
	if err != nil {
		return nil, err
	}
	return lookThrough(ctx, tree, looked, opt.Root, sets, links, opt.Report)
}

func lookThrough(ctx context.Context, tree string, looked *Looked, root string, sets map[string]picture.Set, links []gallery.Link, report Reporter) ([]finding.Finding, error) {
	hidden, shown := likenesses(looked.Archive, consent.Publish(looked.Archive, looked.Today), sets)
	secrets, err := secretsOf(root, links)
	if err != nil {
		return nil, err
	}
	forbidden := audit.Gather(looked.Archive, looked.Today, audit.Sources{Secrets: secrets, Hidden: hidden, Shown: shown, Ours: ourWords(), Frame: frame(), Plain: plainWords()})
	found, err := audit.Tree(ctx, tree, forbidden, audit.Options{
		Cache:    filepath.Join(toolDir(root), "cache", "audit"),
		Progress: func(done, total int) { report.Step("audit", done, total) },
	})
	if err != nil {
		return nil, fmt.Errorf("looking through the site: %w", err)
	}
	return found, nil
}

// likenesses sorts the small pictures of scans into those that may not be met in
// public and those that may. The other scans of a published plate are neither:
// they show whom its face shows, often in the same picture in another format.
func likenesses(a *record.Archive, site consent.Site, sets map[string]picture.Set) (hidden, shown []audit.Picture) {
	public := map[string]string{}
	for _, p := range site.Plates {
		public[p.ID] = p.Master
	}
	for _, p := range a.Plates {
		face, published := public[p.ID]
		for _, rel := range p.Scans {
			set, ok := sets[a.Path(rel)]
			if !ok || len(set.Files) == 0 {
				continue // it could not be decoded, so nothing was made from it
			}
			ref := audit.Picture{Plate: p.ID, Path: set.Files[0].Path}
			switch {
			case !published:
				hidden = append(hidden, ref)
			case a.Path(rel) == face:
				shown = append(shown, ref)
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
	held, err := seal.SecretFrom(secret)
	if err != nil {
		return nil, err
	}
	key, err := seal.SiteKey(held)
	if err != nil {
		return nil, err
	}
	out := []audit.Thing{
		{Kind: audit.Secret, Text: string(secret), What: "the archive's secret"},
		{Kind: audit.Secret, Text: string(key), What: "the key of the site's addresses"},
	}
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
