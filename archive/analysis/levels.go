package analysis

// levels are the batches and kinds of light of some plates, each by name, and
// the reference light: the one with most plates, ties by name.
type levels struct {
	batches, lights []string
	batchOf         map[string]int
	reference       string
}

func levelsOf(rows []row) levels {
	batches, lights := map[string]int{}, map[string]int{}
	for _, x := range rows {
		batches[x.collodion]++
		lights[x.light]++
	}
	l := levels{batches: sortedKeys(batches), lights: sortedKeys(lights), batchOf: map[string]int{}}
	for i, b := range l.batches {
		l.batchOf[b] = i
	}
	for _, k := range l.lights {
		if l.reference == "" || lights[k] > lights[l.reference] {
			l.reference = k
		}
	}
	return l
}
