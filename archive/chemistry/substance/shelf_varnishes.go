package substance

var varnishShelf = []Substance{
	{Slug: "sandarac", Name: "gum sandarac", Synonyms: []string{"sandarac", "sandarach", "gum sandarach"}, Classes: []Class{Resin, Organic},
		Use: "the varnish resin", Hazard: unclassified("The dust of a resin burns.")},
	{Slug: "lavender-oil", Name: "lavender oil", Synonyms: []string{"oil of lavender", "oil of spike lavender", "spike lavender oil", "spike oil"},
		Classes: []Class{Organic}, Use: "keeps the varnish supple", Density: &Density{0.885, "natural oil, 0.88 to 0.90", handbook},
		Hazard: &Hazard{Word: Danger, Pictograms: []Pictogram{HealthHazard, ExclamationMark}, NotifiedPictograms: []Pictogram{Environment},
			Notified: []Statement{"H304", "H315", "H317", "H319", "H412"}, Status: selfDeclared,
			Source: "two suppliers' sheets, which differ", Note: "A natural mixture; some suppliers give H411 in place of H412."}},
	{Slug: "shellac", Name: "shellac", Synonyms: []string{"lac", "white lac", "bleached shellac", "gum lac"}, Classes: []Class{Resin, Organic},
		Use: "hardens a varnish", Hazard: unclassified("The dust of a resin burns.")},
	{Slug: "castor-oil", Name: "castor oil", Classes: []Class{Organic}, Use: "keeps a varnish supple",
		Density: &Density{0.961, "natural oil", handbook}, Hazard: unclassified("Rags wet with drying oils can heat by themselves.")},
	{Slug: "gum-benzoin", Name: "gum benzoin", Synonyms: []string{"benzoin"}, Classes: []Class{Resin, Organic}, Use: "softens a varnish"},
}

// otherShelf holds what has no place in a recipe here but turns up in old books
// and on other shelves of the same room, so that the pairs can be warned of.
var otherShelf = []Substance{
	{Slug: "ammonia-solution", Name: "ammonia solution",
		Synonyms: []string{"ammonia", "ammonium hydroxide", "liquor ammoniae", "household ammonia", "spirits of hartshorn", "liquid ammonia"},
		Classes:  []Class{Ammonia, Alkali}, Use: "none here: never near silver", Density: &Density{0.91, "25 %", handbook},
		Hazard: &Hazard{Word: Danger, Pictograms: []Pictogram{Corrosion, ExclamationMark, Environment}, Statements: []Statement{"H314", "H335", "H400"},
			Status: harmonised, Source: annexVI + "007-001-01-2" + fromMemory}},
	{Slug: "sulfuric-acid", Name: "sulfuric acid", Synonyms: []string{"oil of vitriol"}, Formula: "H2SO4", Classes: []Class{Acid},
		Use: "acidifies some developers", Density: &Density{1.84, "95 to 98 %", handbook},
		Hazard: &Hazard{Word: Danger, Pictograms: []Pictogram{Corrosion}, Statements: []Statement{"H314"}, Status: harmonised,
			Source: annexVI + "016-020-00-8" + fromMemory}},
	{Slug: "hydrochloric-acid", Name: "hydrochloric acid", Synonyms: []string{"muriatic acid", "spirits of salt"}, Formula: "HCl", Classes: []Class{Acid, Chloride},
		Use: "none in the process", Density: &Density{1.18, "37 %", handbook},
		Hazard: &Hazard{Word: Danger, Pictograms: []Pictogram{Corrosion, ExclamationMark}, Statements: []Statement{"H314", "H335"}, Status: harmonised,
			Source: annexVI + "017-002-01-X" + fromMemory}},
	{Slug: "formic-acid", Name: "formic acid", Formula: "CH2O2", Classes: []Class{Acid, Organic}, Use: "in some developers",
		Density: &Density{1.22, "pure", handbook},
		Hazard: &Hazard{Word: Danger, Pictograms: []Pictogram{Corrosion}, NotifiedPictograms: []Pictogram{Flame, Skull}, Statements: []Statement{"H314"},
			Notified: []Statement{"H226", "H302", "H331"}, Status: harmonised, Source: annexVI + "607-001-00-0" + fromMemory}},
	{Slug: "citric-acid", Name: "citric acid", Classes: []Class{Acid, Organic}, Use: "restrains some developers",
		Hazard: &Hazard{Word: Warning, Pictograms: []Pictogram{ExclamationMark}, Notified: []Statement{"H319", "H335"}, Status: selfDeclared, Source: suppliers}},
	{Slug: "sodium-chloride", Name: "sodium chloride", Synonyms: []string{"salt", "common salt", "table salt"}, Formula: "NaCl", Classes: []Class{Halide, Chloride},
		Use: "throws silver down for recovery or assay", Hazard: unclassified("")},
}
