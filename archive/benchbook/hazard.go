package benchbook

import (
	"strings"

	"sandarac/archive/chemistry"
	"sandarac/archive/chemistry/substance"
)

// panelView is the block of cautions of a batch, a step or a card.
type panelView struct {
	Word       string      `json:"word"`
	Pictograms []pictogram `json:"pictograms"`
	Labels     []labelView `json:"labels"`
	Kind       []string    `json:"kind"`
	Protect    []string    `json:"protect"`
	Apart      []string    `json:"apart"`
	Store      []string    `json:"store"`
	Waste      []string    `json:"waste"`
	Pregnancy  string      `json:"pregnancy"`
	FirstAid   []string    `json:"firstaid"`
	AsOf       string      `json:"asof"`
	Deferral   string      `json:"deferral"`
}

type pictogram struct {
	Code string `json:"code"`
	Name string `json:"name"`
}

// labelView is one substance's label.
type labelView struct {
	Name       string   `json:"name"`
	Word       string   `json:"word"`
	Statements []string `json:"statements"`
	Note       string   `json:"note"`
	NoData     string   `json:"nodata"`
	Source     string   `json:"source"`
}

func newPanel(p chemistry.Panel) panelView {
	v := panelView{Word: string(p.Word), Kind: p.Kind, Protect: p.Protect, Store: p.Store, Waste: p.Waste, Pregnancy: p.Pregnancy,
		FirstAid: p.FirstAid, AsOf: p.AsOf, Deferral: p.Deferral, Pictograms: pictograms(p.Pictograms)}
	for _, r := range p.Rows {
		l := labelView{Name: oneLine(r.Name), Word: string(r.Word), Note: r.Note, NoData: r.NoData, Source: strings.Join(noEmpty(r.Status, r.Source), "; ")}
		for _, st := range r.Statements {
			l.Statements = append(l.Statements, string(st)+" "+st.Text())
		}
		v.Labels = append(v.Labels, l)
	}
	for _, x := range p.Pairs {
		v.Apart = append(v.Apart, x.Warns()+" "+x.Rule)
	}
	return v
}

func pictograms(list []substance.Pictogram) []pictogram {
	var out []pictogram
	for _, x := range list {
		out = append(out, pictogram{string(x), x.Name()})
	}
	return out
}

func noEmpty(list ...string) []string {
	var out []string
	for _, s := range list {
		if s != "" {
			out = append(out, s)
		}
	}
	return out
}
