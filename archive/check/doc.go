// Package check judges the records against each other, against their scans and
// against the trade. Notation and types are judged where they are read, in
// record; here is everything that takes two records, a scan's header or a
// calendar to see.
//
// A plate with an error is marked Broken, so that whatever is made from the
// archive afterwards leaves it out whole. Scans are opened read-only, and only
// their headers are read unless Deep is asked for. Findings are the archive's
// faults, all gathered; an error is the machine's.
package check
