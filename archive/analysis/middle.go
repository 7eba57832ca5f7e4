package analysis

import (
	"fmt"

	"sandarac/archive/exposure"
	"sandarac/archive/stats"
)

// whose says which plates judged right an aim without a model is taken from.
type whose int

const (
	ofBatch whose = iota // the batch's own under the light
	ofLight              // all batches' under the light
	ofAll                // under other kinds of light
)

var whoseWords = map[whose]string{
	ofBatch: "The median of this batch's plates judged right under this light.",
	ofLight: "The median of all batches' plates judged right under this light.",
	ofAll:   "The median of plates judged right under other kinds of light, which is only a start: a meter and a plate see light differently. Make a test plate.",
}

// middle is the median EI of plates judged right.
type middle struct {
	ei    float64
	n     int
	whose whose
}

// middleOf takes the nearest plates there are; false without any judged right.
func middleOf(rows []row, batch, light string) (middle, bool) {
	var ei [3][]float64
	for _, x := range rows {
		if !x.right() {
			continue
		}
		ei[ofAll] = append(ei[ofAll], x.ei)
		if x.light != light {
			continue
		}
		ei[ofLight] = append(ei[ofLight], x.ei)
		if x.collodion == batch {
			ei[ofBatch] = append(ei[ofBatch], x.ei)
		}
	}
	for w, list := range ei {
		if v, err := stats.Median(list); err == nil {
			return middle{v, len(list), whose(w)}, true
		}
	}
	return middle{}, false
}

// fromMedians is the advice without a model.
func (d *desk) fromMedians() (*Advice, error) {
	m, ok := middleOf(d.judged, d.setting.batch, d.setting.light)
	if !ok {
		return nil, fmt.Errorf("no plate is judged right: %w", ErrNoData)
	}
	sec, err := exposure.SecondsFor(m.ei, d.setting.stop, d.setting.magnification, d.setting.ev100)
	if err != nil {
		return nil, fmt.Errorf("the advised time: %w", err)
	}
	a := d.blank()
	a.Seconds, a.EI = sec, m.ei
	a.Notes = append(a.Notes, whoseWords[m.whose], fmt.Sprintf("It rests on %s judged right. No interval and no chance of success: they need plates judged under, right and over at exposures that overlap. Bracket by half a stop and record each plate.", plates(m.n)))
	a.count()
	a.plausible()
	return a, nil
}
