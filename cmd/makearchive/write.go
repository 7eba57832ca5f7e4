package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"golang.org/x/sync/errgroup"
)

const studio = `---
studio: The Numbered Rooms
url: https://numbered-rooms.example/
time_zone: Europe/Copenhagen
email: studio@numbered-rooms.example
credit: The Numbered Rooms
copyright: "© The Numbered Rooms"
lenses:
  - {id: petzval-210, focal_mm: 210, widest_stop: 3.8}
---

Made by a generator; nobody lives here.
`

// recipes are the parts of the batches by kind.
var recipes = map[string]string{
	"collodion": "volume_ml: 500\nparts:\n  - {substance: ammonium iodide, grams: 4}\n  - {substance: cadmium bromide tetrahydrate, grams: 2.5}\n  - {substance: pyroxylin, grams: 6}\n  - {substance: diethyl ether, ml: 240}\n  - {substance: ethanol, ml: 260}\nready_after_days: 5\nretire_after_days: 200\n",
	"bath":      "volume_ml: 2200\nparts:\n  - {substance: silver nitrate, grams: 205}\n  - {substance: water, ml: 2150}\n",
	"developer": "volume_ml: 1000\nparts:\n  - {substance: ferrous sulfate heptahydrate, grams: 40}\n  - {substance: \"acetic acid, glacial\", ml: 35}\n  - {substance: ethanol, ml: 30}\n  - {substance: water, ml: 930}\n",
	"fixer":     "volume_ml: 2000\nparts:\n  - {substance: sodium thiosulfate pentahydrate, grams: 400}\n  - {substance: water, ml: 1850}\n",
	"varnish":   "volume_ml: 500\nparts:\n  - {substance: gum sandarac, grams: 60}\n  - {substance: ethanol, ml: 400}\n  - {substance: lavender oil, ml: 40}\ncure_hours: 48\n",
}

// write puts the archive on disk.
func (s *season) write() error {
	if err := s.put("studio.md", []byte(studio)); err != nil {
		return err
	}
	model, err := json.MarshalIndent(s.truth, "", "  ")
	if err != nil {
		return err
	}
	if err := s.put("truth.json", append(model, '\n')); err != nil {
		return err
	}
	g := new(errgroup.Group)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for _, b := range s.batches {
		g.Go(func() error {
			log := ""
			if gone := b.mixed.AddDate(0, 0, 200); gone.Before(last) {
				log = fmt.Sprintf("log:\n  - {date: %s, action: discarded}\n", gone.Format("2006-01-02"))
			}
			return s.put(fmt.Sprintf("batches/%s/%s.md", b.kind, b.id), fmt.Appendf(nil, "---\nbatch: %s\nkind: %s\nmixed: %s\n%s%s---\n", b.id, b.kind, b.mixed.Format("2006-01-02"), recipes[b.kind], log))
		})
	}
	for _, c := range s.clients {
		g.Go(func() error {
			return s.put("clients/"+c.id+".md", fmt.Appendf(nil, "---\nclient: %s\nname: %s\nemail: %s@post.example\n---\n", c.id, c.name, c.id))
		})
	}
	for _, p := range s.sitters {
		g.Go(func() error { return s.put("sitters/"+p.id+".md", p.record()) })
	}
	for _, p := range s.plates {
		g.Go(func() error {
			picture, err := scan(s.o.seed<<32+uint64(p.n), p.width)
			if err != nil {
				return err
			}
			if err := s.put(p.file+".jpg", picture); err != nil {
				return err
			}
			return s.put(p.file+".md", p.record())
		})
	}
	return g.Wait()
}

func (s *season) put(name string, content []byte) error {
	file := filepath.Join(s.o.dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		return err
	}
	return os.WriteFile(file, content, 0o644)
}

func (p person) record() []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "---\nsitter: %s\nname: %s\nconsent: {portfolio: %v, name: %v, given: %s", p.id, p.name, p.portfolio, p.named, p.given.Format("2006-01-02"))
	if !p.until.IsZero() {
		fmt.Fprintf(&b, ", until: %s", p.until.Format("2006-01-02"))
	}
	if p.minor {
		b.WriteString(", minor: true")
	}
	b.WriteString("}\n")
	if p.minor && p.withGuardian {
		fmt.Fprintf(&b, "guardian: Guardian of %s\n", p.id)
	}
	b.WriteString("---\n")
	return []byte(b.String())
}

func (p plate) record() []byte {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("---\nplate: %s\nmade: %s", p.id, p.made.Format("2006-01-02T15:04"))
	if p.purpose != "" {
		line("purpose: %s", p.purpose)
	}
	line("support: tin\nformat: quarter\nbatches:")
	for _, kind := range []string{"collodion", "bath", "developer", "fixer", "varnish"} {
		line("  %s: %s", kind, p.batches[kind])
	}
	line("lens: petzval-210\nexposure: {seconds: %g, stop: %g, magnification: %g}\nlight: {kind: %s, ev100: %g}", p.seconds, p.stop, p.m, p.light, p.ev)
	line("development: {seconds: 15, temperature_c: 20}\njudged: %s", p.judged)
	if p.outcome != "" {
		line("outcome: %s", p.outcome)
	}
	if p.flaw != "" {
		line("flaws: [%s]", p.flaw)
	}
	if p.sitter == "" {
		line("sitters: []")
	} else {
		line("sitters: [{sitter: %s}]", p.sitter)
	}
	if p.client != "" {
		line("client: %s", p.client)
	}
	line("title: %s\nalt: %q\ntags: [%s]\n---\n\n%s", p.title, p.alt, strings.Join(p.tags, ", "), p.notes)
	return []byte(b.String())
}
