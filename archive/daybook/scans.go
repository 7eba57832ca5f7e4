package daybook

import (
	"cmp"
	"fmt"
	"math"
	"path"
	"slices"
	"strings"
	"time"

	"sandarac/archive/record"
	"sandarac/archive/scan"
)

// leastPPI is the resolution under which a scan's is a placeholder that some
// programs write when they know none (check draws the line at the same place).
const leastPPI = 100

// Found is an unrecorded scan and what it tells of its plate.
type Found struct {
	Rel    string // the file, relative to the archive; the best master of its name
	Others []string
	Day    record.Date   // from its name, if that is an id of the studio's pattern
	ID     string        // from its name, if that is an id of the studio's pattern
	Taken  time.Time     // by its EXIF, as wall-clock time in UTC: a hint only
	Format record.Format // by its size and resolution; no slug if they name none
	MM     string        // its size as measured, such as "83 × 108 mm"
	Fault  error         // why it cannot be read; a *scan.Fault
}

// Scans finds the unrecorded scans below the folders (or at the files) named,
// relative to the archive, in the order of their dates and names. Masters are
// read, never written.
func (b *Book) Scans(below []string) []Found {
	byStem := map[string]*Found{}
	var out []*Found
	for _, rel := range b.Archive.Orphans {
		if !slices.ContainsFunc(below, func(at string) bool { return within(rel, at) }) {
			continue
		}
		if f, ok := byStem[stem(rel)]; ok {
			f.Others = append(f.Others, rel)
			if better(rel, f.Rel) {
				f.Rel, f.Others[len(f.Others)-1] = rel, f.Rel
			}
			continue
		}
		f := &Found{Rel: rel}
		byStem[stem(rel)] = f
		out = append(out, f)
	}
	found := make([]Found, len(out))
	for i, f := range out {
		b.look(f)
		found[i] = *f
	}
	slices.SortStableFunc(found, func(f, g Found) int {
		return cmp.Or(f.when().Compare(g.when()), natural(f.Rel, g.Rel))
	})
	return found
}

func within(rel, at string) bool {
	return at == "." || rel == at || strings.HasPrefix(rel, at+"/")
}

// better orders the endings of scans of one name, best master first, as record
// does: by their kind, then small letters before capitals.
func better(rel, than string) bool {
	rank := func(rel string) int {
		return slices.Index(record.ImageExtensions, strings.ToLower(path.Ext(rel)))
	}
	return cmp.Or(cmp.Compare(rank(rel), rank(than)), -cmp.Compare(rel, than)) < 0
}

// look reads a scan's name and header.
func (b *Book) look(f *Found) {
	if name := path.Base(stem(f.Rel)); b.pattern.Is(name) && record.ValidID(name) {
		f.ID = name
		f.Day, _ = b.pattern.Day(name)
	}
	info, err := scan.ReadInfo(b.Archive.Path(f.Rel))
	if err != nil {
		f.Fault = err
		return
	}
	f.Taken = info.Taken
	if info.PPIX < leastPPI || info.PPIY < leastPPI {
		return
	}
	w, h := float64(info.Width)/info.PPIX*25.4, float64(info.Height)/info.PPIY*25.4
	f.MM = fmt.Sprintf("%.0f × %.0f mm", w, h)
	if format, ok := record.FormatOf(w, h); ok && !math.IsInf(w+h, 0) {
		f.Format = format
	}
}

func (f Found) when() time.Time {
	if !f.Day.IsZero() {
		return f.Day.Start(time.UTC)
	}
	return f.Taken
}

// Hint is the day the scan tells: its name's, else its EXIF's. A scan may be
// made long after its plate, so what EXIF says is a day to ask about, and never
// an hour.
func (f Found) Hint() (day record.Date, from string) {
	switch {
	case !f.Day.IsZero():
		return f.Day, "its name"
	case !f.Taken.IsZero():
		return record.DateOf(f.Taken), "the scan's own date"
	}
	return record.Date{}, ""
}

// natural orders names as people do: scan2 before scan10.
func natural(a, b string) int {
	for a != "" && b != "" {
		da, db := digits(a), digits(b)
		if da == "" || db == "" {
			if c := cmp.Compare(a[0], b[0]); c != 0 {
				return c
			}
			a, b = a[1:], b[1:]
			continue
		}
		na, nb := strings.TrimLeft(da, "0"), strings.TrimLeft(db, "0")
		if c := cmp.Or(cmp.Compare(len(na), len(nb)), cmp.Compare(na, nb), cmp.Compare(len(da), len(db))); c != 0 {
			return c
		}
		a, b = a[len(da):], b[len(db):]
	}
	return cmp.Compare(len(a), len(b))
}

func digits(s string) string {
	return s[:len(s)-len(strings.TrimLeft(s, "0123456789"))]
}

// Fill puts into a draft what its scan tells and the photographer did not say:
// the day, the id, the size.
func (d *Draft) Fill(f Found) {
	d.Scan = f.Rel
	if day, from := f.Hint(); !d.Has("made") && !day.IsZero() {
		d.values["made"] = Value{Text: day.String()}
		d.Remarks = append(d.Remarks, fmt.Sprintf("made is %s, by %s", day, from))
	}
	if f.ID != "" && !d.Has("plate") {
		d.values["plate"] = Value{Text: f.ID}
	}
	said := d.Text("format")
	switch {
	case f.Format.Slug != "" && said == "" && !d.Has("size_mm"):
		d.put("format", Value{Text: f.Format.Slug})
		d.Remarks = append(d.Remarks, fmt.Sprintf("the scan measures %s: %s", f.MM, f.Format.Name))
	case f.Format.Slug != "" && said != "" && said != f.Format.Slug:
		d.Remarks = append(d.Remarks, fmt.Sprintf("the scan measures %s, which is %s, and the format is %s as you said", f.MM, f.Format.Name, said))
	case f.Format.Slug == "" && f.MM != "":
		d.Remarks = append(d.Remarks, fmt.Sprintf("the scan measures %s, which is no named size", f.MM))
	case f.MM == "" && f.Fault == nil:
		d.Remarks = append(d.Remarks, "the scan does not say its resolution, so its size is not known")
	}
}
