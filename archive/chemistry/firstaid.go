package chemistry

// Deferral closes every panel.
const Deferral = "These are the usual cautions, not instructions. Your supplier's safety data sheets, your local codes and licensed practice come first; " +
	"ask your fire authority and regulator about cyanide, ether and cadmium before you keep any."

// NoDrain stands with every waste note.
const NoDrain = "Nothing down the drain or into a septic tank: silver, cadmium and cyanide each to its own closed, labelled container, to a licensed contractor."

// Pregnancy stands with cadmium salts, ammonium bromide and whatever else may
// harm a child.
const Pregnancy = "Not to be handled by anyone pregnant, trying for a child or nursing; workplace law may forbid it."

// FirstAid says whom to call and nothing else: the words follow guidance on
// safe use in ECHA dossiers of cyanides and ICSC 0671. poisonCentre is the
// studio's own number, empty if it has not set one.
func FirstAid(poisonCentre string, cyanide bool) []string {
	centre := "Poison centre: not set; add poison_centre to the studio record."
	if poisonCentre != "" {
		centre = "Poison centre: " + poisonCentre + "."
	}
	lines := []string{"Emergency: call your emergency number (112, 911, 999 or your own).", centre,
		"Have the safety data sheet at hand" + map[bool]string{true: " and say “cyanide”.", false: "; say “cyanide” if it may be involved."}[cyanide],
		"Rescuers must not breathe the air or give mouth-to-mouth."}
	if cyanide {
		lines = append(lines, "Never work alone with cyanide.")
	}
	return lines
}
