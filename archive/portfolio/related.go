package portfolio

// relatedCount is how many plates a page shows as made alike.
const relatedCount = 4

// related finds for each plate the plates made most alike: first by collodion
// batch and kind of light together, then by batch, by light with size, by
// light, and by support with size. Within a group the nearest in the order of
// the list come first. The work is linear in the number of plates.
func related(plates []plate) [][]int {
	groupings := []func(p plate) string{
		func(p plate) string { return both(collodionOf(p), p.LightKind) },
		func(p plate) string { return collodionOf(p) },
		func(p plate) string { return both(p.LightKind, p.format) },
		func(p plate) string { return p.LightKind },
		func(p plate) string { return both(p.Support, p.format) },
	}
	members := make([]map[string][]int, len(groupings))
	place := make([]map[int]int, len(groupings))
	for g, of := range groupings {
		members[g], place[g] = map[string][]int{}, map[int]int{}
		for i, p := range plates {
			if k := of(p); k != "" {
				place[g][i] = len(members[g][k])
				members[g][k] = append(members[g][k], i)
			}
		}
	}
	out := make([][]int, len(plates))
	for i, p := range plates {
		taken := map[int]bool{i: true}
		for g, of := range groupings {
			if k := of(p); k != "" {
				out[i] = nearest(out[i], members[g][k], place[g][i], taken)
			}
		}
	}
	return out
}

// nearest adds to found the members around a place, near ones first, until
// there are enough.
func nearest(found, members []int, at int, taken map[int]bool) []int {
	for d := 1; d < len(members) && d <= 2*relatedCount && len(found) < relatedCount; d++ {
		for _, j := range []int{at + d, at - d} {
			if j >= 0 && j < len(members) && !taken[members[j]] && len(found) < relatedCount {
				taken[members[j]] = true
				found = append(found, members[j])
			}
		}
	}
	return found
}

func collodionOf(p plate) string {
	if p.Recipe == nil {
		return ""
	}
	return p.Recipe.Collodion
}

// both joins two keys, or is "" when either is.
func both(a, b string) string {
	if a == "" || b == "" {
		return ""
	}
	return a + "\x00" + b
}
