package daybook

import (
	"fmt"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"sandarac/archive/record"
)

// Judge finds what check would call an error of a plate: names of nothing,
// times that cannot follow each other, scans that are another's. The errors are
// *Refusal.
func (b *Book) Judge(d *Draft) []error {
	var out []error
	add := func(err error) {
		if err != nil {
			out = append(out, err)
		}
	}
	if !d.Has("made") {
		add(refuse("made", "nothing", "when the plate was exposed, such as 2026-05-03T10:20 or 2026-05-03"))
	}
	for _, k := range Keys {
		if v, ok := d.values[k.Path]; ok && k.Kind == Text {
			add(b.reference(d.Entry, k.Path, v.Text))
		}
	}
	for _, p := range d.People {
		if err := p.valid(); err != nil {
			add(err)
			continue
		}
		if _, ok := b.Archive.Sitters[p.Ref]; p.Ref != "" && !ok {
			add(refuse("sitters", p.Ref, among("sitters", slices.Sorted(maps.Keys(b.Archive.Sitters)))))
		}
	}
	add(b.extension(d.Entry))
	out = append(out, b.calendar(d.Entry)...)
	return append(out, b.scansOf(d)...)
}

// reference refuses an id that names nothing, and a batch used before it was
// mixed.
func (b *Book) reference(e *Entry, key, id string) error {
	a := b.Archive
	switch {
	case strings.HasPrefix(key, "batches."):
		kind := strings.TrimPrefix(key, "batches.")
		batch, ok := a.Batch(kind, id)
		if !ok {
			return refuse(key, id, among(kind+" batches", b.BatchIDs(kind)))
		}
		used := e.Day()
		if v, ok := e.values["varnished"]; ok && kind == "varnish" {
			if t, _, err := ParseMoment(v.Text, e.zone); err == nil {
				used = record.DateOf(t)
			}
		}
		if !used.IsZero() && !batch.Mixed.IsZero() && used.Before(batch.Mixed) {
			return refuse(key, id, fmt.Sprintf("a batch mixed by %s; this one was mixed on %s", used, batch.Mixed))
		}
	case key == "lens":
		if _, ok := a.Studio.LensByID(id); !ok {
			var ids []string
			for _, l := range a.Studio.Lenses {
				ids = append(ids, l.ID)
			}
			return refuse(key, id, among("lenses of the studio record", ids))
		}
	case key == "client":
		if _, ok := a.Clients[id]; !ok {
			return refuse(key, id, among("clients", slices.Sorted(maps.Keys(a.Clients))))
		}
	}
	return nil
}

// BatchIDs lists the batches of a kind.
func (b *Book) BatchIDs(kind string) []string {
	var ids []string
	for id, batch := range b.Archive.Batches {
		if batch.Kind == kind {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	return ids
}

func among(what string, ids []string) string {
	const most = 12
	switch {
	case len(ids) == 0:
		return "nothing yet, since the archive has no " + what + ": write the record first, or leave the key out"
	case len(ids) > most:
		return fmt.Sprintf("one of %d %s, such as %s", len(ids), what, strings.Join(ids[len(ids)-most:], ", "))
	}
	return what + ": " + strings.Join(ids, ", ")
}

// extension refuses a lens that stands closer to the plate than it can.
func (b *Book) extension(e *Entry) error {
	v, ok := e.values["exposure.extension_mm"]
	if !ok {
		return nil
	}
	lens, ok := b.Archive.Studio.LensByID(e.values["lens"].Text)
	mm, err := ParseNumber(v.Text)
	if err == nil && ok && mm < lens.FocalMM*0.98 {
		return refuse("exposure.extension_mm", v.Text, fmt.Sprintf("the distance from lens to plate, at least the %g mm focal length of %s", lens.FocalMM, lens.ID))
	}
	return nil
}

func (b *Book) calendar(e *Entry) []error {
	made, timed := e.Made()
	if made.IsZero() {
		return nil
	}
	var out []error
	if e.Day().After(b.Today.AddDays(1)) {
		out = append(out, refuse("made", e.values["made"].Text, "a day that has come (today is "+b.Today.String()+")"))
	}
	if v, ok := e.values["varnished"]; ok {
		at, _, err := ParseMoment(v.Text, e.zone)
		if err == nil && at.Before(made) && (timed || record.DateOf(at).Before(e.Day())) {
			out = append(out, refuse("varnished", v.Text, "a time after the plate was made, "+e.values["made"].Text))
		}
	}
	return out
}

// scansOf refuses scans that are not there, are outside the archive, or belong
// to another plate.
func (b *Book) scansOf(d *Draft) []error {
	v, ok := d.values["scans"]
	if !ok {
		return nil
	}
	var out []error
	for _, name := range v.List {
		at := path.Join(path.Dir(d.File), name)
		info, err := os.Lstat(b.Archive.Path(at))
		switch {
		case path.IsAbs(name) || filepath.IsAbs(name) || strings.Contains(name, `\`) || at == ".." || strings.HasPrefix(at, "../"):
			out = append(out, refuse("scans", name, "a file of the archive, named from the record's folder, with /"))
		case err != nil || !info.Mode().IsRegular() || !record.IsImage(name) || hiddenPath(at):
			out = append(out, refuse("scans", name, "an image of the archive (tif, png, jpg), named from the record's folder"))
		case b.claimed[at] != "" && b.claimed[at] != d.ID():
			out = append(out, refuse("scans", name, "a scan that belongs to no other plate; this one is "+b.claimed[at]+"'s"))
		}
	}
	return out
}

func hiddenPath(rel string) bool {
	for i, part := range strings.Split(rel, "/") {
		if strings.HasPrefix(part, ".") || i == 0 && generated(part) {
			return true
		}
	}
	return false
}
