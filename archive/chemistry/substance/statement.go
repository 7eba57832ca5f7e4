package substance

// Statement is a hazard statement of the GHS or a supplementary one of the
// European Union, by its code.
type Statement string

// statements: Regulation (EC) No 1272/2008, Annex III (from memory).
var statements = map[Statement]string{
	"H224":   "Extremely flammable liquid and vapour.",
	"H225":   "Highly flammable liquid and vapour.",
	"H226":   "Flammable liquid and vapour.",
	"H228":   "Flammable solid.",
	"H272":   "May intensify fire; oxidiser.",
	"H290":   "May be corrosive to metals.",
	"H300":   "Fatal if swallowed.",
	"H301":   "Toxic if swallowed.",
	"H302":   "Harmful if swallowed.",
	"H304":   "May be fatal if swallowed and enters airways.",
	"H310":   "Fatal in contact with skin.",
	"H311":   "Toxic in contact with skin.",
	"H312":   "Harmful in contact with skin.",
	"H314":   "Causes severe skin burns and eye damage.",
	"H315":   "Causes skin irritation.",
	"H317":   "May cause an allergic skin reaction.",
	"H318":   "Causes serious eye damage.",
	"H319":   "Causes serious eye irritation.",
	"H330":   "Fatal if inhaled.",
	"H331":   "Toxic if inhaled.",
	"H332":   "Harmful if inhaled.",
	"H335":   "May cause respiratory irritation.",
	"H336":   "May cause drowsiness or dizziness.",
	"H340":   "May cause genetic defects.",
	"H350":   "May cause cancer.",
	"H360":   "May damage fertility or the unborn child.",
	"H360FD": "May damage fertility. May damage the unborn child.",
	"H362":   "May cause harm to breast-fed children.",
	"H370":   "Causes damage to organs.",
	"H372":   "Causes damage to organs through prolonged or repeated exposure.",
	"H373":   "May cause damage to organs through prolonged or repeated exposure.",
	"H400":   "Very toxic to aquatic life.",
	"H410":   "Very toxic to aquatic life with long lasting effects.",
	"H411":   "Toxic to aquatic life with long lasting effects.",
	"H412":   "Harmful to aquatic life with long lasting effects.",
	"EUH019": "May form explosive peroxides.",
	"EUH032": "Contact with acids liberates very toxic gas.",
	"EUH066": "Repeated exposure may cause skin dryness or cracking.",
	"EUH071": "Corrosive to the respiratory tract.",
}

// Text returns the statement's words, empty for a code not in use here.
func (s Statement) Text() string { return statements[s] }

// Pictogram is a GHS pictogram by its code.
type Pictogram string

const (
	Flame           Pictogram = "GHS02"
	FlameOverCircle Pictogram = "GHS03"
	Corrosion       Pictogram = "GHS05"
	Skull           Pictogram = "GHS06"
	ExclamationMark Pictogram = "GHS07"
	HealthHazard    Pictogram = "GHS08"
	Environment     Pictogram = "GHS09"
)

// pictograms: UN, Globally Harmonized System, Annex 1; names as in Regulation
// (EC) No 1272/2008, Annex V (from memory).
var pictograms = map[Pictogram]string{
	Flame: "flame", FlameOverCircle: "flame over circle", Corrosion: "corrosion",
	Skull: "skull and crossbones", ExclamationMark: "exclamation mark",
	HealthHazard: "health hazard", Environment: "environment",
}

// Name returns the pictogram's name in words.
func (p Pictogram) Name() string { return pictograms[p] }

// Word is the signal word of a label, empty when there is none.
type Word string

const (
	Danger  Word = "Danger"
	Warning Word = "Warning"
)

// Stronger returns the more severe of two signal words.
func (w Word) Stronger(v Word) Word {
	if w == Danger || v == "" {
		return w
	}
	if v == Danger || w == "" {
		return v
	}
	return w
}
