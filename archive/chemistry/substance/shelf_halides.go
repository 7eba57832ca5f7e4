package substance

// cadmiumHazard prints the severe set for every cadmium halide.
func cadmiumHazard(note, source string, statements ...Statement) *Hazard {
	return &Hazard{
		Word:       Danger,
		Pictograms: []Pictogram{Skull, HealthHazard, Environment},
		Statements: statements,
		Status:     harmonised,
		Source:     source,
		Note:       note,
	}
}

var cadmiumBromideHazard = cadmiumHazard(
	"The group entry for cadmium compounds gives less (H302, H312, H332, H410); suppliers' sheets for the bromide usually give the severe statements printed here.",
	annexVI+"048-001-00-5, quoted by the International Cadmium Association; severe set as for other cadmium salts, ECHA notice 2015 and suppliers"+fromMemory,
	"H301", "H330", "H312", "H340", "H350", "H360FD", "H372", "H410")

var iodideShelf = []Substance{
	{Slug: "ammonium-iodide", Name: "ammonium iodide", Synonyms: []string{"iodide of ammonium"}, Formula: "NH4I",
		Classes: []Class{Halide, Iodide}, Use: "iodises collodion; ripens fast, reddens soon",
		Note: "draws water: weigh quickly and close the bottle; use no yellowed salt",
		Hazard: &Hazard{Word: Warning, Pictograms: []Pictogram{ExclamationMark}, Notified: []Statement{"H315", "H319", "H335"},
			Status: selfDeclared, Source: suppliers}},
	{Slug: "cadmium-iodide", Name: "cadmium iodide", Synonyms: []string{"iodide of cadmium"}, Formula: "CdI2",
		Classes: []Class{Halide, Iodide, Cadmium, Reproductive}, Use: "iodises collodion; ripens slowly and keeps",
		Hazard: func() *Hazard {
			h := cadmiumHazard("A government classification may be more severe than this; treat as a carcinogen.",
				annexVI+"048-007-00-8"+fromMemory+", not verified", "H301", "H331", "H373", "H410")
			h.Notified = []Statement{"H350"}
			return h
		}()},
	{Slug: "potassium-iodide", Name: "potassium iodide", Synonyms: []string{"iodide of potassium", "iodide of potash"}, Formula: "KI",
		Classes: []Class{Halide, Iodide}, Use: "iodises collodion or a new bath; little soluble in alcohol",
		Hazard: &Hazard{Word: Danger, Pictograms: []Pictogram{HealthHazard}, Notified: []Statement{"H372"},
			Status: selfDeclared, Source: suppliers, Note: "H372 is for the thyroid, when swallowed."}},
	{Slug: "sodium-iodide", Name: "sodium iodide", Synonyms: []string{"iodide of sodium"}, Formula: "NaI",
		Classes: []Class{Halide, Iodide}, Use: "iodises collodion"},
	{Slug: "lithium-iodide-anhydrous", Name: "lithium iodide, anhydrous", Synonyms: []string{"lithium iodide anhydrous", "anhydrous lithium iodide"}, Formula: "LiI",
		Classes: []Class{Halide, Iodide}, Use: "iodises collodion without cadmium", Note: "draws water strongly: weigh quickly"},
	{Slug: "lithium-iodide-trihydrate", Name: "lithium iodide trihydrate", Formula: "LiI·3H2O",
		Classes: []Class{Halide, Iodide}, Use: "iodises collodion without cadmium", Note: "brings water into the collodion"},
	{Slug: "zinc-iodide", Name: "zinc iodide", Synonyms: []string{"iodide of zinc"}, Formula: "ZnI2",
		Classes: []Class{Halide, Iodide}, Use: "iodises collodion for process work", Note: "draws water"},
}

var bromideShelf = []Substance{
	{Slug: "ammonium-bromide", Name: "ammonium bromide", Synonyms: []string{"bromide of ammonium"}, Formula: "NH4Br",
		Classes: []Class{Halide, Bromide, Reproductive}, Use: "bromises collodion",
		Hazard: &Hazard{Word: Danger, Pictograms: []Pictogram{HealthHazard, ExclamationMark},
			Statements: []Statement{"H360FD", "H362", "H372", "H336", "H319"}, Status: harmonised,
			Source: "Regulation (EU) 2021/849" + fromMemory + "; CLH report, Swedish Chemicals Agency, 2019",
			Note:   "H372 is for the nervous system."}},
	{Slug: "cadmium-bromide-tetrahydrate", Name: "cadmium bromide tetrahydrate",
		Synonyms: []string{"cadmium bromide 4-hydrate", "cadmium bromide crystals"}, Formula: "CdBr2·4H2O",
		Classes: []Class{Halide, Bromide, Cadmium, Reproductive}, Use: "bromises collodion; keeps", Hazard: cadmiumBromideHazard,
		Note: "the form usually sold"},
	{Slug: "cadmium-bromide-anhydrous", Name: "cadmium bromide, anhydrous",
		Synonyms: []string{"cadmium bromide anhydrous", "anhydrous cadmium bromide"}, Formula: "CdBr2",
		Classes: []Class{Halide, Bromide, Cadmium, Reproductive}, Use: "bromises collodion; keeps", Hazard: cadmiumBromideHazard,
		Note: "draws water"},
	{Slug: "potassium-bromide", Name: "potassium bromide", Synonyms: []string{"bromide of potassium", "bromide of potash"}, Formula: "KBr",
		Classes: []Class{Halide, Bromide}, Use: "bromises collodion; little soluble in alcohol",
		Hazard: &Hazard{Word: Danger, Pictograms: []Pictogram{ExclamationMark}, NotifiedPictograms: []Pictogram{HealthHazard},
			Notified: []Statement{"H319", "H360", "H372"}, Status: selfDeclared, Source: suppliers,
			Note: "The severe set is printed; many suppliers give Warning, with H319 only."}},
	{Slug: "sodium-bromide", Name: "sodium bromide", Synonyms: []string{"bromide of sodium"}, Formula: "NaBr",
		Classes: []Class{Halide, Bromide}, Use: "bromises collodion"},
	{Slug: "lithium-bromide", Name: "lithium bromide", Synonyms: []string{"bromide of lithium"}, Formula: "LiBr",
		Classes: []Class{Halide, Bromide}, Use: "bromises collodion without cadmium", Note: "draws water strongly: weigh quickly",
		Hazard: &Hazard{Word: Warning, Pictograms: []Pictogram{ExclamationMark},
			Notified: []Statement{"H302", "H315", "H317", "H319"}, Status: selfDeclared, Source: suppliers}},
	{Slug: "zinc-bromide", Name: "zinc bromide", Synonyms: []string{"bromide of zinc"}, Formula: "ZnBr2",
		Classes: []Class{Halide, Bromide}, Use: "bromises collodion for process work", Note: "draws water"},
	{Slug: "copper-bromide", Name: "copper(II) bromide", Synonyms: []string{"copper bromide", "cupric bromide", "bromide of copper"}, Formula: "CuBr2",
		Classes: []Class{Halide, Bromide, Copper}, Use: "bromises collodion in some American formulae"},
}
