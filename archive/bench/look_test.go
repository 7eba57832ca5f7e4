package bench

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// TestLook goes through the form's screens on a phone and a tablet, light and
// dark. With BENCH_LOOK it leaves its pictures in the folder that names, for
// people to look at.
func TestLook(t *testing.T) {
	dir := os.Getenv("BENCH_LOOK")
	if dir == "" {
		dir = t.TempDir()
	}
	root := os.Getenv("BENCH_LOOK_ARCHIVE") // a copy of an archive; plates are logged into it
	if root == "" {
		root = rooms(t)
	}
	s := serveForm(t, root, func(f *Form) {
		if os.Getenv("BENCH_LOOK_ARCHIVE") == "" {
			f.Now = at
		}
	})
	for _, scheme := range []string{"light", "dark"} {
		for name, size := range map[string]size{"phone": phone, "tablet": tablet} {
			d := newHandheld(t, size)
			call(d, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
			shot := func(what string) {
				body, err := chromedp.Run(d.ctx, chromedp.CaptureScreenshot())
				if err != nil {
					t.Fatal(err)
				}
				if err := os.WriteFile(filepath.Join(dir, name+"-"+scheme+"-"+what+".png"), body, 0o644); err != nil {
					t.Fatal(err)
				}
			}
			d.open(s.url)
			shot("1-plate")
			d.tap("#clock-exposure .clock__run")
			d.until(`Number(document.querySelector('#clock-exposure .clock__digits').textContent) > 1.5`)
			shot("2-running")
			d.tap("#clock-exposure .clock__run")
			d.tap("#clock-development .clock__last, #clock-development .clock__run")
			d.until(`document.querySelector('#clock-development').dataset.state !== 'idle'`)
			shot("3-developing")
			d.tap("#who")
			shot("4-who")
			d.tap("#choose [data-close]")
			d.tap("#set-light-ev100")
			shot("5-keypad")
			d.tap("#keypad [data-close]")
			eval[bool](d, `(scrollTo(0, 0), true)`)
			d.tap("#outcome [data-value=keeper]")
			shot("6-saved")
			eval[bool](d, `(scrollTo(0, 700), true)`)
			shot("7-settings")
			d.tap(".tabs [data-view=today]")
			shot("8-today")
			d.tap("#today-list .entry__open")
			shot("8b-later")
			d.tap("#l-back")
			d.tap(".tabs [data-view=consent]")
			shot("9-consent")
			eval[bool](d, `(scrollTo(0, 900), true)`)
			shot("9b-consent")
		}
	}
}
