package benchbook

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"sandarac/archive/analysis"
	"sandarac/archive/benchbook/plot"
)

// exposureView is a page of the exposure model: what each batch wants under
// each light, and how much room there is.
type exposureView struct {
	Said   []string   `json:"said"`
	Notes  []string   `json:"notes"`
	Cells  []cellRow  `json:"cells"`
	Aim    string     `json:"aim"` // what the EI of a cell is
	Note   string     `json:"aimNote"`
	Plot   *plot.Plot `json:"plot"`
	Grades []gradeRow `json:"grades"`
	Aims   string     `json:"aims"` // of each light, for a batch like most
	Terms  []termRow  `json:"terms"`
	Tables []said     `json:"tables"` // exposure tables to print
	Turn   turn       `json:"turn"`
}

type cellRow struct {
	Batch    string `json:"batch"`
	To       string `json:"to"`
	Light    string `json:"light"`
	N        int    `json:"n"`
	EI       string `json:"ei"`
	Interval string `json:"interval"`
}

type gradeRow struct {
	Stops string `json:"stops"`
	Under string `json:"under"`
	Right string `json:"right"`
	Over  string `json:"over"`
}

// termRow is one parameter of a model.
type termRow struct {
	Name  string `json:"name"`
	Value string `json:"value"`
	SE    string `json:"se"`
}

const cellSize = 60

var modelWords = map[string]string{
	analysis.Mixed:  "Mixed model: light fixed, batches drawn towards each other as their plates are few.",
	analysis.Fixed:  "One aim for all batches: the data do not carry batch effects.",
	analysis.Simple: "No model: the medians of the plates judged right.",
	analysis.Firth:  "Penalised model: keepers and failures are separated completely somewhere.",
}

func (s *stage) writeExposureModel(context.Context) error {
	m := s.Analysis.ExposureModel
	if m == nil {
		return s.content("learned/exposure", page{Title: "What each batch wants", Layout: "exposure", Params: exposureView{
			Said: []string{"Nothing to go by yet: it takes judged plates with seconds, stop and a light reading."}}})
	}
	cells := s.cells(m)
	return s.series("learned/exposure", len(cells), cellSize, func(lo, hi int, at turn) page {
		v := exposureView{Turn: at, Cells: cells[lo:hi], Aim: aimWords(m.Kind)}
		if m.Kind != analysis.Simple {
			v.Note = "With no judged plates the aim is drawn from the other batches, and its interval is wide."
		}
		if at.Page == 1 {
			v.Said, v.Notes, v.Terms = s.exposureSaid(m), m.Notes, exposureTerms(m)
			s.addChances(&v)
			v.Tables = s.tableLinks()
		}
		return page{Title: "What each batch wants", Layout: "exposure", Params: v}
	})
}

func aimWords(kind string) string {
	if kind == analysis.Simple {
		return "The median EI of the plates judged right, for each collodion under each light"
	}
	return "The EI at which “right” is likeliest, for each collodion under each light"
}

// cells lists the newest batches first.
func (s *stage) cells(m *analysis.ExposureModel) []cellRow {
	sorted := slices.Clone(m.Cells)
	place := map[string]int{}
	for i, b := range s.batches {
		place[b.ID] = i
	}
	slices.SortStableFunc(sorted, func(a, b analysis.Cell) int {
		return cmp.Or(cmp.Compare(place[a.Batch], place[b.Batch]), cmp.Compare(b.N, a.N))
	})
	out := []cellRow{}
	for _, c := range sorted {
		row := cellRow{Batch: c.Batch, Light: c.Light, N: c.N, EI: "–", Interval: twoFigures(c.AimEI95)}
		if _, ok := s.Archive.Batch("collodion", c.Batch); ok {
			row.To = s.batchPath(c.Batch)
		}
		row.EI = orDash(c.AimEI, func(v float64) string { return figures(v, 2) })
		out = append(out, row)
	}
	return out
}

func (s *stage) exposureSaid(m *analysis.ExposureModel) []string {
	out := []string{fmt.Sprintf("From %s. %s", count(m.N, "judged plate"), modelWords[m.Kind])}
	if m.LatitudeStops != nil {
		out = append(out, fmt.Sprintf("Latitude: %.1f stops between the exposure at which under and right are equally likely and the one at which right and over are.", *m.LatitudeStops))
	} else if m.Kind != analysis.Simple {
		out = append(out, "No latitude is given: the slope on exposure is itself in doubt.")
	}
	if age := s.Analysis.ExposureModelAge; age != nil && age.AgeStops95 != nil {
		month := func(v float64) string { return signed(30*v, 1) }
		out = append(out, fmt.Sprintf("With the age of the collodion in the model, a month of age asks for %s stop of exposure, somewhere from %s to %s. The aims below are for all ages together; the tables to print allow for the age of the day.",
			month(*age.AgeStops), month(age.AgeStops95[0]), month(age.AgeStops95[1])))
	}
	return out
}

func exposureTerms(m *analysis.ExposureModel) []termRow {
	var out []termRow
	se := m.SE
	if se == nil {
		se = &analysis.ExposureErrors{}
	}
	two := func(v float64) string { return signed(v, 2) }
	add := func(name string, v, e *float64) {
		if v != nil {
			out = append(out, termRow{name, two(*v), orDash(e, func(x float64) string { return fmt.Sprintf("%.2f", x) })})
		}
	}
	if m.Tau != nil {
		var e0, e1 *float64
		if se.Tau != nil {
			e0, e1 = &se.Tau[0], &se.Tau[1]
		}
		add("threshold under | right", &m.Tau[0], e0)
		add("threshold right | over", &m.Tau[1], e1)
	}
	add("a stop more exposure", m.Dose, se.Dose)
	for _, l := range sortedKeys(m.Light) {
		if l == m.ReferenceLight {
			out = append(out, termRow{"light: " + l, "reference", ""})
			continue
		}
		add("light: "+l, m.Light[l], se.Light[l])
	}
	add("a day of age", m.AgeDays, se.AgeDays)
	add("sd of the batches", m.BatchSD, se.BatchSD)
	if m.LogLikelihood != nil {
		out = append(out, termRow{"log-likelihood", signed(*m.LogLikelihood, 1), ""})
	}
	return out
}

// addChances draws the chance of each judgement. The model's curves have one
// shape under every light and lie about different aims, so one is drawn.
func (s *stage) addChances(v *exposureView) {
	curves := s.Analysis.Series.Grades
	if len(curves) == 0 {
		return
	}
	var chances []plot.Chance
	for _, p := range curves[0].Points {
		chances = append(chances, plot.Chance{Stops: p.Stops, Under: p.Under, Right: p.Right, Over: p.Over})
		if half := 2 * p.Stops; half == float64(int(half)) {
			v.Grades = append(v.Grades, gradeRow{signed(p.Stops, 1), percent(p.Under), percent(p.Right), percent(p.Over)})
		}
	}
	drawn := plot.Grades("Chance of each judgement about the aim", chances)
	v.Plot = &drawn
	const most = 12
	var aims []string
	for _, c := range curves[:min(len(curves), most)] {
		aims = append(aims, fmt.Sprintf("%s EI %s", c.Light, figures(c.AimEI, 2)))
	}
	v.Aims = joinedWith(aims, ", ")
}
