// Package recipe joins the records to the chemistry: a batch record becomes a
// recipe, a silver bath an account with the plates that passed through it, and
// whatever the chemistry finds becomes a finding with its file and line.
//
// It imports record and chemistry and holds no chemistry of its own. Whether a
// batch was ready or past its day when a plate used it is judged in check.
package recipe
