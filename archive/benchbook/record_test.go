package benchbook

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const everyKey = `---
plate: 26-9
made: 2026-05-02T10:10
purpose: copy
support: glass-negative
size_mm: [120, 160]
batches: {collodion: c1, bath: gone, varnish: v1}
lens: petzval
camera: sliding box
exposure: {seconds: 2.5, stop: 5.6, extension_mm: 262.5}
light: {kind: open shade, lux: 9600, note: white sheet}
air: {temperature_c: 16, humidity_pct: 60}
development: {seconds: 13, temperature_c: 17}
varnished: 2026-05-02T19:42
judged: right
outcome: keeper
flaws: [comets]
sitters: [{sitter: odo}, {name: Wilma Harrow, consent: {minor: true}}, {sitter: nobody}]
client: f
title: A plan
alt: A plan of a lock.
tags: [plan, lock]
featured: true
x_box: 7
---
`

// TestEveryRecordedValue: nothing that is recorded is missing from the plate's
// page, and each value reads as words with its unit.
func TestEveryRecordedValue(t *testing.T) {
	in := archiveOf(t, map[string]string{
		"studio.md": strings.Replace(studioRecord, "poison", "lenses: [{id: petzval, focal_mm: 210, widest_stop: 3.8}]\npoison", 1),
		"p.md":      everyKey,
		"c1.md":     "---\nbatch: c1\nkind: collodion\nmixed: 2026-04-20\nretire_after_days: 10\n---\n",
		"v1.md":     "---\nbatch: v1\nkind: varnish\nmixed: 2026-04-20\ncure_hours: 36\n---\n",
		"odo.md":    "---\nsitter: odo\nname: Odo Fennick\nconsent: {portfolio: true, name: true, given: 2026-05-02, until: 2026-12-31, release: MR-LMR}\n---\n",
		"f.md":      "---\nclient: f\nname: The Fennicks\n---\n",
	})
	s := newStage(in, "")
	v := s.plateView(0)
	got := map[string]string{}
	for _, g := range v.Groups {
		for _, f := range g.Facts {
			for _, w := range f.Said {
				got[f.Term] = strings.TrimSpace(got[f.Term] + " | " + w.Text + " / " + w.Soft)
			}
		}
	}
	for term, want := range map[string]string{
		"Made": "Saturday 2 May 2026, 10:10", "Purpose": "copy", "Support": "glass negative", "Size": "120 × 160 mm", "Exposure": "2.5 s at f/5.6",
		"Lens to plate": "262.5 mm", "Magnification": "0.25 / bellows factor 0.6 stop", "Lens": "petzval / 210 mm, f/3.8 at the widest", "Camera": "sliding box",
		"Light": "open shade", "Meter": "9600 lux / EV 11.9 at ISO 100, with C = 250", "Of the light": "white sheet",
		"Came to": "EI 0.51 / dose +7.6 stop", "Collodion": "c1 / 12 days old, past its day", "Bath": "gone / no such bath in the archive",
		"Room": "16 °C, 60 % humidity", "Developed": "13 s at 17 °C", "Varnished": "Saturday 2 May 2026, 19:42",
		"Sitter": "Odo Fennick / agreed to being shown and being named; given 2 May 2026; until 31 December 2026; release MR-LMR",
		"Client": "The Fennicks", "Title": "A plan", "Alt text": "A plan of a lock.", "Tags": "plan, lock", "Front page": "featured", "File": "p.md", "x_box": "7",
	} {
		if !strings.Contains(got[term], want) {
			t.Errorf("%s says %q, want %q", term, got[term], want)
		}
	}
	for _, part := range []string{"Wilma Harrow / agreed to nothing public; a minor without a guardian", "nobody / no such sitter in the archive"} {
		if !strings.Contains(got["Sitter"], part) {
			t.Errorf("the sitters say %q, want %q", got["Sitter"], part)
		}
	}
	if len(v.Flaws) != 1 || v.Flaws[0].Slug != "comets" || len(v.Flaws[0].Likely)+len(v.Flaws[0].Others) == 0 {
		t.Errorf("flaws: %+v", v.Flaws)
	}
	if want := "Cured: it could be touched from Monday 4 May 2026, 07:42."; v.Cure != want {
		t.Errorf("cure: %q, want %q", v.Cure, want)
	}
	if v.Shown.Public != "" || len(v.Shown.Reasons) == 0 {
		t.Errorf("a plate with a sitter nobody knows is shown as %+v", v.Shown)
	}
}

