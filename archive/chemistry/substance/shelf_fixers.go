package substance

// cyanideHazard is that of the salts of hydrogen cyanide.
var cyanideHazard = &Hazard{
	Word: Danger, Pictograms: []Pictogram{Skull, Environment},
	Statements:         []Statement{"H300", "H310", "H330", "H410", "EUH032"},
	NotifiedPictograms: []Pictogram{HealthHazard, Corrosion}, Notified: []Statement{"H290", "H372"},
	Status: harmonised,
	Source: annexVI + "group entry 006-007-00-5" + fromMemory + "; EUH032: Regulation (EC) No 1272/2008, Annex II, 1.2.3",
	Note:   "Fatal in very small amounts. The smell is no warning: many people cannot smell it.",
}

var fixerShelf = []Substance{
	{Slug: "potassium-cyanide", Name: "potassium cyanide", Synonyms: []string{"cyanide", "cyanide of potassium", "cyanide of potash"}, Formula: "KCN",
		Classes: []Class{Cyanide}, Use: "fixes in seconds, brightens the image", Hazard: cyanideHazard,
		Note: "locked, dry, apart from every acid; moist air alone frees some gas"},
	{Slug: "sodium-cyanide", Name: "sodium cyanide", Synonyms: []string{"cyanide of sodium"}, Formula: "NaCN",
		Classes: []Class{Cyanide}, Use: "fixes as potassium cyanide does", Hazard: cyanideHazard,
		Note: "locked, dry, apart from every acid; moist air alone frees some gas"},
	{Slug: "sodium-thiosulfate-pentahydrate", Name: "sodium thiosulfate pentahydrate",
		Synonyms: []string{"hypo crystals", "sodium thiosulfate crystals", "prismatic hypo", "sodium thiosulfate 5-hydrate"}, Formula: "Na2S2O3·5H2O",
		Classes: []Class{Thiosulfate}, Use: "fixes in minutes", Hazard: unclassified("Acid sets free sulfur dioxide.")},
	{Slug: "sodium-thiosulfate-anhydrous", Name: "sodium thiosulfate, anhydrous",
		Synonyms: []string{"sodium thiosulfate anhydrous", "anhydrous hypo", "anhydrous sodium thiosulfate"}, Formula: "Na2S2O3",
		Classes: []Class{Thiosulfate}, Use: "fixes in minutes", Hazard: unclassified("Acid sets free sulfur dioxide.")},
	{Slug: "ammonium-thiosulfate", Name: "ammonium thiosulfate", Synonyms: []string{"rapid fixer", "ammonium hypo"}, Formula: "(NH4)2S2O3",
		Classes: []Class{Thiosulfate}, Use: "fixes quickly; weigh it against loss of half-tone", Note: "rapid fixers sold ready made are often acid: read the sheet"},
}
