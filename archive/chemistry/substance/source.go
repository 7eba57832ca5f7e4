package substance

// Where the cupboard's figures come from. An entry of Annex VI is named by its
// index number; all of them are cited from memory unless a source says
// otherwise, and the supplier's own sheet goes before them.
const (
	fromMemory = " (from memory)"
	annexVI    = "Regulation (EC) No 1272/2008, Annex VI, "
	handbook   = "CRC Handbook of Chemistry and Physics" + fromMemory
	suppliers  = "commonly notified by suppliers" + fromMemory
)

const (
	harmonised    = "harmonised classification"
	selfDeclared  = "no harmonised classification; as commonly notified by suppliers, which varies"
	notClassified = "not classified as hazardous"
)

func unclassified(note string) *Hazard {
	return &Hazard{Status: notClassified, Source: suppliers, Note: note}
}
