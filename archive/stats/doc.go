// Package stats holds the numbers of the analysis, without plates: intervals
// and tests for proportions, quantiles, robust slopes, control charts, and
// ordered and binary regressions with one random intercept by Laplace's
// method.
//
// In go plain slices, out come plain values. Nothing here is random except
// where a seed is an argument, and no result depends on the order of the
// observations beyond rounding. What cannot be computed is refused with an
// error that wraps one of the kinds in errors.go; nothing panics on data and
// nothing returns NaN as a result.
//
// Linear algebra and distributions come from gonum (mat, stat/distuv); the
// likelihoods are written here because the values must equal those of the
// reference programs to four digits and better.
package stats
