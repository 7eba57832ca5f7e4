package plates

import (
	"bytes"
	"context"
	"image"
	_ "image/jpeg"
	"io/fs"
	"math"
	"path"
	"testing"

	_ "golang.org/x/image/tiff"

	"sandarac/archive/finding"
	"sandarac/archive/record"
)

func read(t *testing.T) *record.Archive {
	t.Helper()
	a, found, err := record.Read(context.Background(), "archive")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range found {
		if f.Severity != finding.Remark {
			t.Errorf("%s:%d: %s (%s)", f.File, f.Line, f.Message, f.Remedy)
		}
	}
	if a.Studio == nil {
		t.Fatal("no studio record")
	}
	return a
}

// The archive holds what its readers count on: enough plates, people and batches, and each kind of case.
func TestCounts(t *testing.T) {
	a := read(t)
	kinds := map[string]int{}
	for _, b := range a.Batches {
		kinds[b.Kind]++
	}
	seen := map[string]int{}
	for _, p := range a.Plates {
		seen["purpose "+p.Purpose]++
		seen["support "+p.Support]++
		seen["format "+p.Format.Slug]++
		seen["light "+p.Light.Kind]++
		seen["outcome "+p.Outcome]++
		seen["judged "+p.Judged]++
		seen["file "+path.Ext(p.File)]++
		if p.Featured {
			seen["featured"]++
		}
		if !p.SittersGiven {
			seen["no sitters key"]++
		}
		if len(p.Scans) == 0 {
			seen["no scan"]++
		}
		for _, s := range p.Scans {
			seen["scan "+path.Ext(s)]++
		}
	}
	between := func(what string, n, lo, hi int) {
		t.Helper()
		if n < lo || n > hi {
			t.Errorf("%s: %d, want %d to %d", what, n, lo, hi)
		}
	}
	between("plates", len(a.Plates), 44, 80)
	between("sitters", len(a.Sitters), 10, 30)
	between("clients", len(a.Clients), 6, 6)
	between("lenses", len(a.Studio.Lenses), 3, 3)
	between("collodion batches", kinds["collodion"], 5, 5)
	between("baths", kinds["bath"], 2, 2)
	between("orphan scans", len(a.Orphans), 0, 0)
	for what, want := range map[string]int{
		"purpose portrait": 20, "purpose test": 10, "purpose still-life": 8, "purpose landscape": 4, "purpose workshop": 1, "purpose copy": 1,
		"support tin": 10, "support aluminium": 5, "support glass": 5, "support glass-negative": 2,
		"format whole": 3, "format half": 5, "format quarter": 5, "format sixth": 3, "format ninth": 3, "format 4x5": 2, "format 5x7": 3,
		"light north skylight": 10, "light open shade": 8, "light overcast deck": 5, "light lamp bank": 5,
		"outcome keeper": 30, "outcome remake": 3, "outcome scrapped": 3, "judged under": 4, "judged over": 4, "judged right": 30,
		"featured": 5, "scan .jpg": 40, "scan .tif": 4, "no sitters key": 1,
	} {
		between(what, seen[what], want, len(a.Plates))
	}
	between("plates without a scan", seen["no scan"], 1, 2)
}

// Files stay small enough for git, and each scan's pixels and resolution give the plate's declared size.
func TestScans(t *testing.T) {
	a := read(t)
	var total int64
	err := fs.WalkDir(FS, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		i, err := d.Info()
		if err != nil {
			return err
		}
		if i.Size() > 1_400_000 {
			t.Errorf("%s: %d bytes, want at most 1.4 MB", name, i.Size())
		}
		total += i.Size()
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if total > 22_000_000 {
		t.Errorf("the archive is %d bytes, want at most 22 MB", total)
	}
	for _, p := range a.Plates {
		for _, s := range p.Scans {
			b, err := fs.ReadFile(FS, path.Join("archive", s))
			if err != nil {
				t.Fatal(err)
			}
			c, _, err := image.DecodeConfig(bytes.NewReader(b))
			if err != nil {
				t.Errorf("%s: %v", s, err)
				continue
			}
			ppi := resolution(t, s, b)
			long, short := float64(max(c.Width, c.Height))/ppi*25.4, float64(min(c.Width, c.Height))/ppi*25.4
			wantLong, wantShort := math.Max(p.Format.WidthMM, p.Format.HeightMM), math.Min(p.Format.WidthMM, p.Format.HeightMM)
			if math.Abs(long-wantLong) > 1 || math.Abs(short-wantShort) > 1 {
				t.Errorf("%s: measures %.1f × %.1f mm, the record says %s", s, short, long, p.Format.Slug)
			}
			if n := max(c.Width, c.Height); n < 900 || n > 1700 {
				t.Errorf("%s: long side %d pixels, want 900 to 1700", s, n)
			}
		}
	}
}
