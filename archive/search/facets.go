package search

import (
	"encoding/binary"
	"fmt"
	"slices"
)

// How a facet file gives the values; see the package's account of files.
const (
	facetByte  = 1
	facetShort = 2
	facetLists = 3
)

// facetColumns writes one column per facet that any document has.
func facetColumns(docs []*Doc) (map[string][]byte, error) {
	values := map[string]map[string]int{}
	single := map[string]bool{}
	for _, d := range docs {
		for name, given := range d.Facets {
			if values[name] == nil {
				values[name], single[name] = map[string]int{}, true
			}
			for _, v := range given {
				values[name][v] = 0
			}
			if len(given) > 1 {
				single[name] = false
			}
		}
	}
	columns := map[string][]byte{}
	for name, places := range values {
		if len(places) == 0 {
			continue
		}
		if len(places) >= 1<<16-1 {
			return nil, fmt.Errorf("search index: facet %s has %d values; accepted are up to 65,534", name, len(places))
		}
		columns[name] = facetColumn(docs, name, places, single[name])
	}
	return columns, nil
}

func facetColumn(docs []*Doc, name string, places map[string]int, single bool) []byte {
	names := make([]string, 0, len(places))
	for v := range places {
		names = append(names, v)
	}
	slices.Sort(names)
	out := binary.AppendUvarint([]byte{'F'}, uint64(len(names)))
	for i, v := range names {
		places[v] = i
		out = binary.AppendUvarint(out, uint64(len(v)))
		out = append(out, v...)
	}
	out = binary.AppendUvarint(out, uint64(len(docs)))
	kind := facetByte
	switch {
	case !single:
		kind = facetLists
	case len(names) > 254:
		kind = facetShort
	}
	out = append(out, byte(kind))
	if kind == facetLists {
		return appendLists(out, docs, name, places)
	}
	for _, d := range docs {
		code := 0
		if given := d.Facets[name]; len(given) == 1 {
			code = places[given[0]] + 1
		}
		out = append(out, byte(code))
		if kind == facetShort {
			out = append(out, byte(code>>8))
		}
	}
	return out
}

// appendLists writes all the counts and then all the values, since each
// compresses better by itself.
func appendLists(out []byte, docs []*Doc, name string, places map[string]int) []byte {
	var body []byte
	for _, d := range docs {
		var own []int
		for _, v := range d.Facets[name] {
			own = append(own, places[v])
		}
		slices.Sort(own)
		own = slices.Compact(own)
		out = append(out, byte(len(own)))
		for _, place := range own {
			body = binary.AppendUvarint(body, uint64(place))
		}
	}
	return append(out, body...)
}
