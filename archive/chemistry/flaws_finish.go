package chemistry

var finishFlaws = []Flaw{
	{Slug: "developer-marks", Term: "developer stain", Synonyms: []string{"rush mark", "developer marks"}, Look: "a pale comet where the developer was poured",
		Records: "developer batch; hand",
		Causes: []Cause{
			{"poured from a height or on one point", "a low, wide sweep from the edge", nil, practice},
			{"silver washed off by the pour", "just enough developer to cover, kept on the plate", nil, handbookP},
		}},
	{Slug: "unfixed", Term: "unfixed", Synonyms: []string{"creamy patches"}, Look: "creamy patches, darkening later",
		Records: "plates per fixer; seconds in the fixer",
		Causes: []Cause{
			{"fixer spent", "a new fixer; note how many plates it took", []Sign{above(PlatesInFixer, 50)}, practice},
			{"too short in the fixer", "until no creamy halide is left, and as long again", nil, practice},
		}},
	{Slug: "reticulation", Term: "reticulation", Synonyms: []string{"cracks", "crazing"}, Look: "cracks or crazing when dry", Records: "drying",
		Causes: []Cause{
			{"hot, fast drying", "dry on a rack, away from heat", []Sign{above(AirWarmth, 30)}, practice},
			{"thick film", "thin the collodion", []Sign{above(Pyroxylin, 1.8)}, practice},
		}},
	{Slug: "varnish", Term: "varnish fault", Synonyms: []string{"varnish", "bloom", "chill", "runs"}, Look: "melted image, runs, bloom or chill",
		Records: "varnish batch; air and humidity",
		Causes: []Cause{
			{"alcohol too strong for the film", "a little water or more oil in the varnish; test on a spare plate", nil, practice},
			{"plate too hot or too cold", "as warm as the back of the hand bears; indirect heat", []Sign{below(AirWarmth, 15)}, practice},
			{"damp plate or damp air", "dry the plate first", []Sign{above(Humidity, 70)}, practice},
		}},
	{Slug: "stains", Term: "stains", Synonyms: []string{"stain", "finger marks"}, Look: "brown or black patches, finger marks",
		Records: "holder; washing; hand",
		Causes: []Cause{
			{"silver or fixer from fingers or a dirty holder", "gloves; clean the holder; one hand wet, one dry", nil, practice},
			{"wash too short", "wash longer", nil, practice},
		}},
	{Slug: "rust", Term: "rust", Look: "orange points or edge on tin", Records: "plate lot; minutes wet",
		Causes: []Cause{{"scratched or cut edge, long wet time", "varnish the edges; dry sooner; new plates", []Sign{above(Humidity, 70)}, practice}}},
	{Slug: "scratch", Term: "scratch", Synonyms: []string{"scratches"}, Look: "a scratch", Records: "nothing",
		Causes: []Cause{{"handling", "by the edges, one at a time", nil, practice}}},
}
