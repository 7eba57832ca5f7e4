package benchbook

import (
	"context"
	"slices"

	"sandarac/archive/finding"
	"sandarac/archive/record"
)

// findingRow is one finding as pages show it.
type findingRow struct {
	Severity string `json:"severity"`
	Where    string `json:"where"`
	Message  string `json:"message"`
	Remedy   string `json:"remedy"`
	Plate    *said  `json:"plate"`
}

// findingRow words a finding; on is the plate whose page it stands on, if any.
func (s *stage) findingRow(f finding.Finding, on *record.Plate) findingRow {
	row := findingRow{Severity: string(f.Severity), Where: f.Where(), Message: oneLine(f.Message), Remedy: oneLine(f.Remedy)}
	if p, ok := s.Archive.Plate(f.Plate); ok && on == nil {
		row.Plate = &said{Text: p.ID, To: s.platePath(p)}
	}
	return row
}

var severities = []finding.Severity{finding.Error, finding.Warning, finding.Remark}

var severityMeans = map[finding.Severity]string{
	finding.Error:   "A plate with an error is left out of everything that is published, until it is mended.",
	finding.Warning: "A warning needs a decision: a plate is hidden, or a number is in doubt.",
	finding.Remark:  "A remark is worth knowing and needs nothing.",
}

// checkSize is how many findings a page holds.
const checkSize = 80

type checkView struct {
	Counts []checkCount `json:"counts"`
	Parts  []checkPart  `json:"parts"`
	Turn   turn         `json:"turn"`
	Total  int          `json:"total"`
}

type checkCount struct {
	Severity string `json:"severity"`
	Said     string `json:"said"`
	N        int    `json:"n"`
}

type checkPart struct {
	Severity string       `json:"severity"`
	Title    string       `json:"title"`
	Means    string       `json:"means"`
	Rows     []findingRow `json:"rows"`
}

// writeCheck writes what check found, gravest first.
func (s *stage) writeCheck(context.Context) error {
	sorted := slices.Clone(s.Findings)
	slices.SortStableFunc(sorted, func(a, b finding.Finding) int {
		return slices.Index(severities, a.Severity) - slices.Index(severities, b.Severity)
	})
	return s.series("check", len(sorted), checkSize, func(lo, hi int, at turn) page {
		v := checkView{Counts: s.checkCounts(), Turn: at, Total: len(sorted)}
		for _, f := range sorted[lo:hi] {
			if n := len(v.Parts); n == 0 || v.Parts[n-1].Severity != string(f.Severity) {
				v.Parts = append(v.Parts, checkPart{Severity: string(f.Severity), Title: capital(string(f.Severity)) + "s", Means: severityMeans[f.Severity]})
			}
			part := &v.Parts[len(v.Parts)-1]
			part.Rows = append(part.Rows, s.findingRow(f, nil))
		}
		return page{Title: "What check found", Layout: "check", Params: v}
	})
}

func (s *stage) checkCounts() []checkCount {
	var out []checkCount
	for _, sev := range severities {
		n := finding.Count(s.Findings, sev)
		out = append(out, checkCount{string(sev), count(n, string(sev)), n})
	}
	return out
}
