// Package chemistry knows the solutions of the wet plate: it reads and scales a
// recipe, counts its halides and the silver they take, names what is dangerous
// in it and in the studio, and describes the flaws a plate shows.
//
// In go plain values (Mix, Bottle, Facts); out come Recipes, Panels, Problems
// and Flaws. Problems are typed faults with a severity, a message and a remedy;
// the caller knows the file and the line. Nothing is computed from a guess: an
// unnamed ounce is asked for, a hydrate left open is named as an assumption.
//
// Sub-packages: unit (old weights and measures), substance (the cupboard and its
// hazards), silverbath (density and account), logbook (the words of a log).
//
// Nothing here is an instruction to mix. Every Panel ends with Deferral: safety
// data sheets, local codes and licensed practice come first. First aid says
// whom to call and no more.
package chemistry
