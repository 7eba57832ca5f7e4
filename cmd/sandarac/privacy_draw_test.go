package main

import (
	"math/rand/v2"
	"slices"
	"strings"
	"time"

	"golang.org/x/text/unicode/norm"
)

// Words of the language that people, places and solutions are also called.
var (
	oneWordNames = []string{"May", "Rose", "Will", "Grace", "Amber", "Stone", "Silver", "Glass", "Bath", "Light", "Tin", "Portrait", "Quarter", "Home",
		"Plates", "Mark", "Summer", "June", "Hope", "Iron", "Lock", "Write", "Catalogue", "Data", "Page", "Main"}
	twoWordNames = []string{"Grace Field", "Silver Bath", "Wet Plate", "Poison Centre", "Half Plate", "Amber Glass", "May Light", "Rose Stone", "Before You", "Plate Page", "Skip Link", "Grey Window"}
	commonIDs    = []string{"main", "index", "home", "1", "42", "tin", "portrait", "quarter", "description", "viewport", "plates", "2026", "a", "page", "search", "en", "keeper",
		"2025-04-01", "default", "title", "site-name", "number", "iron", "gallery", "list", "image", "tag", "year", "light"}
	givenNames  = []string{"Ada", "Zoë", "Łucja", "Þóra", "Jean-Luc", "Mary Ann", "Søren", "Åse", "D'Arcy", "Īśvar", "Мария", "Ines", "Björn", "van der", "O’Brian", "Strauß"}
	nouns       = []string{"Reed maker", "Bottles", "Lock keeper", "Hands", "A rose in glass", "Window light", "Stone and iron", "May blossom", "Grace notes", "The silver bath", "Two sisters"}
	altTexts    = []string{"A woman holds a bundle of reeds", "A man at a bench, a window behind", "Three bottles on a stone sill", "Two hands on a rope", "A child with a hoop, in summer light"}
	uiTitles    = []string{"Plates", "Catalogue", "Write", "Tintype", "Quarter plate", "Before you come", "In the hand", "Look closer", "Not instructions", "How it was made", "Page not found"}
	plateTags   = []string{"reeds", "rope", "may blossom", "rose", "portrait", "canal", "hands", "silver", "window", "tin", "June"}
	quotedNotes = []string{
		"Anyone who handles these follows the supplier's safety data sheets, local codes and licensed practice, and does not work alone.",
		"Collodion sees violet and blue and hardly anything else. Blue eyes turn pale, lips and freckles turn dark, and a red scarf would be black.",
		"Drawn at one scale: the plate, a grown-up's hand nineteen centimetres long, and a ruler in centimetres.",
		"Hold the plate by its edges.",
		"quarter plate, tintype, 2026",
		"Exposed for 8 seconds at f/4 through the lens, developed for 15 seconds.",
	}
	spellings = []string{"as it is", "zero width", "capitals", "decomposed", "no accents", "two spaces", "possessive", "hyphenated", "surname first", "joined"}
)

// drawWorld draws an archive. The same seed gives the same archive.
func drawWorld(seed uint64) *world {
	w := &world{rng: rand.New(rand.NewPCG(seed, 1851)), seed: seed}
	w.day = time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, w.rng.IntN(400))
	w.drawStudio()
	for range w.rng.IntN(5) {
		w.people = append(w.people, w.drawPerson(w.drawID("person")))
	}
	for range w.rng.IntN(4) {
		w.clients = append(w.clients, w.drawClient())
	}
	for _, kind := range []string{"collodion", "collodion", "varnish"} {
		w.batches = append(w.batches, &mixture{id: strings.ToLower(w.word()) + pick(w, "", "-1", " two"), kind: kind, notes: w.noteText()})
	}
	for range 3 + w.rng.IntN(9) {
		w.plates = append(w.plates, w.drawPlate())
	}
	w.layTraps()
	w.drawPages()
	return w
}

func (w *world) drawStudio() {
	photographer := "Ilse " + w.word()
	w.studio = worldStudio{
		name: w.word() + pick(w, " Rooms", " & Sons", " “Light” Works"), url: "https://" + strings.ToLower(w.word()) + ".example" + pick(w, "/", "", "/plates/"),
		zone: pick(w, "Europe/Dublin", "Pacific/Auckland", "America/Chicago", "UTC"), credit: photographer, copyright: "© 2026 " + photographer,
		recipes: w.chance(0.6), notes: w.noteText(), lens: "lens-" + strings.ToLower(w.word()),
		lights: []string{"north light " + w.word(), "open shade", w.word()},
	}
	if w.chance(0.7) {
		w.studio.email = "studio@" + strings.ToLower(w.word()) + ".example"
	}
	if w.chance(0.3) {
		w.studio.retention = 20 + w.rng.IntN(300)
	}
}

