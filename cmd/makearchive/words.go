package main

import (
	"fmt"
	"strings"
)

var (
	trades = []string{"Reed maker", "Lock keeper", "Rope maker", "Bell founder", "Beekeeper", "Net mender", "Cooper", "Sign painter", "Ferry hand", "Saddler",
		"Clockmaker", "Baker", "Carpenter", "Weaver", "Glazier", "Miller"}
	manners = []string{"at the bench", "with a lamp", "by the door", "in a straw hat", "with both hands raised", "in an apron", "looking down", "with a dog"}
	people  = []string{"A woman", "A man", "An old man", "A young woman", "Two sisters", "A boy"}
	deeds   = []string{"holds a bundle of reeds", "looks straight into the lens", "sits turned to the window", "leans on a bench", "stands with folded arms", "laughs and has moved a little"}
	tags    = []string{"canal", "craft", "hands", "hat", "window", "profile", "apron", "rope", "reeds", "lamp", "dog", "bench"}
	remarks = []string{"Poured a little thick at the lower left.", "Held well for the whole time.", "Cold morning, slow to set.", "The second pour of the day.",
		"Cleared at once in the fixing tray.", "Asked for a second print.", "Lavender oil ran low."}
)

func pick(s *season, list []string) string { return list[s.rng.IntN(len(list))] }

// name makes a name of syllables that are in no language.
func (s *season) name() string {
	const consonants, vowels = "bdfgklmnprstvz", "aeiou"
	word := func() string {
		var b strings.Builder
		for range 2 + s.rng.IntN(2) {
			b.WriteByte(consonants[s.rng.IntN(len(consonants))])
			b.WriteByte(vowels[s.rng.IntN(len(vowels))])
		}
		b.WriteByte(consonants[s.rng.IntN(len(consonants))])
		return strings.ToUpper(b.String()[:1]) + b.String()[1:]
	}
	return word() + " " + word()
}

func (s *season) drawWords(p *plate) {
	p.title = pick(s, trades) + " " + pick(s, manners)
	p.alt = fmt.Sprintf("%s %s, %s.", pick(s, people), pick(s, deeds), pick(s, manners))
	for range 1 + s.rng.IntN(3) {
		if t := pick(s, tags); !strings.Contains(strings.Join(p.tags, " "), t) {
			p.tags = append(p.tags, t)
		}
	}
	for range 1 + s.rng.IntN(3) {
		p.notes += pick(s, remarks) + " "
	}
	p.notes += fmt.Sprintf("Number %d in the day book.\n", p.n)
}
