package analysis

import (
	"fmt"
	"slices"
	"strings"
)

// A plate judged under asks for more exposure, never for less. A fitted model
// can read it the wrong way round all the same: far above the aim it flattens
// the effect of dose for every plate, and an age or a light of its own gives it
// leverage. Where a plate judged under, of the batch and light asked for, would
// shorten the advice, the advice leaves it out and says so.
//
// The limits of this: advice for another batch or another kind of light may
// move either way, since a slow north window means a quicker south one in the
// same plates; and so may a plate that first makes a model possible where there
// were medians, or first makes its dose effect sure.
const (
	contraryStops = 0.01 // what no hand can time
	contraryMost  = 6    // plates left out at most
	contraryTried = 6    // plates tried at each step, the highest doses first
	// contraryPlates is the size of an archive above which no one plate moves
	// the advice by so much.
	contraryPlates = 2000
)

// withoutContrary is the model of the rows without the plates judged under that
// shorten the advice.
func (d *desk) withoutContrary(rows []row, m *ExposureModel, q question) (*ExposureModel, question) {
	if len(rows) > contraryPlates {
		return m, q
	}
	dose := m.fitted.position(q, 0).dose
	var left []string
	for len(left) < contraryMost {
		best, at := dose+contraryStops, none
		for _, i := range d.contraryCandidates(rows) {
			if v, ok := d.pointDose(slices.Delete(slices.Clone(rows), i, i+1)); ok && v > best {
				best, at = v, i
			}
		}
		if at == none {
			break
		}
		left = append(left, rows[at].id)
		rows, dose = slices.Delete(slices.Clone(rows), at, at+1), best
	}
	if len(left) == 0 {
		return m, q
	}
	d.notes = append(d.notes, fmt.Sprintf("Left out: %s, judged under at so much exposure, or so far from the others, that the advice would grow shorter by it. Look at the record.", strings.Join(left, ", ")))
	return d.model(rows, false)
}

// pointDose is the advised dose by some rows, false where they carry no model.
func (d *desk) pointDose(rows []row) (float64, bool) {
	m, q := d.model(rows, true)
	if m == nil || m.fitted == nil {
		return 0, false
	}
	return m.fitted.position(q, 0).dose, true
}

// contraryCandidates are the places of the plates judged under that speak for
// the batch and light asked for: those of the highest dose, the oldest and the
// youngest.
func (d *desk) contraryCandidates(rows []row) []int {
	own := slices.ContainsFunc(rows, func(x row) bool { return x.collodion == d.setting.batch })
	var under []int
	for i, x := range rows {
		if x.grade == 0 && x.light == d.setting.light && (!own || x.collodion == d.setting.batch) {
			under = append(under, i)
		}
	}
	if len(under) <= contraryTried {
		return under
	}
	slices.SortStableFunc(under, func(i, j int) int { return rows[i].age - rows[j].age })
	ends := []int{under[0], under[len(under)-1]}
	slices.SortStableFunc(under, func(i, j int) int {
		switch a, b := rows[i].dose, rows[j].dose; {
		case a > b:
			return -1
		case a < b:
			return 1
		}
		return 0
	})
	out := under[:contraryTried-len(ends)]
	for _, i := range ends {
		if !slices.Contains(out, i) {
			out = append(out, i)
		}
	}
	return out
}
