// Package analysis turns an archive into answers: which batch, which light,
// what exposure next, and how sure each of these is.
//
// In goes what record read; out come a Report (groups, pairs, an exposure
// model, a keeper model, ageing, the baths, findings in plain sentences), the
// Advice for one exposure, exposure tables to print, and the series a page
// draws. Broken records are left out and counted. The numbers are computed by
// stats and exposure; this package decides what is compared, which model the
// data can carry, and how much may be said.
//
// A plate judged under never makes the advice for its own batch and light
// shorter, by more than a hand can time, once the archive carries an interval;
// one that would is left out of the advice, and named. For other batches and
// lights there is no such rule: the same plate may rightly shorten those, and
// the first plates that make a model possible may move any advice either way.
//
// Nothing is dropped in silence: each value that cannot be computed is nil,
// which JSON writes as null, with a reason in the notes. A step down to a
// simpler model is named. Records observe, they do not experiment: batch,
// weather, sitter and skill travel together.
package analysis
