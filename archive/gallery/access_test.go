package gallery

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"sandarac/cmd/screens/outside"
)

// axeCore is the outside checker of accessibility, at the version these tests
// were written with.
const axeCore = "axe-core@4.14.1"

// TestAxeFindsNothing holds every state of the page against axe's rules for
// WCAG 2.2 AA and good practice.
func TestAxeFindsNothing(t *testing.T) {
	script, err := os.ReadFile(filepath.Join(outside.NeedNPM(t, axeCore), "node_modules", "axe-core", "axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	fresh, locked := testGallery("ines", 3), testGallery("locked", 1)
	fresh.Plates[0].Varnished = time.Now().Add(-time.Hour)
	locked.PassphraseRequired = true
	out, links := buildSite(t, 600, fresh, locked)
	list := openList(t, out, fresh)
	remove(t, filepath.Join(sealedFolder(out, links[0]), list.Plates[1].Views[0].Pictures[0].File))
	remove(t, filepath.Join(sealedFolder(out, links[0]), list.Plates[1].Views[0].Download.File))
	s := serve(t, out)
	states := []struct {
		name  string
		reach func(w *window)
	}{
		{"opened", func(w *window) { w.open(at(s, links[0])) }},
		{"a picture missing", func(w *window) {
			w.open(at(s, links[0]))
			w.until(`(document.querySelectorAll('.leaf')[1].scrollIntoView(), document.querySelector('[data-part=trouble]:not([hidden])') !== null)`)
		}},
		{"viewer", func(w *window) {
			w.open(at(s, links[0]))
			eval[int](w, `document.getElementById('look').click(), 1`)
			w.shown("Ines", 480)
		}},
		{"trouble", func(w *window) { w.trouble(at(s, links[0]) + "xx") }},
		{"passphrase", func(w *window) {
			w.goTo(at(s, links[1]))
			w.until(`!document.getElementById('door-form').hidden`)
			w.keys("wrong\r")
			w.until(`document.getElementById('passphrase-trouble').textContent !== ''`)
		}},
	}
	for _, scheme := range []string{"light", "dark"} {
		// 320 pixels is also 1280 at 400 %.
		for _, size := range []size{{320, 640, 2, true}, desk} {
			w := newWindow(t, size)
			call(w, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{
				{Name: "prefers-color-scheme", Value: scheme}, {Name: "prefers-reduced-motion", Value: "reduce"}}})
			for _, state := range states {
				state.reach(w)
				eval[int](w, string(script)+"; 1")
				found := eval[[]string](w, `axe.run(document, { resultTypes: ['violations'] }).then((r) => r.violations.map((v) => v.id + ': ' + v.help + ' ' + v.nodes.map((n) => n.html + ' ' + n.failureSummary).join(' | ')))`)
				for _, f := range found {
					t.Errorf("%s, %d px, %s: %s", state.name, size.width, scheme, f)
				}
			}
		}
	}
}

// TestValidHTML asks html-validate about the page as it is served.
func TestValidHTML(t *testing.T) {
	dir := outside.NeedNPM(t, "html-validate@10.17.0")
	out := t.TempDir()
	renderPage(t, out)
	config := filepath.Join(t.TempDir(), ".htmlvalidate.json")
	// Our style: void elements end without a slash, and the passphrase form has no
	// user name to go with it.
	rules := `{"root": true, "extends": ["html-validate:standard"], "rules": {"void-style": "off", "no-trailing-whitespace": "off"}}`
	if err := os.WriteFile(config, []byte(rules), 0o644); err != nil {
		t.Fatal(err)
	}
	check := exec.Command("node", filepath.Join(dir, "node_modules", "html-validate", "bin", "html-validate.mjs"), "--config", config, "--formatter", "json", filepath.Join(out, filepath.FromSlash(pageFolder), "index.html"))
	body, err := check.Output()
	var results []struct {
		Messages []struct {
			RuleID, Message string
			Line            int
		}
	}
	if jsonErr := json.Unmarshal(body, &results); jsonErr != nil {
		t.Fatalf("html-validate: %v, %v\n%s", err, jsonErr, body)
	}
	for _, r := range results {
		for _, m := range r.Messages {
			t.Errorf("line %d: %s: %s", m.Line, m.RuleID, m.Message)
		}
	}
}

// TestPrintedCard prints the page and reads the paper.
func TestPrintedCard(t *testing.T) {
	g := testGallery("ines", 5)
	g.Plates[1].Varnished = time.Date(2099, 6, 14, 14, 10, 0, 0, london)
	out, links := buildSite(t, 500, g)
	s := serve(t, out)
	w := newWindow(t, desk)
	call(w, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: "dark"}}})
	w.open(at(s, links[0]))
	pdf, err := chromedp.Run(w.ctx, chromedp.PrintToPDF(func(p *page.PrintToPDFParams) {
		wide, high := 8.27, 11.69 // A4 in inches
		p.PaperWidth, p.PaperHeight = wide, high
	}))
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "card.pdf")
	if dir := os.Getenv("SANDARAC_SCREENSHOTS"); dir != "" {
		file = filepath.Join(dir, "card.pdf")
	}
	if err := os.WriteFile(file, pdf, 0o644); err != nil {
		t.Fatal(err)
	}
	text := pdfText(t, file)
	for _, want := range []string{"The Amber Barge · ask@amberbarge.example", "Ines and the lock keepers", "Mr Okafor, lock keeper", "15 June 2099, 14:10", "Hold the plate by its edges", "Glass breaks.", "Bring a plate back"} {
		if !strings.Contains(text, want) {
			t.Errorf("the card lacks %q:\n%s", want, text)
		}
	}
	for _, not := range []string{"Save all", "withdraw", "Anyone who has", strings.Split(links[0].URL, "#")[1]} {
		if strings.Contains(text, not) {
			t.Errorf("the card says %q", not)
		}
	}
	if pages := strings.Count(text, "\f"); pages > 1 {
		t.Errorf("%d pages, want one side of a sheet for five plates", pages)
	}
}

func pdfText(t *testing.T, file string) string {
	t.Helper()
	program, err := exec.LookPath("pdftotext")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("pdftotext is not installed")
		}
		t.Skip("pdftotext is not installed")
	}
	out, err := exec.Command(program, "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}
