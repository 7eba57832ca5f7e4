package substance

var developerShelf = []Substance{
	{Slug: "ferrous-sulfate-heptahydrate", Name: "ferrous sulfate heptahydrate",
		Synonyms: []string{"green vitriol", "copperas", "iron vitriol", "ferrous sulfate crystals", "iron(II) sulfate heptahydrate"},
		Formula:  "FeSO4·7H2O", Classes: []Class{Iron}, Use: "develops", Note: "use green crystals, not brown or white ones",
		Hazard: &Hazard{Word: Warning, Pictograms: []Pictogram{ExclamationMark}, Statements: []Statement{"H302", "H315", "H319"},
			Status: harmonised, Source: annexVI + "026-003-01-4" + fromMemory}},
	{Slug: "acetic-acid", Name: "acetic acid, glacial", Synonyms: []string{"acetic acid", "glacial acetic acid", "acetic", "glacial acetic"}, Formula: "CH3COOH",
		Classes: []Class{Acid, Flammable, Organic}, Use: "restrains the developer", Density: &Density{1.0492, "glacial", handbook},
		Note: "acid into water, never water into acid",
		Hazard: &Hazard{Word: Danger, Pictograms: []Pictogram{Flame, Corrosion}, Statements: []Statement{"H226", "H314"}, Status: harmonised,
			Source: annexVI + "607-002-00-6" + fromMemory, Note: "Diluted to 10 to 25 %: H315 and H319 in place of H314."}},
	{Slug: "copper-sulfate-pentahydrate", Name: "copper sulfate pentahydrate", Synonyms: []string{"blue vitriol", "bluestone", "copper sulfate crystals"}, Formula: "CuSO4·5H2O",
		Classes: []Class{Copper}, Use: "tempers the developer in some formulae",
		Hazard: &Hazard{Word: Danger, Pictograms: []Pictogram{Corrosion, ExclamationMark, Environment}, Statements: []Statement{"H302", "H318", "H410"},
			Status: harmonised, Source: annexVI + "029-023-00-4" + fromMemory}},
	{Slug: "potassium-nitrate", Name: "potassium nitrate", Synonyms: []string{"saltpetre", "saltpeter", "nitre"}, Formula: "KNO3",
		Classes: []Class{Nitrate, Oxidiser}, Use: "brightens the deposit in some developers",
		Hazard: &Hazard{Word: Warning, Pictograms: []Pictogram{FlameOverCircle}, Notified: []Statement{"H272"}, Status: selfDeclared, Source: suppliers}},
	{Slug: "tannin", Name: "tannic acid", Synonyms: []string{"tannin"}, Classes: []Class{Acid, Organic}, Use: "restrains some ferrotype developers"},
	{Slug: "sugar", Name: "sugar", Synonyms: []string{"white sugar", "rock candy", "sucrose"}, Classes: []Class{Organic}, Use: "thickens and restrains a developer", Hazard: unclassified("")},
	{Slug: "gelatine", Name: "gelatine", Synonyms: []string{"gelatin"}, Classes: []Class{Organic}, Use: "restrains a developer", Hazard: unclassified("")},
}
