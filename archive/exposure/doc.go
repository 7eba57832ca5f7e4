// Package exposure does the arithmetic of exposing a plate: exposure values,
// dose, effective exposure index and the bellows factor, and the same
// relations solved for seconds, stop or exposure value.
//
// In goes what a photographer measures: seconds, f-number, an incident
// exposure value at ISO 100 (or lux), and either the magnification or the
// distance from lens to plate. Out come numbers in the units their names
// carry. Values that no camera can have (no time, no aperture, not a number)
// are refused with an error that wraps ErrNotPositive or ErrNotFinite.
//
// The relations are those of ISO 2720:1974 for incident light,
// N²/t = E·S/C, with the bellows factor (1+m)² of a symmetric lens.
package exposure