// name makes a name: mostly one that is found nowhere else.
func (w *world) name() (name string, common bool) {
	switch {
	case w.chance(0.06):
		n := pick(w, oneWordNames...)
		w.trap("name %q", n)
		return n, true
	case w.chance(0.04):
		n := pick(w, twoWordNames...)
		w.trap("name %q", n)
		return n, true
	}
	if w.chance(0.05) {
		n := string([]rune{'李', rune(0x4e00 + w.rng.IntN(0x5000)), rune(0x4e00 + w.rng.IntN(0x5000))})
		w.trap("name %q", n)
		return n, false
	}
	n := pick(w, givenNames...) + " " + w.word() + pick(w, "", "", "", "-"+w.word(), " "+w.word())
	if w.chance(0.15) {
		n = norm.NFD.String(n)
	}
	return n, false
}

// drawID makes an id: mostly one that can be nothing else.
func (w *world) drawID(what string) string {
	if w.chance(0.06) {
		id := pick(w, commonIDs...)
		for _, p := range w.plates {
			if p.id == id {
				return w.drawID(what)
			}
		}
		for _, p := range w.people {
			if p.id == id {
				return w.drawID(what)
			}
		}
		for _, c := range w.clients {
			if c.id == id {
				return w.drawID(what)
			}
		}
		w.trap("%s id %q", what, id)
		return id
	}
	word := w.word()
	return pick(w, word, strings.ToLower(word)+"-7", "26-"+word, word+" ü", strings.ToLower(word)+".03_x")
}

// offset draws a day near the build's, where off-by-one faults live.
func (w *world) offset() *int {
	n := pick(w, -400, -31, -2, -1, 0, 1, 2, 31, 400)
	return &n
}

func (w *world) drawPerson(id string) *person {
	p := &person{id: id, notes: w.noteText()}
	p.name, p.common = w.name()
	p.portfolio, p.named, p.promoted = w.chance(0.75), w.chance(0.4), w.chance(0.4)
	if w.chance(0.93) {
		n := pick(w, -500, -100, -31, -1, 0)
		if p.given = &n; w.chance(0.1) {
			p.given = w.offset()
		}
	}
	if w.chance(0.2) {
		p.until = w.offset()
	}
	if w.chance(0.12) {
		p.withdrawn = w.offset()
	}
	if p.minor = w.chance(0.15); p.minor && w.chance(0.6) {
		p.guardian, _ = w.name()
	} else if w.chance(0.1) {
		p.guardian = pick(w, "   ", "Bel "+w.word())
	}
	if w.chance(0.3) {
		p.release = pick(w, "MR-NON", "MR-NAP", "MR-UMR", "MR-LMR")
	}
	if id != "" && w.chance(0.1) {
		p.broken = pick(w, "unknown key", "bad date", "unclosed", "twice")
	}
	if len(w.people) > 0 && w.chance(0.08) {
		namesake := pick(w, w.people...)
		p.name, p.common = namesake.name, namesake.common
		w.trap("two people called %q", p.name)
	}
	return p
}

func (w *world) drawClient() *customer {
	c := &customer{id: w.drawID("client"), notes: w.noteText(), generation: 1, web: w.chance(0.3), passphrase: w.chance(0.12)}
	c.name, c.common = w.name()
	c.email = strings.ToLower(w.word()) + "@" + strings.ToLower(w.word()) + ".example"
	c.title, c.message = pick(w, "For "+c.name, w.word(), ""), pick(w, "Dear "+c.name+", your plates. "+w.word(), "", w.word())
	if w.chance(0.3) {
		c.until = w.offset()
	}
	if w.chance(0.1) {
		c.generation = 2 + w.rng.IntN(3)
	}
	if w.chance(0.08) {
		c.broken = pick(w, "unknown key", "bad date", "unclosed", "twice")
	}
	if len(w.people) > 0 && w.chance(0.15) {
		sitter := pick(w, w.people...)
		c.name, c.common = sitter.name, sitter.common
		w.trap("client and sitter called %q", c.name)
	}
	if w.chance(0.05) && w.studio.email != "" {
		c.email = w.studio.email
		w.trap("a client with the studio's own address")
	}
	return c
}

