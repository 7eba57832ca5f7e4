package search

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"time"
)

// The catalogue of an invented studio, the same for the same number of plates.
var (
	given = strings.Fields(`Ada Agnès Amos Anneke Asta Barnaby Béatrice Bram Cécile Clement Cordelia Dafydd Dorota Edith Eir Elías
		Emrys Esther Fintan Flora François Gudrun Gwen Hanna Hugo Ida Idris Ignacy Ines Isolde Jarosław Jens Jonas Judith Kaja
		Katrin Lars Leopold Lotte Łucja Magnus Małgorzata Marit Mathilde Merete Milo Nadia Niamh Noé Odile Olaf Oriel Orla Oskar
		Paula Petra Piet Quentin Ragna Rasmus René Rosalind Ruben Saskia Seán Sigrid Søren Stella Sylvie Tamsin Tobias Tomos Ulla
		Urszula Valentin Vera Viggo Wanda Wilhelm Yara Ylva Zdzisław Zoë`)
	families = strings.Fields(`Abbot Aldershaw Åkerlund Barrow Bellamy Birkeland Blom Brandt Bridgewater Bryn Calloway Castell Chandler
		Conroy Cooper Dąbrowski Dahl Delacroix Dunmore Eastlake Ekström Fairweather Falk Ferrier Flôch Garland Grünwald Haddon Halloran
		Hartnell Hérault Holmquist Ingram Jankowski Jórvík Keating Kestrel Kowalczyk Lacombe Larkspur Lindqvist Lockhart Lührs Marlowe
		Mason Merrick Millar Møller Nørgaard Nyberg O'Brannock O'Sullane Oakley Ottesen Pemberley Penhallow Piątek Quayle Ravn Redfern
		Rosenqvist Rowntree Sandoz Seagrave Skjold Sørensen Stonebridge Strand Tallis Thackery Thorne Tregarth Ulvestad Underhill Vance
		Verhoeven Wainwright Weir Wharton Winterbourne Wójcik Yardley Ziegler`)
	trades = strings.Fields(`lock-keeper beekeeper luthier wheelwright farrier dyer ferryman baker bookbinder cooper saddler thatcher
		clockmaker ropewright glassblower weaver printer carpenter gardener lamplighter organ-builder signwriter boatbuilder
		charcoal-burner potter tinsmith piper fiddler apothecary surveyor shepherd net-mender`)
	things = strings.Fields(`hands apron bellows lantern rope anchor barrel bench chisel clock compass dog fiddle flute geranium gloves
		goose hammer harness hat hive jar kettle ladder loom mallet mirror oar pipe plane quill rake saw scales scarf shovel skep smock
		spade spectacles spool stool swarm teapot tiller trowel umbrella vase violin wheel windlass wreath`)
	manners  = strings.Fields(`seated standing leaning smiling solemn turned reading working resting looking holding waiting`)
	formats  = []string{"sixth", "quarter", "half", "whole", "ninth", "4x5", "5x7", "8x10"}
	supports = []string{"tinplate", "aluminium", "glass", "ruby-glass"}
	lights   = []string{"north-window", "open-shade", "studio-flash", "overcast", "sun"}
	size     = map[string][2]float64{"sixth": {70, 83}, "quarter": {83, 108}, "half": {114, 140}, "whole": {165, 216},
		"ninth": {51, 64}, "4x5": {102, 127}, "5x7": {127, 178}, "8x10": {203, 254}}
)

// skewed picks towards the beginning, as tags and formats are in life.
func skewed[T any](r *rand.Rand, list []T) T {
	return list[int(float64(len(list))*r.Float64()*r.Float64())]
}

func pick[T any](r *rand.Rand, list []T) T { return list[r.IntN(len(list))] }

// made gives a catalogue of n plates over ten seasons. Names get an invented
// ending now and then, so that the vocabulary grows with the catalogue.
func made(n int) []Doc {
	r := rand.New(rand.NewPCG(1851, uint64(n)))
	docs := make([]Doc, n)
	for i := range docs {
		docs[i] = plate(r, i, n)
	}
	return docs
}

func plate(r *rand.Rand, i, n int) Doc {
	day := time.Date(2016, 3, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, i*3600/n)
	format, support, light := skewed(r, formats), skewed(r, supports), skewed(r, lights)
	family := pick(r, families)
	if r.IntN(3) == 0 {
		family += pick(r, []string{"son", "by", "ley", "wick", "mere", "gate", "holt", "ton"}) + pick(r, []string{"", "e", "a", "en"})
	}
	sitter, trade := pick(r, given)+" "+family, pick(r, trades)
	tags := []string{skewed(r, things), skewed(r, things), trade}[r.IntN(2):]
	batch := fmt.Sprintf("C-%d-%02d", day.Year(), int(day.Month())/2+1)
	id := fmt.Sprintf("%d-%04d", day.Year(), i%(n/5+1)+1)
	title := fmt.Sprintf("%s, %s", sitter, trade)
	seconds := 1 + r.IntN(14)
	caption := fmt.Sprintf("%s %s with %s, %s, %d s", strings.ToUpper(trade[:1])+trade[1:], pick(r, manners), tags[0], strings.ReplaceAll(light, "-", " "), seconds)
	hash := fmt.Sprintf("%012x", r.Uint64()>>16)
	mm := size[format]
	return Doc{
		URL: fmt.Sprintf("plates/%s/", id), Title: title, Caption: caption, Date: day.Format(time.DateOnly),
		Thumb: Thumb{Src: "img/" + hash + "-320.jpg", Src2x: "img/" + hash + "-640.jpg", Width: 320, Height: int(320 * mm[1] / mm[0]),
			Alt: fmt.Sprintf("A %s %s, holding %s.", trade, pick(r, manners), tags[0])},
		WidthMM: mm[0], HeightMM: mm[1],
		Fields: []Field{
			{title, 10}, {strings.Join(tags, " "), 6}, {light, 3}, {support, 3}, {format, 3}, {id, 5}, {batch, 3}, {caption, 2},
			{fmt.Sprintf("%d seconds at f/%.1f, poured %s", seconds, 2.8+float64(r.IntN(8))*0.4, pick(r, manners)), 1},
		},
		Facets: map[string][]string{"format": {format}, "support": {support}, "light": {light}, "batch": {batch},
			"year": {fmt.Sprint(day.Year())}, "tag": tags},
		Data: map[string]string{"format": format, "support": support, "tone": fmt.Sprint(r.IntN(12))},
		Sort: fmt.Sprintf("%sT%06d", day.Format(time.DateOnly), i),
	}
}
