package main

import (
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"sandarac/cmd/screens/browser"
	"sandarac/cmd/screens/outside"
)

// TestPaper prints the pages that people take along, from a dark screen, and
// reads the sheets: how many, what is on them, and that they are white.
func TestPaper(t *testing.T) {
	toText, toPicture := outside.Need(t, "pdftotext"), outside.Need(t, "pdftoppm")
	s, roots := needSites(t)
	tab, err := needBrowser(t).Open(browser.View{Width: 1440, Height: 900, Density: 1, Dark: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		kind      string
		sheets    int
		says, not []string
	}{
		{"page-plates-tin", 1, []string{"How it was made", "In the hand", "Not instructions"}, []string{"Copy the address", "Look closer", "Made alike", "See what it does"}},
		{"page-plates-glass", 1, []string{"How it was made", "Not instructions"}, []string{"Copy the address"}},
		{"page", 2, []string{"Before you come", "Royal blue", "On the", "stay out", "What may"}, []string{"New plates as a feed"}},
		{"page-about", 1, []string{"The barge", "Who works here"}, []string{"New plates as a feed"}},
		{"gallery", 2, []string{"May be handled from", "Hold the plate by its edges"}, []string{"Save all", "Do not publish", "Anyone who has"}},
	} {
		t.Run(c.kind, func(t *testing.T) {
			for _, p := range s.pages {
				if p.Name != c.kind {
					continue
				}
				if err := p.Reach(tab, roots[p.Site]); err != nil {
					t.Fatal(err)
				}
			}
			if err := tab.Settle(); err != nil {
				t.Fatal(err)
			}
			pdf, err := tab.Paper()
			if err != nil {
				t.Fatal(err)
			}
			file := filepath.Join(t.TempDir(), "page.pdf")
			if err := os.WriteFile(file, pdf, 0o644); err != nil {
				t.Fatal(err)
			}
			text, err := exec.Command(toText, "-layout", file, "-").Output()
			if err != nil {
				t.Fatal(err)
			}
			if n := strings.Count(string(text), "\f"); n != c.sheets {
				t.Errorf("%d sheets, want %d", n, c.sheets)
			}
			for _, want := range c.says {
				if !strings.Contains(string(text), want) {
					t.Errorf("the paper lacks %q", want)
				}
			}
			for _, not := range c.not {
				if strings.Contains(string(text), not) {
					t.Errorf("the paper says %q", not)
				}
			}
			isWhite(t, toPicture, file)
		})
	}
}

// isWhite holds that most of the first sheet is, within its margins too.
func isWhite(t *testing.T, toPicture, file string) {
	t.Helper()
	base := strings.TrimSuffix(file, ".pdf")
	if out, err := exec.Command(toPicture, "-r", "20", "-f", "1", "-l", "1", "-singlefile", "-png", file, base).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	f, err := os.Open(base + ".png")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	sheet, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	white, b := 0, sheet.Bounds()
	for y := range b.Dy() {
		for x := range b.Dx() {
			if r, g, b, _ := sheet.At(x, y).RGBA(); min(r, g, b) > 0xf000 {
				white++
			}
		}
	}
	if share := float64(white) / float64(b.Dx()*b.Dy()); share < 0.55 {
		t.Errorf("%.0f %% of the sheet is white", 100*share)
	}
}
