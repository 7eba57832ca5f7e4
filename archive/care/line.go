package care

// Line is one piece of advice. Key names it for files of words in other
// languages; it is empty for the studio's own lines. Source is empty for common
// practice and for the studio's own lines.
type Line struct {
	Key    string
	Text   string
	Source string
}

// Published sources. Those of the American Institute for Conservation (AIC),
// McCabe, PSAP, NARA, NEDCC, the museums and the Library of Congress were read
// in excerpts; clause values of standards are from memory.
const (
	nara     = "National Archives (US), Photographs, holdings maintenance"
	mccabe   = "McCabe, Journal of the American Institute for Conservation 30 (1991) 41-73"
	psap     = "Preservation Self-Assessment Program, University of Illinois"
	aic      = "AIC Photographic Materials Conservation Catalog"
	iso      = "ISO 18902, ISO 18916"
	climate  = "National Science and Media Museum; Library of Congress; ISO 18918"
	loc      = "Library of Congress, Caring for your photographic collections"
	nedcc    = "NEDCC preservation leaflet 5.3"
	nebraska = "Nebraska State Historical Society"
)

// Climate is the storage advice in one phrase.
const Climate = "cool, dry, steady: 15–20 °C, 30–45 % RH, never above 60 %"

// Lines returns the care of a plate for a page in order: the
// touch, the support, the enclosure, the place, the light. An unknown support
// gets what holds for every plate. The studio's extra lines come last, as they
// are.
func Lines(support string, varnished bool, extra []string) []Line {
	out := []Line{{Key: "edges", Text: "Hold the plate by its edges, with both hands, clean and dry or gloved. Never touch the image.", Source: nara}}
	out = append(out, surface(varnished)...)
	out = append(out, bySupport[support]...)
	if support == "glass" || support == "glass-negative" {
		out = append(out, glass...)
	}
	out = append(out, everywhere...)
	for _, text := range extra {
		out = append(out, Line{Text: text})
	}
	return out
}

func surface(varnished bool) []Line {
	never := Line{
		Key:    "unwiped",
		Text:   "Never wipe, polish, wet or spray it. Alcohol, perfume, window cleaner and film cleaner dissolve varnish and image.",
		Source: mccabe}
	if !varnished {
		never.Key, never.Text = "bare", "This plate is not varnished: its silver lies bare and tarnishes or rubs off at a touch. Never wipe, polish, wet or spray it."
	}
	return []Line{never, {Key: "dust", Text: "Dust: a rubber bulb blower, nothing else; no brush, no cloth, no canned air."}}
}

var bySupport = map[string][]Line{
	"tin": {
		{Key: "iron", Text: "Iron under lacquer: do not bend it, the image cracks; scratches and bare edges rust. Keep it dry.", Source: aic + ", Tintypes"},
		{Key: "flaking", Text: "If the image flakes, lay the plate flat and leave it so.", Source: psap + ", Tintypes"},
	},
	"aluminium": {
		{Key: "aluminium", Text: "Lacquered aluminium: do not bend it, the image cracks. It does not rust, but scratches show for good."},
	},
	"glass": {
		{Key: "backing", Text: "An ambrotype: the dark behind it makes the picture. Keep its backing with it."},
	},
	"glass-negative": {
		{Key: "negative", Text: "A negative on glass: the image is on one side. Rest it on the other, and print or scan from a copy where you can."},
	},
}

var glass = []Line{
	{Key: "glass", Text: "Glass breaks. Stand it on a long edge in padding, one plate to an enclosure, and write “glass” on the box.", Source: psap + ", Ambrotypes"},
	{Key: "pieces", Text: "If it breaks, keep every piece, flat and apart, without tape or glue."},
}

var everywhere = []Line{
	{Key: "envelope", Text: "Keep it in a four-flap envelope of acid-free paper, seams away from the image, in a padded box. No PVC, no rubber, nothing self-adhesive, no wooden drawer.", Source: psap + "; " + iso + " (materials that pass the Photographic Activity Test)"},
	{Key: "climate", Text: "Store it " + Climate + ".", Source: climate},
	{Key: "heat", Text: "Heat works fast: decay doubles with about every 5.6 °C.", Source: nedcc},
	{Key: "rooms", Text: "Not in an attic, basement, bathroom or car, nor over a radiator. Fresh paint, plywood and sulfur fumes discolour silver.", Source: loc},
	{Key: "sun", Text: "Out of the sun. Show it for short spells in dim light (50–100 lux), behind UV-filtering glass, or show a copy: varnish and hand colour fade.", Source: loc + "; light level from museum practice"},
	{Key: "frame", Text: "In a frame a mat or spacer keeps everything off the image."},
	{Key: "scan", Text: "Scan or copy it once and keep the original in the dark. On a scanner it rests on supports, and the image side is never dragged.", Source: nebraska + ", slides (that a few scans do little harm)"},
	{Key: "case", Text: "A plate sealed in a case stays closed: a conservator opens it.", Source: psap + ", Daguerreotypes"},
}
