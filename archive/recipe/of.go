package recipe

import (
	"sandarac/archive/chemistry"
	"sandarac/archive/finding"
	"sandarac/archive/record"
)

// Of understands a batch's parts. Findings carry the part's line.
func Of(b *record.Batch) (chemistry.Recipe, []finding.Finding) {
	r, problems := read(b)
	return r, findings(b, problems)
}

func read(b *record.Batch) (chemistry.Recipe, []chemistry.Problem) {
	return chemistry.Read(chemistry.Mix{Kind: chemistry.Kind(b.Kind), VolumeMl: b.VolumeML, Parts: parts(b.Parts)})
}

func parts(in []record.Part) []chemistry.Part {
	out := make([]chemistry.Part, len(in))
	for i, p := range in {
		out[i] = chemistry.Part{Substance: p.Substance, Grams: p.Grams, Millilitres: p.ML, PercentWV: p.PercentWV, Amount: p.Amount}
	}
	return out
}

// faultedByRecord are problems that reading the record has reported already, at
// the same line.
var faultedByRecord = map[string]bool{"amount-count": true, "amount-not-positive": true, "percent-over-100": true, "volume-not-positive": true}

func findings(b *record.Batch, problems []chemistry.Problem) []finding.Finding {
	var out []finding.Finding
	for _, p := range problems {
		if b.Broken && faultedByRecord[p.Code] {
			continue
		}
		out = append(out, at(b, line(b, p), p))
	}
	return out
}

func at(b *record.Batch, line int, p chemistry.Problem) finding.Finding {
	return finding.Finding{Severity: finding.Severity(p.Severity), Code: p.Code, File: b.File, Line: line,
		Message: "batch " + b.ID + ": " + p.Message, Remedy: p.Remedy}
}

// line finds where a problem stands: its part, its log entry, or the batch.
func line(b *record.Batch, p chemistry.Problem) int {
	in, fallback := b.Parts, b.Line("parts")
	if p.Entry >= 0 && p.Entry < len(b.Log) {
		in, fallback = b.Log[p.Entry].Added, b.Log[p.Entry].Line
	}
	if p.Part >= 0 && p.Part < len(in) {
		return in[p.Part].Line
	}
	return fallback
}
