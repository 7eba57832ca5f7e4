package consent

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"sandarac/archive/record"
)

// Codes of reasons that stand in a plate's texts.
const (
	nameInText    = "name-in-text"
	partInText    = "name-part-in-text"
	emailInText   = "email-in-text"
	plateInText   = "plate-in-text"
	releaseInText = "release-in-text"
	clientPart    = "client-word-in-text" // may be chance; see ClientWords
)

// judge gives, for each plate, everything that stands against showing it.
func judge(a *record.Archive, day record.Date) [][]Reason {
	said := unsayable(a, day)
	out := make([][]Reason, len(a.Plates))
	for i, p := range a.Plates {
		out[i] = append(against(a, p, day), inTexts(p, publicTexts(a, p), said, ownSitters(a, p, day))...)
	}
	hideMentioned(a, out)
	return out
}

// unsayable holds what no public text may say on a day, but for ids of plates.
func unsayable(a *record.Archive, day record.Date) *wordings {
	said := newWordings()
	private, open := names(a, day)
	for _, name := range private {
		said.forbidName(name, nameInText)
	}
	for _, text := range slices.Concat(open, []string{a.Studio.Name, a.Studio.Credit, a.Studio.Copyright, a.Studio.Email}) {
		said.allow(text)
	}
	clients := append(slices.Collect(maps.Values(a.Clients)), a.StrayClients...)
	for _, c := range clients {
		if c.Email != a.Studio.Email {
			said.forbid(c.Email, emailInText)
		}
	}
	for _, code := range record.Releases {
		said.forbid(code, releaseInText)
	}
	return said
}

// keyed is what one key of a plate's record would put on public pages.
type keyed struct {
	key   string
	texts []string
	label bool // tags and ids, written small whatever they say
}

// publicTexts lists everything of a plate's record that its page would say in the
// photographer's own words.
func publicTexts(a *record.Archive, p *record.Plate) []keyed {
	out := []keyed{
		{key: "title", texts: []string{p.Title}}, {key: "alt", texts: []string{p.Alt}}, {key: "tags", texts: p.Tags, label: true},
		{key: "light.kind", texts: []string{p.Light.Kind}}, {key: "plate", texts: []string{p.ID}, label: true},
	}
	if a.Studio.ShowRecipes {
		out = append(out, keyed{"lens", []string{p.Lens}, true})
		p.Batches.Each(func(kind, id string) { out = append(out, keyed{"batches." + kind, []string{id}, true}) })
	}
	return out
}

// ownSitters are the names of those in a plate who did not agree to be named, and
// the words of these names: a first name beside somebody's picture names them.
// That someone of the same name agreed, or they themselves for another plate,
// does not count here; a word that somebody beside them bears, who did, does.
func ownSitters(a *record.Archive, p *record.Plate, day record.Date) *wordings {
	var own *wordings
	open := openWords(a, p, day)
	for _, s := range p.Sitters {
		if sitter, ok := a.Sitter(s); ok && sitter.Name != "" && !Named(sitter, day) {
			if own == nil {
				own = newWordings()
			}
			own.forbidName(sitter.Name, nameInText)
			own.forbidParts(sitter.Name, partInText, open)
		}
	}
	return own
}

// inTexts gives a reason for each text that says what may not be said.
func inTexts(p *record.Plate, texts []keyed, lists ...*wordings) (out []Reason) {
	for _, t := range texts {
		for _, said := range lists {
			if said == nil {
				continue
			}
			look := said.in
			if t.label {
				look = said.inLabels
			}
			if found, ok := look(t.texts); ok {
				out = append(out, found.reason(t.key, p.Line(t.key)))
				break
			}
		}
	}
	return out
}

// reason words what was found in a key, or in another part of a record.
func (w wording) reason(key string, line int) Reason {
	r := Reason{Code: w.code, Line: line, Remedy: "take it out of " + key}
	switch w.code {
	case nameInText:
		r.Sentence = key + " holds “" + w.text + "”, the name of someone who did not agree to be named in public"
		r.Remedy = "take the name out of " + key + ", or record that they agreed"
	case partInText:
		r.Sentence = key + " holds “" + w.text + "”, from the name of someone in the plate who did not agree to be named in public"
		r.Remedy = "take the name out of " + key + ", or record that they agreed; if the word is none of a name there, write it otherwise"
	case clientPart:
		r.Sentence = key + " holds “" + w.text + "”, a word of the name of the client it was made for"
		r.Remedy = "clients are never named in public: if the word stands for them, take it out of " + key
	case emailInText:
		r.Sentence = key + " holds the email address " + w.text + " of a client"
	case plateInText:
		r.Sentence = key + " holds the id “" + w.text + "” of a plate that is not public"
	case releaseInText:
		r.Sentence = key + " holds the model release code " + w.text + ", which never leaves the studio"
	}
	return r
}

// hideMentioned hides plates whose texts name a hidden plate by its id, and then
// those that name these.
func hideMentioned(a *record.Archive, out [][]Reason) {
	for again := true; again; {
		again = false
		ids := newWordings()
		for i, p := range a.Plates {
			if len(out[i]) == 0 {
				ids.allow(p.ID)
			} else if telling(p.ID) {
				ids.forbid(p.ID, plateInText)
			}
		}
		for i, p := range a.Plates {
			if len(out[i]) > 0 {
				continue
			}
			texts := slices.DeleteFunc(publicTexts(a, p), func(t keyed) bool { return t.key == "plate" })
			out[i] = inTexts(p, texts, ids)
			again = again || len(out[i]) > 0
		}
	}
}

// telling says whether an id can hardly be anything else: it has a digit and five
// letters or digits, and is not a date.
func telling(id string) bool {
	count := 0
	for _, r := range id {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			count++
		}
	}
	return count >= 5 && strings.ContainsFunc(id, unicode.IsDigit) && !dateLike.MatchString(id)
}

var dateLike = regexp.MustCompile(`^(18|19|20)\d\d[-._/]?(0\d|1[0-2])([-._/]?[0-3]\d)?$`)
