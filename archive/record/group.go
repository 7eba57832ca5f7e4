package record

import (
	"fmt"
	"slices"
	"strings"

	"sandarac/archive/finding"
)

// group opens a group of keys, hands it over, and reports what was not asked
// for in it.
func (d *decoder) group(key string, read func(*decoder)) {
	v, ok := d.get(key)
	if !ok {
		return
	}
	d.open(key, v, read)
}

func (d *decoder) open(key string, v value, read func(*decoder)) {
	if v.kind != table {
		d.wrong(key, v, "a group of keys"+d.keysOf(read))
		return
	}
	in := *d
	in.path, in.table, in.asked = d.path+key+".", v, nil
	read(&in)
	in.leave()
}

// keysOf lists the keys that a group takes, by reading an empty one.
func (d *decoder) keysOf(read func(*decoder)) string {
	in := *d
	var unsaid []finding.Finding
	in.table, in.asked, in.faults, in.src = value{kind: table}, nil, &unsaid, &Source{lines: map[string]int{}}
	read(&in)
	if len(in.asked) == 0 {
		return ""
	}
	return ": " + strings.Join(in.asked, ", ") + ", written as {" + in.asked[0] + ": …}"
}

// groups opens each group of a list.
func (d *decoder) groups(key string, accepted string, read func(i int, d *decoder)) {
	v, ok := d.get(key)
	if !ok {
		return
	}
	if v.kind != list {
		d.wrong(key, v, accepted)
		return
	}
	for i, item := range v.list {
		at := fmt.Sprintf("%s.%d", key, i)
		d.src.lines[d.path+at] = item.line
		if item.kind != table {
			d.wrong(at, item, accepted)
			continue
		}
		d.open(at, item, func(in *decoder) { read(i, in) })
	}
}

// leave reports keys that are unknown or stand twice.
func (d *decoder) leave() {
	seen := map[string]int{}
	for _, e := range d.table.entries {
		if first, twice := seen[e.key]; twice {
			d.fault(e.line, "duplicate-key", fmt.Sprintf("%s stands twice, first in line %d", d.said(e.key), first), "keep one of the two")
			continue
		}
		seen[e.key] = e.line
		if slices.Contains(d.asked, e.key) {
			continue
		}
		if strings.HasPrefix(e.key, "x_") {
			d.keepOwn(e)
			continue
		}
		d.fault(e.line, "unknown-key", fmt.Sprintf("%s is not a key of this record", clip(d.said("")+e.key)), d.unknownRemedy(e.key))
	}
}

func (d *decoder) keepOwn(e entry) {
	if d.src.Extra == nil {
		d.src.Extra = map[string]string{}
	}
	d.src.Extra[d.path+e.key] = e.value.text
}

func (d *decoder) unknownRemedy(key string) string {
	const own = "; keys of your own begin with x_"
	if hint := unitHint(key, d.asked); hint != "" {
		return hint + own
	}
	if hint := d.elsewhere(key); hint != "" {
		return hint
	}
	if near := nearest(key, d.asked); near != "" {
		return "did you mean “" + near + "”? Keys of your own begin with x_"
	}
	known := slices.Clone(d.asked)
	slices.Sort(known)
	return "accepted here: " + strings.Join(slices.Compact(known), ", ") + own
}
