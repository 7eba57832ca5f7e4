package main

import (
	"fmt"
	"strings"
	"testing"

	"sandarac/cmd/screens/browser"
	"sandarac/cmd/screens/kind"
)

// weight is what a page needed before its pictures: itself, its style sheet and
// scripts, and the files that scripts read, in bytes as they lie on the host.
const weightJS = `(() => {
	const all = [performance.getEntriesByType('navigation')[0], ...performance.getEntriesByType('resource')];
	const isPicture = (e) => e.initiatorType === 'img' || e.initiatorType === 'image' || /\.(jpg|svg)$/.test(new URL(e.name).pathname);
	const isScan = (e) => /\/g\/.*\.bin$/.test(new URL(e.name).pathname) && !/list\.bin$/.test(e.name);
	return all.filter((e) => !e.name.startsWith('blob:') && !isPicture(e) && !isScan(e)).reduce((sum, e) => sum + e.decodedBodySize, 0);
})()`

// TestWeight: no page of either site needs more than 120 KB before its pictures,
// uncompressed, scripts' files included.
func TestWeight(t *testing.T) {
	s, roots := needSites(t)
	tab, err := needBrowser(t).Open(browser.View{Width: 390, Height: 844, Density: 2, Phone: true})
	if err != nil {
		t.Fatal(err)
	}
	heaviest, most := "", 0
	for _, p := range s.pages {
		if err := p.Reach(tab, roots[p.Site]); err != nil {
			t.Fatalf("%s, %s: %v", p.Site, p.Name, err)
		}
		weight, err := browser.Eval[int](tab, weightJS)
		if err != nil {
			t.Fatal(err)
		}
		if weight < 1000 {
			t.Errorf("%s, %s: %d bytes are too few to be true", p.Site, p.Name, weight)
		}
		if weight > 120_000 {
			t.Errorf("%s, %s weighs %d bytes before its pictures; at most 120,000", p.Site, p.Name, weight)
		}
		if weight > most {
			heaviest, most = fmt.Sprintf("%s, %s", p.Site, p.Name), weight
		}
	}
	t.Logf("heaviest: %s, %d bytes", heaviest, most)
}

// shownJS gives each picture in the page with the pixels of its file and of its
// place, in device pixels.
const shownJS = `(async () => {
	const shown = [...document.images].filter((i) => i.currentSrc && i.complete && i.clientWidth > 0 && !i.currentSrc.endsWith('.svg') && !i.closest('dialog'));
	return Promise.all(shown.map(async (i) => {
		const file = new Image();
		file.src = i.currentSrc;
		// The address of a sealed picture is gone once it is shown; it has but one size.
		const width = await file.decode().then(() => file.naturalWidth, () => i.naturalWidth);
		return { name: i.currentSrc.replace(location.origin, ''), file: width, place: i.clientWidth * devicePixelRatio };
	}));
})()`

// smallest is the narrowest file there is of any plate, in pixels: below it no
// page can ask for less.
const smallest = 160

// TestPicturesFitTheirPlaces: on screens of double density no picture that comes
// over a network has more than 1.5 times the pixels of its place. The bench book
// stays on the machine.
func TestPicturesFitTheirPlaces(t *testing.T) {
	s, roots := needSites(t)
	b := needBrowser(t)
	for _, v := range []browser.View{{Width: 390, Height: 844, Density: 2, Phone: true}, {Width: 1440, Height: 900, Density: 2}} {
		tab, err := b.Open(v)
		if err != nil {
			t.Fatal(err)
		}
		seen := 0
		for _, p := range s.pages {
			if p.Site != kind.Portfolio || strings.HasPrefix(p.Name, "taxonomy") { // lists of lists have no pictures
				continue
			}
			if err := p.Reach(tab, roots[p.Site]); err != nil {
				t.Fatalf("%s, %s: %v", p.Site, p.Name, err)
			}
			if err := tab.Settle(); err != nil {
				t.Fatal(err)
			}
			type shown struct {
				Name        string
				File, Place float64
			}
			pictures, err := browser.Eval[[]shown](tab, shownJS)
			if err != nil {
				t.Fatalf("%s, %s: %v", p.Site, p.Name, err)
			}
			for _, i := range pictures {
				seen++
				if i.File > 1.5*i.Place && i.File > smallest {
					t.Errorf("%d px, %s, %s: %s is %.0f pixels wide and shown at %.0f", v.Width, p.Site, p.Name, i.Name, i.File, i.Place)
				}
			}
		}
		if seen < 100 {
			t.Errorf("%d px: only %d pictures were seen", v.Width, seen)
		}
		tab.Close()
	}
}
