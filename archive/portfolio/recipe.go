package portfolio

import (
	"cmp"
	"slices"

	"sandarac/archive/chemistry/substance"
	"sandarac/archive/consent"
)

// recipePage is what a plate's page says of its making. Numbers are written
// out for the language; an empty string is not recorded.
type recipePage struct {
	Collodion string   `json:"collodion,omitempty"`
	AgeDays   *int     `json:"agedays,omitempty"`
	Bath      string   `json:"bath,omitempty"`
	Developer string   `json:"developer,omitempty"`
	Fixer     string   `json:"fixer,omitempty"`
	Varnish   string   `json:"varnish,omitempty"`
	Lens      string   `json:"lens,omitempty"`
	FocalMM   string   `json:"focalmm,omitempty"`
	Seconds   string   `json:"seconds,omitempty"`
	Stop      string   `json:"stop,omitempty"`
	Developed string   `json:"developed,omitempty"` // seconds
	Cautions  []string `json:"cautions,omitempty"`  // substances, by name
	Chemistry bool     `json:"chemistry"`           // a caution belongs beside it
}

func newRecipe(r *consent.Recipe, w words) *recipePage {
	if r == nil {
		return nil
	}
	positive := func(v float64, digits int) string {
		if v <= 0 {
			return ""
		}
		return w.number(v, digits)
	}
	out := &recipePage{
		Collodion: r.Collodion, Bath: r.Bath, Developer: r.Developer, Fixer: r.Fixer, Varnish: r.Varnish,
		Lens: r.Lens, FocalMM: positive(r.FocalMM, 0), Seconds: positive(r.Seconds, 1), Stop: positive(r.Stop, 1),
		Developed: positive(r.DevelopmentSeconds, 0), Cautions: w.cautions(r.Substances),
	}
	if r.Collodion != "" && r.CollodionAgeDays != nil && *r.CollodionAgeDays >= 0 {
		out.AgeDays = r.CollodionAgeDays
	}
	if out.empty() {
		return nil
	}
	out.Chemistry = r.Collodion+r.Bath+r.Developer+r.Fixer+r.Varnish != "" || out.Developed != ""
	return out
}

// empty says that nothing of the making is recorded.
func (r *recipePage) empty() bool {
	return r.Collodion+r.Bath+r.Developer+r.Fixer+r.Varnish+r.Lens+r.Seconds+r.Stop+r.Developed == "" && len(r.Cautions) == 0
}

// cautions names the substances of a plate's batches that carry a hazard, or
// of which no hazard data is held: what is not known is not harmless. The
// language's names are taken for those the chemistry knows.
func (w words) cautions(byKind map[string][]string) []string {
	var out []string
	for _, names := range byKind {
		for _, n := range names {
			m := substance.Find(n)
			if m.Hazard != nil && len(m.Hazard.Statements)+len(m.Hazard.Notified) == 0 || m.Is(substance.Water) {
				continue
			}
			out = append(out, cmp.Or(w["substance_"+key(m.Slug)], m.Name))
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