// TestConcerns: each kind of consent that wants a word, for plates that would
// be shown otherwise, and no other.
func TestConcerns(t *testing.T) {
	files := map[string]string{"studio.md": studioRecord}
	n := 0
	plate := func(rest string) {
		n++
		files[fmt.Sprintf("p%02d.md", n)] = fmt.Sprintf("---\nplate: p%02d\nmade: 2026-05-01T10:%02d\noutcome: keeper\n%s\n---\n", n, n, rest)
	}
	ok := "portfolio: true, given: 2026-05-01"
	plate("sitters: []")
	plate("sitters: [{name: Ada Holm, consent: {" + ok + "}}]")
	plate("sitters: [{name: Bea Holm, consent: {" + ok + ", until: 2027-01-19}}]")     // 60 days from today
	plate("sitters: [{name: Cleo Holm, consent: {" + ok + ", until: 2027-01-20}}]")    // 61
	plate("sitters: [{name: Dan Holm, consent: {" + ok + ", until: 2026-11-20}}]")     // today, its last day
	plate("sitters: [{name: Eli Holm, consent: {" + ok + ", until: 2026-11-19}}]")     // ended
	plate("sitters: [{name: Fay Holm, consent: {" + ok + ", withdrawn: 2026-11-20}}]") // today
	plate("sitters: [{name: Gus Holm}]")                                               // nothing recorded
	plate("sitters: [{name: Hal Holm, consent: {portfolio: false, given: 2026-05-01}}]")
	plate("purpose: portrait")
	plate("sitters: [{name: Ivo Holm, consent: {" + ok + ", minor: true}}]")
	files["scrapped.md"] = "---\nplate: s\nmade: 2026-05-01\noutcome: scrapped\nsitters: [{name: Jan Holm}]\n---\n"
	files["test.md"] = "---\nplate: t\nmade: 2026-05-01\npurpose: test\noutcome: keeper\n---\n"
	s := newStage(archiveOf(t, files), "")
	var got []string
	for _, c := range s.concerns() {
		who := strings.Join(strings.Fields(c.Text)[:1], "")
		got = append(got, c.Kind+" "+strings.TrimSuffix(who, ":")+" "+c.Plates[0].Text)
	}
	want := "withdrawn Fay p07; ended Eli p06; ending Dan p05; ending Bea p03; missing Ivo p11; missing The p10; missing Gus p08"
	if strings.Join(got, "; ") != want {
		t.Errorf("got  %s\nwant %s", strings.Join(got, "; "), want)
	}
}

// TestLinksStandWhereTheyAreNeeded: the link of a gallery is on the client list
// and on its own client's envelope cards, and in no other file of the book.
func TestLinksStandWhereTheyAreNeeded(t *testing.T) {
	in, out := demoSite(t)
	s := newStage(in, "")
	days := map[string]bool{}
	for _, day := range s.days() {
		days["papers/day-"+day[0].MadeOn().String()+"-cards/index.html"] = true
	}
	listed := 0
	err := filepath.Walk(out, func(path string, info os.FileInfo, err error) error {
		if err != nil || info.IsDir() {
			return err
		}
		body, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		name, err := filepath.Rel(out, path)
		if err != nil {
			return err
		}
		name = filepath.ToSlash(name)
		for _, l := range in.Links {
			_, fragment, _ := strings.Cut(l.URL, "#")
			if !strings.Contains(string(body), fragment) && (l.Passphrase == "" || !strings.Contains(string(body), l.Passphrase)) {
				continue
			}
			switch {
			case name == "clients-list/index.html":
				listed++
			case name == "papers/client-"+s.clientSlug[l.Client]+"-cards/index.html", days[name]:
				if l.Passphrase != "" && strings.Contains(string(body), l.Passphrase) {
					t.Errorf("%s prints the passphrase on the outside", name)
				}
			default:
				t.Errorf("%s holds the link or the passphrase of %s", name, l.Client)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if listed == 0 {
		t.Error("the client list holds no link")
	}
}

// TestCautionsStandWithEveryBatch: every page of a batch, every bench card and
// every label says what is dangerous, whom to call, and defers to the sheets.
func TestCautionsStandWithEveryBatch(t *testing.T) {
	in, out := demoSite(t)
	s := newStage(in, "")
	pages := map[string]bool{"papers/bottles/": true, "papers/day-sheet/": true}
	for _, b := range s.batches {
		pages[s.batchPath(b.ID)] = true
		if _, ok := s.mixView(b); ok {
			pages[s.mixPath(b)] = true
		}
	}
	if len(pages) < 2*len(s.batches) {
		t.Errorf("only %d pages of %d batches", len(pages), len(s.batches))
	}
	for page := range pages {
		body, err := os.ReadFile(filepath.Join(out, filepath.FromSlash(page), "index.html"))
		if err != nil {
			t.Fatal(err)
		}
		for _, words := range []string{"safety data sheets", "local codes", "Emergency: call", "555 0142"} {
			if !strings.Contains(string(body), words) {
				t.Errorf("%s does not say %q", page, words)
			}
		}
	}
}

// TestNoCardOfADeadlyMix: a recipe that would make gas has a page that says why,
// with its cautions, and no bench card.
func TestNoCardOfADeadlyMix(t *testing.T) {
	in := archiveOf(t, map[string]string{"studio.md": studioRecord,
		"bad.md": "---\nbatch: bad\nkind: fixer\nmixed: 2026-05-01\nvolume_ml: 500\nparts: [{substance: potassium cyanide, grams: 10}, {substance: acetic acid, ml: 5}]\n---\n"})
	_, out := build(t, in)
	body, err := os.ReadFile(filepath.Join(out, "batches", "bad", "index.html"))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(body), "No card is made of this recipe") || strings.Contains(string(body), "Order of mixing") {
		t.Error("the page of a mix that makes hydrogen cyanide hands out a recipe")
	}
	if _, err := os.Stat(filepath.Join(out, "papers", "mix-bad")); err == nil {
		t.Error("a bench card is printed of a mix that makes hydrogen cyanide")
	}
}
