// Package logbook is the closed vocabulary of a batch's log: what was done to a
// bath, a collodion or another batch, in one word each, with what the word
// means for the bath's account and the caution that goes with doing it.
//
// Figures, triggers and cautions follow Schriever, Complete Self-Instructing
// Library of Practical Photography (1908-09), ch. XXII-XXIII, where named, and
// common practice elsewhere.
package logbook
