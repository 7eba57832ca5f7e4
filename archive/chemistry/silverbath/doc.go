// Package silverbath keeps the account of a silver nitrate bath: what went in,
// what the plates took, what is left, and when it wants strengthening.
//
// In go the bath as made, its log entries and the plates sensitised in it; out
// comes an Account: an estimate with its assumptions, corrected at every
// reading, with the correction shown. Two losses are kept apart: silver turned
// into halide, which lowers the strength, and bath carried off on the plate,
// which lowers the volume and takes silver with it but leaves the strength.
//
// Strengths are % w/v (grams of AgNO3 in 100 ml), as photographers mean it.
// Density comes from a published table at 20 °C; a reading outside it is
// refused and says so. The package knows no plate and no recipe: callers hand
// it square decimetres, millilitres and grams.
package silverbath
