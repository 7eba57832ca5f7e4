package consent

import "sandarac/archive/record"

// ClientWords lists the plates that are public on a day and say, in their own
// words, a word of the name of the client they were made for, with each place. A
// whole name hides its plate; a single word of it ("Thistledown" for Rowe &
// Thistledown) may be chance, so that is for the photographer to judge. Words of
// the names of people in the plate who agreed to be named are not counted.
func ClientWords(a *record.Archive, day record.Date) []Hidden {
	var out []Hidden
	for i, against := range judge(a, day) {
		p := a.Plates[i]
		client, ok := a.Clients[p.Client]
		if len(against) > 0 || !ok || client.Name == "" {
			continue
		}
		words := newWordings()
		words.forbidParts(client.Name, clientPart, openWords(a, p, day))
		found := inTexts(p, publicTexts(a, p), words)
		if len(found) > 0 {
			out = append(out, Hidden{p, found})
		}
	}
	return out
}

// openWords are the words of the names of those in a plate who agreed to be
// named, folded.
func openWords(a *record.Archive, p *record.Plate, day record.Date) map[string]bool {
	open := map[string]bool{}
	for _, s := range p.Sitters {
		if sitter, ok := a.Sitter(s); ok && Named(sitter, day) {
			for _, part := range nameParts(sitter.Name) {
				open[partKey(part)] = true
			}
		}
	}
	return open
}
