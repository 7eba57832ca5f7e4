package analysis

// What may be said of two groups.
const (
	TooFewToTell      = "too few to tell"
	NoClearDifference = "no clear difference"
	ProbablyBetter    = "probably better"
	Better            = "better"
)

// verdict chooses the words: too few when either group has under five plates
// or the interval of the difference is wider than a half; no clear difference
// when that interval spans zero; else better when Holm's p is at most 0.05,
// probably better when the model gives the one with the higher rate at least
// nine chances in ten.
func verdict(p Pair, modelP float64, modelled bool) string {
	width := p.Newcombe95[1] - p.Newcombe95[0]
	spansZero := p.Newcombe95[0] <= 0 && p.Newcombe95[1] >= 0
	switch {
	case p.a.TooFew || p.b.TooFew || width > 0.5:
		return TooFewToTell
	case spansZero:
		return NoClearDifference
	case p.HolmP <= 0.05:
		return Better
	case modelled && agrees(p.Difference, modelP):
		return ProbablyBetter
	}
	return NoClearDifference
}

// agrees says whether the model is at least nine in ten sure of the side the
// raw rates show.
func agrees(difference, p float64) bool {
	return difference > 0 && p >= 0.9 || difference < 0 && p <= 0.1
}

// judgePairs writes the verdict of every pair.
func (r *Report) judgePairs() {
	var k *keeperFit
	if r.KeeperModel != nil {
		k = r.KeeperModel.fitted
	}
	for _, g := range r.groupings() {
		for i := range *g.pairs {
			p := &(*g.pairs)[i]
			prob, ok := k.better(g.name, p.A, p.B)
			p.Verdict = verdict(*p, prob, ok)
		}
	}
}
