package chemistry

var exposureFlaws = []Flaw{
	{Slug: "thin", Term: "thin", Synonyms: []string{"dark", "weak", "dull"}, Look: "a dark, dull positive",
		Records: "dose against aim; collodion age; bath pH and strength",
		Causes: []Cause{
			{"under-exposed", "half to one stop more", []Sign{below(Overexposure, 0), below(StopsOverAim, -0.7)}, hasluck},
			{"developer cold or stopped early", "warm it to the room; wait for the shadows", []Sign{below(DeveloperWarmth, 15), below(DevelopedSeconds, 8)}, hasluck},
			{"bath weak", "read it, then strengthen", []Sign{above(BathUnderFloor, 0)}, towler},
			{"bath very acid", "bicarbonate by drops until a faint cloud stays; never ammonia", []Sign{below(BathPH, 3)}, towler},
			{"old, red collodion", "a new batch", []Sign{above(CollodionAge, 180)}, towler},
		}},
	{Slug: "flat", Term: "flat", Synonyms: []string{"chalky", "foggy grey"}, Look: "chalky and grey, without depth",
		Records: "dose; development seconds",
		Causes: []Cause{
			{"over-exposed", "half a stop less", []Sign{above(Overexposure, 0), above(StopsOverAim, 0.5)}, hasluck},
			{"over-developed", "stop sooner", []Sign{above(DevelopedSeconds, 25), above(DeveloperWarmth, 24)}, hasluck},
		}},
	{Slug: "solarised", Term: "solarised", Synonyms: []string{"solarized", "solarisation"}, Look: "the brightest parts reversed, bluish",
		Records: "dose; light in the frame",
		Causes: []Cause{{"gross over-exposure: sky, lamps, specular points", "less exposure; keep the source out of the frame",
			[]Sign{above(Overexposure, 0), above(StopsOverAim, 2)}, practice}}},
	{Slug: "light-leak", Term: "light leak", Look: "a dense wedge or edge", Records: "holder",
		Causes: []Cause{{"holder, bellows or slide", "hold a lamp inside and look", nil, practice}}},
	{Slug: "movement", Term: "movement", Synonyms: []string{"doubled sitter", "moved"}, Look: "a doubled sitter", Records: "seconds",
		Causes: []Cause{{"seconds too long, no head rest", "a head rest; more light or a wider stop", []Sign{above(ExposedSeconds, 8)}, practice}}},
}
