package benchbook

import (
	"cmp"
	"slices"
	"strings"

	"sandarac/archive/record"
)

// choice is one value of a filter.
type choice struct {
	Value string `json:"value"`
	Name  string `json:"name"`
	N     int    `json:"n"`
}

// filters are the choices of the list of plates. A list that grows with the
// archive holds the newest; the words find the others.
type filters struct {
	Outcomes []choice      `json:"outcomes"`
	Judged   []choice      `json:"judged"`
	Supports []choice      `json:"supports"`
	Formats  []choice      `json:"formats"`
	Lights   []choice      `json:"lights"`
	Flaws    []choice      `json:"flaws"`
	Lenses   []choice      `json:"lenses"`
	Years    []choice      `json:"years"`
	Months   []choice      `json:"months"`
	Batches  []choiceGroup `json:"batches"`
	Clients  []choice      `json:"clients"`
}

type choiceGroup struct {
	Name    string   `json:"name"`
	Choices []choice `json:"choices"`
}

// mostChoices bounds the batches of a kind and the clients that are offered.
const mostChoices = 40

func (s *stage) filters() filters {
	n := map[string]map[string]int{}
	for _, p := range s.plates {
		for facet, values := range s.facets(p) {
			if n[facet] == nil {
				n[facet] = map[string]int{}
			}
			for _, v := range values {
				n[facet][v]++
			}
		}
	}
	f := filters{
		Outcomes: inOrder(append(slices.Clone(record.Outcomes), "none"), n["outcome"], func(v string) string {
			if v == "none" {
				return "no outcome yet"
			}
			return v
		}),
		Judged:   inOrder(record.Grades, n["judged"], spelled),
		Supports: inOrder(record.Supports, n["support"], spelled),
		Formats:  inOrder(append(record.FormatSlugs(), "other"), n["format"], formatName),
		Flaws:    byCount(inOrder(record.Flaws, n["flaw"], spelled)),
	}
	f.Lights, f.Lenses = words(s.lightSlug, n["light"]), words(s.lensSlug, n["lens"])
	years := sortedKeys(n["year"])
	slices.Reverse(years)
	f.Years = inOrder(years, n["year"], itself)
	months := sortedKeys(n["month"])
	slices.Reverse(months)
	f.Months = inOrder(months[:min(len(months), mostChoices)], n["month"], itself)
	f.Batches, f.Clients = s.batchChoices(n["batch"]), s.clientChoices(n["client"])
	return f
}

// words are the values a person's own words make, the most used first.
func words(slugs map[string]string, n map[string]int) []choice {
	var out []choice
	for _, w := range sortedKeys(slugs) {
		out = append(out, choice{slugs[w], w, n[slugs[w]]})
	}
	byCount(out)
	return out[:min(len(out), mostChoices)]
}

func inOrder(values []string, n map[string]int, name func(string) string) []choice {
	out := []choice{}
	for _, v := range values {
		if n[v] > 0 {
			out = append(out, choice{v, name(v), n[v]})
		}
	}
	return out
}

func byCount(list []choice) []choice {
	slices.SortStableFunc(list, func(a, b choice) int { return cmp.Compare(b.N, a.N) })
	return list
}

func formatName(slug string) string {
	if f, ok := record.FormatBySlug(slug); ok {
		return f.Name
	}
	return "another size"
}

func (s *stage) batchChoices(n map[string]int) []choiceGroup {
	var out []choiceGroup
	for _, kind := range record.BatchKinds {
		g := choiceGroup{Name: kindTitles[kind]}
		for _, b := range s.batches { // newest first within a kind
			if slug := s.batchSlug[b.ID]; b.Kind == kind && n[slug] > 0 && len(g.Choices) < mostChoices {
				g.Choices = append(g.Choices, choice{slug, b.ID, n[slug]})
			}
		}
		if len(g.Choices) > 0 {
			out = append(out, g)
		}
	}
	return out
}

func (s *stage) clientChoices(n map[string]int) []choice {
	seen := map[string]bool{}
	var out []choice
	for _, p := range s.plates { // newest first
		c, ok := s.Archive.Clients[p.Client]
		if !ok || seen[c.ID] || len(out) == mostChoices {
			continue
		}
		seen[c.ID] = true
		out = append(out, choice{s.clientSlug[c.ID], clientName(c), n[s.clientSlug[c.ID]]})
	}
	slices.SortFunc(out, func(a, b choice) int { return strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)) })
	return out
}
