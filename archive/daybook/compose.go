package daybook

import "strings"

// Order is what the photographer said of a plate.
type Order struct {
	Changes []Change
	// Sitting says that it is the same sitting as the plate before: who is in it
	// and whose it is are carried over too.
	Sitting bool
	Folder  string // where to put a sidecar without a scan; "": where the studio's plates are
}

// Compose makes the draft of a plate: what was said, what its scan tells, what
// carries over, its id and its place. A nil scan is a plate that is not scanned
// yet. The errors are *Refusal and say everything that keeps the draft from
// being written; with none, Settle and Write follow.
func (b *Book) Compose(f *Found, o Order) (*Draft, []error) {
	d := &Draft{Entry: b.Entry()}
	var errs []error
	for _, c := range o.Changes {
		if err := d.Set(c.Key, c.Text); err != nil {
			errs = append(errs, err)
		}
	}
	if f != nil {
		if f.Fault != nil {
			return d, append(errs, f.Fault)
		}
		d.Fill(*f)
	}
	if !d.Has("made") {
		return d, append(errs, b.Judge(d)...)
	}
	b.Carry(d, o.Sitting)
	if err := b.Place(d, o.Folder); err != nil {
		return d, append(errs, err)
	}
	return d, append(errs, b.Judge(d)...)
}

// Said lists the values that did not come from the plate before, as they would
// be typed.
func (d *Draft) Said() string { return d.typed(false) }

// CarriedOver lists the values that came from the plate before.
func (d *Draft) CarriedOver() string { return d.typed(true) }

func (d *Draft) typed(carried bool) string {
	was := map[string]bool{}
	for _, path := range d.Carried {
		was[path] = true
	}
	var out []string
	for _, k := range Keys {
		if k.Path == "plate" || !d.Has(k.Path) || was[k.Path] != carried {
			continue
		}
		out = append(out, k.Flag+"="+typedText(d.Text(k.Path)))
	}
	if d.PeopleGiven && was["sitters"] == carried {
		out = append(out, "sitters="+typedText(d.Text("sitters")))
	}
	if !carried {
		for _, own := range d.Own() {
			out = append(out, own+"="+typedText(d.own[own]))
		}
		if d.Notes != "" {
			out = append(out, "notes="+typedText(Clip(d.Notes)))
		}
	}
	return strings.Join(out, " ")
}

func typedText(s string) string {
	s = strings.ReplaceAll(s, "\n", " ")
	if s == "" || strings.ContainsAny(s, " \t\"'") {
		if strings.Contains(s, `"`) {
			return "'" + strings.ReplaceAll(s, "'", "’") + "'"
		}
		return `"` + s + `"`
	}
	return s
}
