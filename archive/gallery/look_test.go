package gallery

import (
	"context"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"sandarac/archive/consent"
	"sandarac/archive/picture"
)

// TestLooks opens every state of the page at several sizes in both colour
// schemes and holds that nothing runs out of the window. With
// SANDARAC_SCREENSHOTS=folder it leaves pictures there, to be looked at.
func TestLooks(t *testing.T) {
	fresh := testGallery("fresh", 5)
	fresh.Plates[4].Varnished, fresh.Plates[4].CureHours = time.Now().Add(-350*time.Minute), 24
	locked := testGallery("locked", 1)
	locked.PassphraseRequired = true
	galleries := []consent.Gallery{fresh, locked}
	scans, err := filepath.Glob("../../plates/archive/*/*.jpg")
	if err != nil || len(scans) < 6 {
		t.Fatalf("scans of the demo archive: %d, %v", len(scans), err)
	}
	for i := range galleries {
		for j := range galleries[i].Plates {
			galleries[i].Plates[j].Masters = []string{scans[(j+1)*len(scans)/7]}
		}
	}
	out, links := t.TempDir(), []Link(nil)
	renderPage(t, out)
	maker, err := picture.New(t.TempDir(), picture.Options{})
	if err != nil {
		t.Fatal(err)
	}
	sets, faults, err := maker.Make(t.Context(), Jobs(galleries, picture.Rights{Credit: "The Amber Barge"}), nil)
	if err != nil || len(faults) > 0 {
		t.Fatal(err, faults)
	}
	if _, err := Seal(t.Context(), out, "", galleries, slices.Collect(maps.Values(sets)), testSecret(t)); err != nil {
		t.Fatal(err)
	}
	if links, err = Links(galleries, testSecret(t), "https://amberbarge.example/"); err != nil {
		t.Fatal(err)
	}
	s := serve(t, out)
	for _, size := range []size{{320, 640, 2, true}, phone, desk} {
		for _, scheme := range []string{"light", "dark"} {
			t.Run(fmt.Sprintf("%d %s", size.width, scheme), func(t *testing.T) {
				w := newWindow(t, size)
				call(w, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
				shot := func(name string, whole bool) {
					t.Helper()
					if wide := eval[int](w, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
						t.Errorf("%s: %d px wider than the window", name, wide)
					}
					w.shoot(fmt.Sprintf("%s-%d-%s.jpg", name, size.width, scheme), whole)
				}
				w.open(at(s, links[0]))
				w.until(`(document.querySelector('[data-part=open]:not([data-shown])')?.scrollIntoView(), document.querySelectorAll('[data-shown]').length === 5)`)
				eval[int](w, `scrollTo(0, 0), 1`)
				shot("opening", false)
				shot("gallery", true)
				eval[int](w, `document.getElementById('look').click(), 1`)
				w.until(`!document.getElementById('viewer-picture').hidden`)
				shot("viewer", false)
				w.trouble(s.URL + "/studio/g/" + filepath.Base(filepath.Dir(links[0].URL)) + "/#abc")
				shot("trouble", false)
				w.goTo(at(s, links[1]))
				w.until(`!document.getElementById('door-form').hidden`)
				shot("passphrase", false)
			})
		}
	}
}

func (w *window) shoot(name string, whole bool) {
	w.t.Helper()
	dir := os.Getenv("SANDARAC_SCREENSHOTS")
	if dir == "" {
		return
	}
	eval[int](w, `new Promise((r) => setTimeout(() => r(1), 900))`) // what moves has come to rest
	quality := int64(85)
	take := func(ctx context.Context, target *chromedp.Target) ([]byte, error) {
		shot, err := cdp.Call(ctx, target, page.CaptureScreenshot, page.CaptureScreenshotParams{Format: page.CaptureScreenshotFormatJpeg, Quality: &quality})
		return shot.Data, err
	}
	if whole {
		take = chromedp.FullScreenshot(85)
	}
	body, err := chromedp.Run(w.ctx, take)
	if err != nil {
		w.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, name), body, 0o644); err != nil {
		w.t.Fatal(err)
	}
}
