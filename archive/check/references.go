package check

import (
	"fmt"
	"slices"
	"strings"

	"sandarac/archive/finding"
	"sandarac/archive/record"
)

// references finds ids that name nothing.
func (c *checker) references(p *record.Plate) {
	a := c.archive
	p.Batches.Each(func(kind, id string) {
		b, ok := a.Batches[id]
		key := "batches." + kind
		switch {
		case !ok:
			c.plate(p, finding.Error, "unknown-batch", key, fmt.Sprintf("%s names batch “%s”, which has no record", key, id), accepted(id, kind+" batches", c.batchIDs(kind)))
		case b.Kind != "" && b.Kind != kind:
			c.plate(p, finding.Error, "wrong-batch", key, fmt.Sprintf("%s names batch “%s”, which is a %s", key, id, b.Kind), accepted(id, kind+" batches", c.batchIDs(kind)))
		}
	})
	if p.Lens != "" {
		if _, ok := a.Studio.LensByID(p.Lens); !ok {
			c.plate(p, finding.Error, "unknown-lens", "lens", fmt.Sprintf("lens names “%s”, which the studio record does not list", p.Lens), lensRemedy(accepted(p.Lens, "lenses", c.lensIDs()), len(c.archive.Studio.Lenses)))
		}
	}
	if p.Exposure.ExtensionMM != nil {
		c.extension(p)
	}
	if p.Client != "" {
		if _, ok := a.Clients[p.Client]; !ok {
			c.plate(p, finding.Error, "unknown-client", "client", fmt.Sprintf("client names “%s”, which has no record", p.Client), accepted(p.Client, "clients", sortedKeys(a.Clients)))
		}
	}
	for i, s := range p.Sitters {
		if s.Ref == "" {
			continue
		}
		if _, ok := a.Sitters[s.Ref]; !ok {
			c.plate(p, finding.Error, "unknown-sitter", fmt.Sprintf("sitters.%d", i), fmt.Sprintf("sitters names “%s”, who has no record", s.Ref), accepted(s.Ref, "sitters", sortedKeys(a.Sitters)))
		}
	}
}

// extension compares the bellows with the lens: a lens cannot stand closer to
// the plate than its focal length and still throw a sharp image.
func (c *checker) extension(p *record.Plate) {
	lens, ok := c.archive.Studio.LensByID(p.Lens)
	switch {
	case p.Lens == "":
		c.plate(p, finding.Warning, "lens-missing", "exposure.extension_mm", "extension_mm is given without a lens, so the bellows factor cannot be reckoned", "add lens:, or give magnification instead")
	case ok && lens.FocalMM == 0:
		c.plate(p, finding.Warning, "lens-missing", "exposure.extension_mm", fmt.Sprintf("lens “%s” has no focal_mm, so the bellows factor cannot be reckoned", p.Lens), "add focal_mm to the lens in the studio record")
	case ok && *p.Exposure.ExtensionMM < lens.FocalMM*0.98:
		c.plate(p, finding.Error, "extension-short", "exposure.extension_mm", fmt.Sprintf("extension_mm is %g, shorter than the %g mm focal length of lens “%s”", *p.Exposure.ExtensionMM, lens.FocalMM, p.Lens),
			"measure from the lens to the plate; at far distance it equals the focal length")
	}
}

func (c *checker) batchIDs(kind string) []string {
	var out []string
	for id, b := range c.archive.Batches {
		if b.Kind == kind {
			out = append(out, id)
		}
	}
	slices.Sort(out)
	return out
}

func (c *checker) lensIDs() []string {
	var out []string
	for _, l := range c.archive.Studio.Lenses {
		out = append(out, l.ID)
	}
	return out
}

func sortedKeys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// lensRemedy says where lenses are written, when there is none yet.
func lensRemedy(accepted string, lenses int) string {
	if lenses == 0 {
		return "the studio record lists no lenses yet: write lenses: [{id: …, focal_mm: …}] there, or take the key out"
	}
	return accepted
}

// accepted lists what a reference may name, without flooding the screen, and the
// one that was most likely meant first.
func accepted(found, what string, ids []string) string {
	const most = 12
	if near := record.NearestID(found, ids); near != "" {
		return "did you mean “" + near + "”? Else write its record, or take the key out"
	}
	switch {
	case len(ids) == 0:
		return "the archive has no " + what + " yet: write the record, or take the key out"
	case len(ids) > most:
		return fmt.Sprintf("accepted: one of %d %s, such as %s", len(ids), what, strings.Join(ids[len(ids)-most:], ", "))
	}
	return "accepted " + what + ": " + strings.Join(ids, ", ")
}
