package daybook

import (
	"slices"

	"sandarac/archive/record"
)

// pairs are keys of which one stands for the other: what was typed of one keeps
// the other from being carried over.
var pairs = [][2]string{{"format", "size_mm"}, {"exposure.magnification", "exposure.extension_mm"}, {"light.ev100", "light.lux"}}

// Last finds the plate that a new one would carry over from: the last one made
// before it on the same day, which is its session; else the last one of an
// earlier day. It is nil if there is none.
func (b *Book) Last(e *Entry) (last *Entry, session bool) {
	day := e.Day()
	if list := b.days[day]; len(list) > 0 {
		at, timed := e.Made()
		for i := len(list) - 1; timed && i >= 0; i-- {
			if before, _ := list[i].Made(); !before.After(at) {
				return list[i], true
			}
		}
		return list[len(list)-1], true
	}
	var best record.Date
	for d := range b.days {
		if d.Before(day) && d.After(best) {
			best = d
		}
	}
	if best.IsZero() {
		return nil, false
	}
	list := b.days[best]
	return list[len(list)-1], false
}

// Carry fills what the draft does not say from the plate before it: all
// settings within a session, from an earlier day only what stays in the studio
// (support, size, lens, camera, batches). Never who is in it or whose it is,
// unless sitting says that it is the same sitting; never a test's purpose; and
// nothing that the archive no longer has.
func (b *Book) Carry(d *Draft, sitting bool) {
	last, session := b.Last(d.Entry)
	if last == nil {
		return
	}
	d.From = last.ID()
	for _, k := range Keys {
		if k.Carried == Never || k.Carried == Session && !session || d.Has(k.Path) || d.hasTwin(k.Path) {
			continue
		}
		v, ok := last.values[k.Path]
		if !ok || k.Path == "purpose" && v.Text == "test" || b.reference(d.Entry, k.Path, v.Text) != nil {
			continue
		}
		d.values[k.Path] = v
		d.Carried = append(d.Carried, k.Path)
	}
	if !sitting || !session {
		return
	}
	if v, ok := last.values["client"]; ok && !d.Has("client") && b.reference(d.Entry, "client", v.Text) == nil {
		d.values["client"] = v
		d.Carried = append(d.Carried, "client")
	}
	if last.PeopleGiven && !d.PeopleGiven {
		d.People, d.PeopleGiven = slices.Clone(last.People), true
		d.Carried = append(d.Carried, "sitters")
	}
}

// hasTwin reports whether the other key of a pair was given by hand.
func (d *Draft) hasTwin(key string) bool {
	for _, p := range pairs {
		if key == p[0] && d.Has(p[1]) && !slices.Contains(d.Carried, p[1]) || key == p[1] && d.Has(p[0]) && !slices.Contains(d.Carried, p[0]) {
			return true
		}
	}
	return false
}
