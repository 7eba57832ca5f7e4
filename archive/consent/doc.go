// Package consent decides what may be seen, where, and on which day. It is the
// gate between the records and whatever leaves the studio: the packages that
// make public pages and galleries get the views of this package, which hold
// nothing else, and never the records.
//
// It fails closed. What is not said is no; what cannot be read, found or
// decided is not shown, and Why says for each hidden plate what stands against
// it. It writes nothing and asks no clock: the day is an argument.
package consent
