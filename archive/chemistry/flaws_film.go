package chemistry

var filmFlaws = []Flaw{
	{Slug: "curtains", Term: "curtains", Synonyms: []string{"curtain"}, Look: "transparent folds at the edge that was lower in the camera",
		Records: "setting time; holder; air and humidity",
		Causes: []Cause{
			{"bath draining down or climbing from dirty corners", "drain longer, wipe the holder's corners", nil, hardwich},
			{"gelatinous collodion", "thin it with ether and alcohol", []Sign{above(Pyroxylin, 1.8)}, hardwich},
			{"cold, damp day", "let the ether go before the dip", []Sign{below(AirWarmth, 12), above(Humidity, 70)}, hardwich},
		}},
	{Slug: "crepe", Term: "crepe", Synonyms: []string{"crapy lines", "crape"}, Look: "a net or wrinkled texture",
		Records: "collodion batch and age; humidity",
		Causes: []Cause{
			{"water in the ether, alcohol or cotton", "drier alcohol; a new batch", []Sign{above(Humidity, 70)}, "Encyclopaedia Britannica, 11th ed., vol. 21, p. 488"},
			{"old, thick collodion", "thin it, or a new batch", []Sign{above(CollodionAge, 180)}, "Encyclopaedia Britannica, 11th ed., vol. 21"},
		}},
	{Slug: "ridges", Term: "ridges", Synonyms: []string{"thick lines", "ridge"}, Look: "diagonal furrows",
		Records: "collodion age; who poured; air",
		Causes: []Cause{
			{"collodion too thick, solvent lost", "thin it with ether and alcohol", []Sign{above(CollodionAge, 90), above(Pyroxylin, 1.8), above(AirWarmth, 27)}, schriever + ", §943-945"},
			{"not rocked", "rock the plate until set", nil, schriever},
			{"chipped edges", "cleaner edges", nil, schriever},
		}},
	{Slug: "streaks", Term: "dip or pour line", Synonyms: []string{"streaks", "streak", "dip line", "pour line"}, Look: "a hard line across",
		Records: "its pattern; plates by the same hand",
		Causes: []Cause{
			{"a pause in the dip", "one unbroken motion", nil, jones + "; " + estabrooke},
			{"a pause in the developer's sweep", "one sweep", nil, estabrooke},
		}},
	{Slug: "lifting", Term: "lifting", Synonyms: []string{"peeling", "frilling"}, Look: "the film leaves the plate",
		Records: "setting time; cleaning; substratum; collodion age",
		Causes: []Cause{
			{"film not set, or over-dry", "set longer; shorter on hot days", []Sign{above(AirWarmth, 27)}, schriever + ", §942"},
			{"greasy glass or no substratum", "clean again; an albumen edge", nil, schriever},
			{"too much acid in bath or developer", "less acid", []Sign{below(BathPH, 3)}, schriever},
			{"washed too hard", "a gentler stream", nil, schriever},
		}},
	{Slug: "cut-off", Term: "bare corner", Synonyms: []string{"thumb corner", "cut off"}, Look: "a corner without film", Records: "nothing",
		Causes: []Cause{{"the hold, or the pool too small", "a larger pool; hold by a corner that the mat covers", nil, practice}}},
	{Slug: "oysters", Term: "oysters", Synonyms: []string{"oyster"}, Look: "shell-like grey-brown stains from the edges",
		Records: "minutes from bath to developer; air and humidity; holder",
		Causes: []Cause{
			{"the plate drying before development", "hurry; damp the holder; shorter exposures", []Sign{above(HolderWaitMinutes, 10), above(AirWarmth, 27), below(Humidity, 30)}, handbookP},
			{"bath drainings creeping back in the holder", "blot the edges; wipe the back", nil, handbookP},
			{"dirty holder", "clean the holder", nil, handbookP},
		}},
	{Slug: "dust", Term: "dust", Look: "specks of dust in the film", Records: "nothing", Causes: []Cause{
		{"dry, dusty room", "damp the floor; dust the plate", []Sign{below(Humidity, 30)}, practice}}},
}
