// Package substance is the cupboard: what a wet-plate worker buys, under every
// name the trade uses, with formula, molar mass, density and hazards.
//
// Find takes a name as a recipe writes it and returns a Match. A name that
// leaves a hydrate open is matched with a question, because anhydrous cadmium
// bromide and its tetrahydrate differ by a quarter in halide. A name the
// cupboard lacks is a Match all the same, not Known, with the classes its own
// words give away ("acid", "cyanide"): it must be shown as NoData.
//
// Hazards are those of Regulation (EC) No 1272/2008 (CLP, the European form of
// the GHS): entries of its Annex VI where there is one, else what suppliers
// commonly notify, each with its source and where it was cited from memory.
// They are as of AsOf and stand below the supplier's own safety data sheet.
// Nothing here is first aid; see chemistry.FirstAid.
package substance

// AsOf is the date of the hazard data.
const AsOf = "November 2026"

// NoData is what is said of a substance without hazard data.
const NoData = "no hazard data here: read its safety data sheet"
