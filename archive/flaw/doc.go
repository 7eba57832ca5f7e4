// Package flaw asks the archive what its flaws go with.
//
// In go the records, and a Stock that knows recipes and bath accounts; out come
// a page for each flaw that occurs, with contrasts (this collodion against the
// others, late in the bath against early), and for a single plate its flaws
// with the causes its own record speaks for.
//
// Contrasts are Fisher's exact tests with Newcombe's interval for the
// difference, adjusted by Holm over all the contrasts of that flaw's page. They
// say "seen more often with" and never "because of": each is a lead to test
// with one plate.
package flaw
