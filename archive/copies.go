package archive

import (
	"path"

	"sandarac/archive/finding"
	"sandarac/archive/record"
)

// breakCopies reports public plates whose face is, to the pixel, also a scan of
// a plate that is not public: to show the one would show the other. They are
// left out whole, as a scan that two records name is.
func (b *build) breakCopies() bool {
	public := map[string]bool{}
	for _, p := range b.site.Plates {
		public[p.ID] = true
	}
	hidden := map[[32]byte]*record.Plate{}
	for _, p := range b.out.Archive.Plates {
		if public[p.ID] {
			continue
		}
		for _, rel := range p.Scans {
			if sum, ok := b.likeness(rel); ok {
				hidden[sum] = p
			}
		}
	}
	found := false
	for _, p := range b.out.Archive.Plates {
		if !public[p.ID] || p.Broken {
			continue
		}
		sum, _ := b.likeness(p.Face())
		other, copied := hidden[sum]
		if !copied {
			continue
		}
		p.Broken, found = true, true
		b.fault(finding.Finding{Severity: finding.Error, Code: "scan-copied", File: p.Face(), Plate: p.ID,
			Message: "this is the same picture as a scan of plate " + other.ID + ", which is not public (" + path.Base(other.File) + ")",
			Remedy:  "give each plate its own scan; if they are one plate, keep one of the two records"})
	}
	return found
}

// likeness is the sum of the small picture of a scan: the same for copies, in
// whatever format they are kept.
func (b *build) likeness(rel string) (sum [32]byte, ok bool) {
	set, ok := b.pictures.audit[b.out.Archive.Path(rel)]
	if !ok || len(set.Files) == 0 {
		return sum, false
	}
	return set.Files[0].SHA256, true
}