func (w *world) noteText() string {
	if w.chance(0.06) {
		w.trap("a note that says what pages say")
		return pick(w, quotedNotes...)
	}
	return "Said in confidence: " + w.word() + " and " + w.word() + "."
}

var brokenPlates = []string{"unknown key", "bad date", "unclosed", "quoted bool", "flaw", "control", "scan named and missing", "scan cut", "scan empty", "nul",
	"duplicate key", "twice", "no made", "unknown batch", "unknown client", "unknown lens", "future", "unknown sitter", "sitter is a word"}

func (w *world) drawPlate() *worldPlate {
	p := &worldPlate{
		id: w.drawID("plate"), notation: pick(w, "yaml", "yaml", "yaml", "toml", "json"), purpose: "", outcome: pick(w, "keeper", "keeper", "keeper", "keeper", "keeper", "keeper", "keeper", "remake", "scrapped", ""),
		support: pick(w, "tin", "aluminium", "glass", "glass-negative"), format: pick(w, "quarter", "half", "sixth", "whole", "4x5"),
		light: pick(w, w.studio.lights...), camera: "Camera " + w.word(), seconds: float64(1 + w.rng.IntN(30)), own: w.word(), notes: w.noteText(), lens: w.studio.lens,
		titled: w.word(), altTok: w.word(),
	}
	p.made = w.day.AddDate(0, 0, -1-w.rng.IntN(300)).Add(time.Duration(w.rng.IntN(24*60)) * time.Minute)
	if w.chance(0.35) {
		p.purpose = pick(w, "portrait", "test", "still-life", "landscape", "workshop", "copy")
	}
	if w.chance(0.85) {
		p.title = pick(w, nouns...) + " " + p.titled
	}
	if w.chance(0.85) {
		p.alt = pick(w, altTexts...) + ", " + p.altTok + "."
	}
	for range w.rng.IntN(4) {
		p.tags = append(p.tags, pick(w, pick(w, plateTags...), w.word()))
	}
	if w.chance(0.3) {
		p.lightNote = w.noteText()
	}
	if w.chance(0.7) {
		p.collodion = pick(w, w.batches[0].id, w.batches[1].id)
	}
	if w.chance(0.5) {
		p.varnish = w.batches[2].id
	}
	if len(w.clients) > 0 && w.chance(0.6) {
		p.client = pick(w, w.clients...).id
	}
	p.file = pick(w, "", "2025/", "2026/may/") + strings.ToLower(w.word())
	if w.chance(0.08) {
		p.broken = pick(w, brokenPlates...)
	}
	w.drawSitters(p)
	w.drawScans(p)
	return p
}

func (w *world) drawSitters(p *worldPlate) {
	if p.noSittersKey = w.chance(0.08) && !slices.Contains([]string{"quoted bool", "unknown sitter"}, p.broken); p.noSittersKey {
		return
	}
	for range pick(w, 0, 0, 1, 1, 1, 1, 2, 3) {
		switch {
		case len(w.people) > 0 && w.chance(0.6):
			p.sitters = append(p.sitters, sitting{ref: pick(w, w.people...).id})
		default:
			p.sitters = append(p.sitters, sitting{inline: w.drawPerson("")})
		}
	}
}

func (w *world) drawScans(p *worldPlate) {
	if w.chance(0.06) {
		return // not scanned yet
	}
	n := pick(w, 1, 1, 1, 1, 2, 3)
	p.namesScans = n > 1
	for i := range n {
		s := &worldScan{seed: w.rng.Uint64(), w: 300 + w.rng.IntN(160), h: 300 + w.rng.IntN(160), turn: pick(w, 1, 1, 1, 3, 6, 8), colour: w.chance(0.4), secret: w.word()}
		s.file = p.file + pick(w, ".jpg", ".jpg", ".jpeg", ".png", ".JPG")
		if i > 0 {
			s.file = p.file + "-" + strings.ToLower(w.word()) + ".jpg"
		}
		p.scans = append(p.scans, s)
	}
	if p.broken == "scan cut" || p.broken == "scan empty" {
		p.scans[0].spoilt = strings.TrimPrefix(p.broken, "scan ")
	}
}
