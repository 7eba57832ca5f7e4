package substance

// atomicWeights in g/mol: Commission on Isotopic Abundances and Atomic Weights,
// Standard Atomic Weights 2021; the conventional value where the standard is an
// interval (H, Li, C, N, O, Mg, S, Cl, Br). The conventional values are cited
// from memory.
var atomicWeights = map[string]float64{
	"H": 1.008, "Li": 6.94, "C": 12.011, "N": 14.007, "O": 15.999,
	"Na": 22.98976928, "Mg": 24.305, "S": 32.06, "Cl": 35.45, "K": 39.0983,
	"Ca": 40.078, "Fe": 55.845, "Cu": 63.546, "Zn": 65.38, "Br": 79.904,
	"Ag": 107.8682, "Cd": 112.414, "I": 126.90447, "Hg": 200.592,
}

// SourceAtomicWeights names where the atomic weights come from.
const SourceAtomicWeights = "CIAAW, Standard Atomic Weights 2021"

// AtomicWeight returns the atomic weight of an element in g/mol, and false for
// an element the trade's substances do not hold.
func AtomicWeight(symbol string) (float64, bool) {
	w, ok := atomicWeights[symbol]
	return w, ok
}
