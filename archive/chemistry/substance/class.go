package substance

import "strings"

// Class is what a substance is to the rules of the bench: which pairs are
// dangerous, how it is kept, where its waste goes.
type Class string

const (
	Acid           Class = "acid"
	Alkali         Class = "alkali"
	Ammonia        Class = "ammonia"
	Alcohol        Class = "alcohol"
	Bromide        Class = "bromide"
	Cadmium        Class = "cadmium"
	Chloride       Class = "chloride"
	Copper         Class = "copper"
	Cyanide        Class = "cyanide"
	Ether          Class = "ether"
	Flammable      Class = "flammable"
	Halide         Class = "halide" // takes silver from the bath
	Iodide         Class = "iodide"
	Iron           Class = "iron"
	Mercury        Class = "mercury"
	Nitrate        Class = "nitrate"
	Nitrocellulose Class = "nitrocellulose"
	Organic        Class = "organic"
	Oxidiser       Class = "oxidiser"
	Resin          Class = "resin"
	Reproductive   Class = "harmful in pregnancy"
	Silver         Class = "silver"
	Thiosulfate    Class = "thiosulfate"
	Water          Class = "water"
)

// telling holds words that give a class away in the name of a substance the
// cupboard lacks. They err on the side of a warning.
var telling = []struct {
	word    string
	classes []Class
}{
	{"acid", []Class{Acid}}, {"vinegar", []Class{Acid, Organic}}, {"bisulfate", []Class{Acid}},
	{"cyanide", []Class{Cyanide}}, {"ammonia", []Class{Ammonia, Alkali}}, {"ammonium hydroxide", []Class{Ammonia, Alkali}},
	{"ether", []Class{Ether, Flammable, Organic}}, {"collodion", []Class{Ether, Flammable, Organic, Nitrocellulose}},
	{"alcohol", []Class{Alcohol, Flammable, Organic}}, {"ethanol", []Class{Alcohol, Flammable, Organic}},
	{"methanol", []Class{Alcohol, Flammable, Organic}}, {" spirit", []Class{Alcohol, Flammable, Organic}},
	{"acetone", []Class{Flammable, Organic}}, {"turpentine", []Class{Flammable, Organic}}, {" oil", []Class{Organic}},
	{"sugar", []Class{Organic}}, {"honey", []Class{Organic}}, {"gelatin", []Class{Organic}},
	{"silver", []Class{Silver}}, {"nitrate", []Class{Nitrate, Oxidiser}}, {"nitrite", []Class{Nitrate, Oxidiser}},
	{"chlorate", []Class{Oxidiser}}, {"peroxide", []Class{Oxidiser}}, {"bleach", []Class{Oxidiser}}, {"hypochlorite", []Class{Oxidiser}},
	{"permanganate", []Class{Oxidiser}}, {"dichromate", []Class{Oxidiser}}, {"bichromate", []Class{Oxidiser}},
	{"cadmium", []Class{Cadmium, Reproductive}}, {"mercur", []Class{Mercury, Reproductive}},
	{"thiosulfate", []Class{Thiosulfate}}, {"hyposulfite", []Class{Thiosulfate}},
	{"iodide", []Class{Iodide}}, {"bromide", []Class{Bromide}}, {"chloride", []Class{Chloride}},
	{"copper", []Class{Copper}}, {"ferrous", []Class{Iron}}, {"iron", []Class{Iron}},
	{"hydroxide", []Class{Alkali}}, {"carbonate", []Class{Alkali}}, {"pyroxylin", []Class{Nitrocellulose, Flammable}},
	{"guncotton", []Class{Nitrocellulose, Flammable}}, {"cellulose nitrate", []Class{Nitrocellulose, Flammable}},
}

// classesByName reads the classes a name gives away; name is folded.
func classesByName(name string) []Class {
	var out []Class
	name = " " + name
	for _, t := range telling {
		if !strings.Contains(name, t.word) {
			continue
		}
		for _, c := range t.classes {
			out = appendNew(out, c)
		}
	}
	return out
}

func appendNew[T comparable](list []T, x T) []T {
	for _, have := range list {
		if have == x {
			return list
		}
	}
	return append(list, x)
}
