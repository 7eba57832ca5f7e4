package chemistry

// Sources of the flaw tables, by author.
const (
	schriever  = "Schriever, Complete Self-Instructing Library, 1908-09, ch. XXII-XXIII"
	estabrooke = "Estabrooke, 1872 and 1887"
	hardwich   = "Hardwich, quoted in Wilson's Photographics, lesson 177"
	wilkinson  = "Wilkinson, Photo-Engraving, ch. II"
	towler     = "Towler, The Silver Sunbeam, 1864, ch. XVI"
	hasluck    = "Hasluck, The Book of Photography, 1905"
	jones      = "Jones, Cassell's Cyclopaedia, 1911"
	handbookP  = "an early 20th-century handbook, Defects in the Negative"
	practice   = "common practice"
)

const sunIt = "neutralise with bicarbonate, sun, filter, restore the acid"

var bathFlaws = []Flaw{
	{Slug: "fog", Term: "fog", Synonyms: []string{"veil", "veiling"}, Look: "grey over all, the shadows not clear",
		Records: "bath pH and plates since sunning; development seconds and warmth; dose; an unexposed test plate",
		Causes: []Cause{
			{"bath alkaline or too little acid", "acidify by drops until litmus just reddens", []Sign{above(BathPH, 5.5)}, estabrooke + "; " + schriever},
			{"organic matter in the bath", sunIt, []Sign{above(PlatesSinceSunned, 75)}, schriever},
			{"developer warm or left on too long", "cool the developer; stop when the shadows just show detail", []Sign{above(DeveloperWarmth, 24), above(DevelopedSeconds, 25)}, towler},
			{"over-exposure", "half to one stop less", []Sign{above(Overexposure, 0), above(StopsOverAim, 0.7)}, towler},
			{"stray light", "develop an unexposed plate; test the safelight and the holder", nil, schriever},
			{"a new bath not yet iodised", "leave one coated plate in overnight", nil, schriever},
		}},
	{Slug: "comets", Term: "comets", Synonyms: []string{"comet"}, Look: "dots with tails along the flow",
		Records: "days since the bath was filtered; direction against the pour corner",
		Causes: []Cause{
			{"particles in the bath", "filter the bath", []Sign{above(DaysSinceFiltered, 7), above(PlatesSinceFiltered, 30)}, practice},
			{"particles in the collodion", "settle and decant; pour from the top", nil, practice},
			{"particles in the developer", "filter the developer", nil, practice},
			{"dust on the plate", "dust the plate, damp the room", []Sign{below(Humidity, 30)}, practice},
		}},
	{Slug: "oily-lines", Term: "oily lines", Synonyms: []string{"greasy lines"}, Look: "runnels, as of grease",
		Records: "minutes in the bath; plates in the bath",
		Causes: []Cause{
			{"alcohol and ether in the bath", "more alcohol in the developer; drive the alcohol off or refine the bath", []Sign{above(PlatesSinceEvaporated, 100)}, hardwich},
			{"lifted from the bath too soon", "leave it until the liquid runs off without lines", nil, hardwich},
			{"too little developer", "cover the plate in one sweep", nil, hardwich},
		}},
	{Slug: "vertical-lines", Term: "straight vertical lines", Synonyms: []string{"vertical lines"}, Look: "straight lines in the direction of the dip",
		Records: "plates since alcohol was driven off",
		Causes: []Cause{{"bath charged with alcohol", "open evaporation under extraction, neutralised first, never dry; or send it for refining",
			[]Sign{above(PlatesSinceEvaporated, 100)}, schriever + ", §950"}}},
	{Slug: "scum", Term: "matte silver", Synonyms: []string{"metallic stain", "scum"}, Look: "grey or bluish metallic scum on the surface",
		Records: "bath gravity; collodion; holder",
		Causes: []Cause{
			{"bath too strong", "dilute the bath", []Sign{above(BathStrength, 11)}, schriever + ", §951-952"},
			{"collodion over-iodised", "a collodion with less salts, or thin it with plain collodion", []Sign{above(CollodionSalts, 2)}, schriever},
			{"scum on the surface of the bath", "skim with paper before each plate", nil, schriever},
			{"dry wood of the holder touching the film", "blot the edge; varnish or wet the holder's corners", nil, jones},
		}},
	{Slug: "fantasy", Term: "marbled cloud", Synonyms: []string{"fantasy", "marbling"}, Look: "a marbled cloud near the thick edge",
		Records: "strength of the bath; plates since topping up",
		Causes:  []Cause{{"bath too weak", "read it, then strengthen", []Sign{above(BathUnderFloor, 0)}, wilkinson}}},
	{Slug: "pinholes", Term: "pinholes", Synonyms: []string{"pin holes", "pinhole"}, Look: "clear points in the lights",
		Records: "bath plates since filtering; strength; salts in the collodion",
		Causes: []Cause{
			{"bath overcharged with iodide", "dilute, filter, restore the strength", []Sign{above(PlatesSinceFiltered, 50)}, schriever + ", §953; " + estabrooke},
			{"bath weak and organic", "sun, filter, strengthen", []Sign{above(BathUnderFloor, 0), above(PlatesSinceSunned, 75)}, wilkinson},
			{"too much iodide in the collodion", "a collodion with less salts", []Sign{above(CollodionSalts, 2)}, schriever},
			{"too little iodide in the collodion", "a collodion with more salts", []Sign{below(CollodionSalts, 0.7)}, schriever},
			{"dust", "dust the plate; filter the bath", []Sign{above(DaysSinceFiltered, 7)}, schriever},
		}},
	{Slug: "black-spots", Term: "black spots", Synonyms: []string{"black spot"}, Look: "spots without image (on a positive)",
		Records: "settle days of the batch; plate lot",
		Causes: []Cause{
			{"free iodide in the bath", "filter the bath cold", []Sign{above(PlatesSinceFiltered, 50)}, estabrooke},
			{"undissolved salts in the collodion", "settle and decant", []Sign{below(CollodionAge, 2)}, estabrooke},
			{"rust or bare metal on tin", "new plates", nil, practice},
			{"dust", "dust the plate", nil, estabrooke},
		}},
}
