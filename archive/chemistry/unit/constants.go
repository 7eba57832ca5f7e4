package unit

// Masses in grams. The grain is the same in avoirdupois, apothecaries' and troy
// weight. NIST Handbook 44, appendix C; Weights and Measures Act 1985.
const (
	MilligramsPerGrain           = 64.79891
	GramsPerGrain                = MilligramsPerGrain / 1000
	GramsPerScruple              = 20 * GramsPerGrain
	GramsPerDrachm               = 60 * GramsPerGrain
	GramsPerAvoirdupoisDram      = 27.34375 * GramsPerGrain
	GramsPerAvoirdupoisOunce     = 437.5 * GramsPerGrain
	GramsPerApothecariesOunce    = 480 * GramsPerGrain
	GramsPerAvoirdupoisPound     = 7000 * GramsPerGrain
	GramsPerApothecariesPound    = 5760 * GramsPerGrain
	millilitresPerCubicInch      = 2.54 * 2.54 * 2.54
	MillilitresPerUSGallon       = 231 * millilitresPerCubicInch
	MillilitresPerImperialGallon = 4546.09
)

// Volumes in millilitres. A US fluid ounce is 1/128 of the US gallon, an
// imperial one 1/160 of the imperial gallon; each holds 8 fluid drachms or 480
// minims, but the US pint holds 16 ounces and the imperial 20.
const (
	MillilitresPerUSFluidOunce        = MillilitresPerUSGallon / 128
	MillilitresPerUSFluidDrachm       = MillilitresPerUSFluidOunce / 8
	MillilitresPerUSMinim             = MillilitresPerUSFluidOunce / 480
	MillilitresPerUSPint              = 16 * MillilitresPerUSFluidOunce
	MillilitresPerUSQuart             = 2 * MillilitresPerUSPint
	MillilitresPerImperialFluidOunce  = MillilitresPerImperialGallon / 160
	MillilitresPerImperialFluidDrachm = MillilitresPerImperialFluidOunce / 8
	MillilitresPerImperialMinim       = MillilitresPerImperialFluidOunce / 480
	MillilitresPerImperialPint        = 20 * MillilitresPerImperialFluidOunce
	MillilitresPerImperialQuart       = 2 * MillilitresPerImperialPint

	// MillilitresPerDrop is a convention for water (20 drops to the
	// millilitre); drops of acid and alcohol are smaller. Common practice.
	MillilitresPerDrop = 0.05
)

// GramsPer100mlFromGrains turn grains per fluid ounce into grams per 100 ml:
// multiply by the factor of the ounce meant.
const (
	GramsPer100mlFromGrainsPerUSOunce       = 100 * GramsPerGrain / MillilitresPerUSFluidOunce
	GramsPer100mlFromGrainsPerImperialOunce = 100 * GramsPerGrain / MillilitresPerImperialFluidOunce
)
