package benchbook

import (
	"bytes"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"sandarac/archive/gallery"
)

// sheets prints a page of the site as a PDF on A4 and gives its sheets of paper
// as pictures of 150 dpi, the PDF's path beside them.
func (w *walk) sheets(path string) (pdf string, sheets []string) {
	w.t.Helper()
	dir := w.t.TempDir()
	pdf = filepath.Join(dir, "paper.pdf")
	if err := os.WriteFile(pdf, w.print(path), 0o644); err != nil {
		w.t.Fatal(err)
	}
	if out, err := exec.Command(needed(w.t, "pdftoppm"), "-r", "150", "-png", pdf, filepath.Join(dir, "sheet")).CombinedOutput(); err != nil {
		w.t.Fatalf("pdftoppm: %v\n%s", err, out)
	}
	sheets, err := filepath.Glob(filepath.Join(dir, "sheet*.png"))
	if err != nil {
		w.t.Fatal(err)
	}
	slices.Sort(sheets)
	if keep := os.Getenv("SANDARAC_SCREENSHOTS"); keep != "" {
		for i, s := range sheets {
			body, _ := os.ReadFile(s)
			_ = os.WriteFile(filepath.Join(keep, fmt.Sprintf("print-%s-%d.png", strings.ReplaceAll(strings.Trim(path, "/"), "/", "-"), i+1)), body, 0o644)
		}
	}
	return pdf, sheets
}

// text is what an independent reader finds in a PDF.
func (w *walk) text(pdf string, args ...string) string {
	w.t.Helper()
	out, err := exec.Command(needed(w.t, "pdftotext"), append(args, pdf, "-")...).Output()
	if err != nil {
		w.t.Fatal(err)
	}
	return string(out)
}

// codes reads the QR codes of a sheet with ZBar.
func codes(t *testing.T, sheet string) []string {
	t.Helper()
	out, err := exec.Command(needed(t, "zbarimg"), "--raw", "-q", "-Sdisable", "-Sqrcode.enable", sheet).Output()
	if err != nil && len(out) == 0 {
		return nil // it exits 4 when it finds none
	}
	return strings.Fields(string(out))
}

// sideMM measures the first code of a PDF at 300 dpi, without its quiet zone:
// along lines that cross two of its three finder patterns, dark and light runs
// as 1 : 1 : 3 : 1 : 1 (ISO/IEC 18004), from the outer edge of one to the outer
// edge of the other.
func sideMM(t *testing.T, pdf string) float64 {
	t.Helper()
	base := filepath.Join(t.TempDir(), "fine")
	if out, err := exec.Command(needed(t, "pdftoppm"), "-r", "300", "-f", "1", "-l", "1", "-singlefile", "-png", pdf, base).CombinedOutput(); err != nil {
		t.Fatalf("pdftoppm: %v\n%s", err, out)
	}
	read := readPNG(t, base+".png")
	img := image.NewGray(read.Bounds())
	draw.Draw(img, img.Rect, read, read.Bounds().Min, draw.Src)
	var sides []float64
	for y := img.Bounds().Min.Y; y < img.Bounds().Max.Y && len(sides) < 50; y += 2 {
		if at := finders(img, y); len(at) >= 2 {
			// Of two cards side by side, a line may cross one pattern each.
			if side := float64(at[1][1]-at[0][0]) / 300 * 25.4; side < 60 {
				sides = append(sides, side)
			}
		}
	}
	if len(sides) == 0 {
		t.Fatal("no line crosses two finder patterns")
	}
	slices.Sort(sides)
	return sides[len(sides)/2]
}

// finders are where a line of the picture crosses finder patterns.
func finders(img *image.Gray, y int) (found [][2]int) {
	b := img.Bounds()
	var edges []int // where dark and light change, beginning with dark
	dark := false
	for x := b.Min.X; x < b.Max.X; x++ {
		if img.GrayAt(x, y).Y < 0x80 != dark {
			dark = !dark
			edges = append(edges, x)
		}
	}
	for i := 0; i+5 < len(edges); i += 2 {
		module := float64(edges[i+5]-edges[i]) / 7
		ok := module > 4
		for j, want := range []float64{1, 1, 3, 1, 1} {
			ok = ok && math.Abs(float64(edges[i+j+1]-edges[i+j])/module-want) < 0.3
		}
		if ok {
			found = append(found, [2]int{edges[i], edges[i+5]})
		}
	}
	return found
}

func readPNG(t *testing.T, name string) image.Image {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// TestEnvelopeCards prints every client's cards, as from a dark screen, and
// reads them: six to a sheet, codes that lead to the client's own gallery at
// half a millimetre a module, the address in plain text below, and no client's
// name.
func TestEnvelopeCards(t *testing.T) {
	in, out := demoSite(t)
	w := startWalk(t, out)
	s := newStage(in, "")
	open := 0
	for _, c := range s.clients {
		plates := leaving(s.ordered[c.ID])
		if len(plates) == 0 {
			continue
		}
		link, ok := s.link(c.ID)
		if !ok {
			t.Fatalf("no link of client %s", c.ID)
		}
		pdf, sheets := w.sheets("papers/client-" + s.clientSlug[c.ID] + "-cards/")
		if want := (len(plates) + 5) / 6; len(sheets) != want {
			t.Errorf("%s: %d cards on %d sheets, want %d", c.ID, len(plates), len(sheets), want)
		}
		var found []string
		for _, sheet := range sheets {
			blackOnWhite(t, sheet)
			found = append(found, codes(t, sheet)...)
		}
		text := w.text(pdf, "-raw")
		if strings.Contains(text, c.Name) {
			t.Errorf("the cards of %s bear the client's name", c.ID)
		}
		want := len(plates)
		if link.State != "open" {
			want = 0
		}
		if len(found) != want {
			t.Errorf("%s: ZBar reads %d codes, want %d", c.ID, len(found), want)
		}
		code, err := newQR(link.URL)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range found {
			if f != link.URL {
				t.Errorf("%s: a code says %q, want %q", c.ID, f, link.URL)
			}
			open++
		}
		if want > 0 {
			if side, want := sideMM(t, pdf), float64(code.Size-2*quietZone)*moduleMM; math.Abs(side-want) > 0.15 {
				t.Errorf("%s: a code of %.2f mm, want %.2f", c.ID, side, want)
			}
		}
		joined := strings.Join(strings.Fields(text), "")
		for _, p := range plates {
			if !strings.Contains(text, p.ID) {
				t.Errorf("no card of plate %s", p.ID)
			}
			if ready := s.clock(p).Ready; !ready.IsZero() && !strings.Contains(joined, strings.ReplaceAll(ready.Format("Monday 2 January 2006, 15:04"), " ", "")) {
				t.Errorf("the card of %s does not say when it may be touched", p.ID)
			}
		}
		if n := strings.Count(joined, link.URL); n != want {
			t.Errorf("%s: the address stands %d times in plain text, want %d", c.ID, n, want)
		}
	}
	if open == 0 {
		t.Error("no card of the demo archive has a code")
	}
	w.settled()
}

// TestCardWithMuchToSay: a long address and long lines of the studio's own make
// a card grow; code and address stay whole.
func TestCardWithMuchToSay(t *testing.T) {
	care := strings.Repeat("Keep it where you would keep a letter that you mean to read again. ", 4)
	in := archiveOf(t, map[string]string{
		"studio.md": strings.Replace(studioRecord, "poison", "care: ["+care+", "+care+"]\npoison", 1),
		"c.md":      "---\nclient: c\nname: Ada Holm\n---\n",
		"p.md":      "---\nplate: \"2026 a plate with quite a long id 000000000001\"\nmade: 2026-05-01T10:00\noutcome: keeper\nclient: c\nsupport: glass\n---\n",
	})
	link := "https://" + strings.Repeat("a-long-name-of-a-host.", 6) + "example/" + strings.Repeat("deeper/", 8) + "g/jpgyyrsbez62normhzd5hz/#AEcbcku5L0e3V22o2kTSlA"
	in.Links = []gallery.Link{{Client: "c", URL: link, State: "open", Plates: 1, Passphrase: "ruke-tanu"}}
	_, out := build(t, in)
	w := startWalk(t, out)
	pdf, sheets := w.sheets("papers/client-c-cards/")
	if got := codes(t, sheets[0]); len(got) != 1 || got[0] != link {
		t.Errorf("ZBar reads %q, want %q", got, link)
	}
	text := strings.Join(strings.Fields(w.text(pdf, "-raw")), "")
	for _, want := range []string{link, strings.ReplaceAll(strings.TrimSpace(care), " ", ""), "2026aplatewithquitealongid000000000001"} {
		if !strings.Contains(text, want) {
			t.Errorf("the card does not show %q whole", want)
		}
	}
	if strings.Contains(text, "ruke-tanu") || strings.Contains(text, "AdaHolm") {
		t.Error("the card bears the passphrase or the client's name")
	}
}

// TestCardsNameTheClientOnlyIfAsked: a card lies on the outside of an envelope.
func TestCardsNameTheClientOnlyIfAsked(t *testing.T) {
	for _, asked := range []bool{false, true} {
		in := archiveOf(t, map[string]string{
			"studio.md": strings.Replace(studioRecord, "poison", fmt.Sprintf("cards_name_client: %v\npoison", asked), 1),
			"c.md":      "---\nclient: c\nname: Ada Holm\n---\n",
			"p.md":      "---\nplate: p\nmade: 2026-05-01T10:00\noutcome: keeper\nclient: c\nsupport: glass\n---\n",
		})
		_, out := build(t, in)
		card, err := os.ReadFile(filepath.Join(out, "papers", "client-c-cards", "index.html"))
		if err != nil {
			t.Fatal(err)
		}
		_, card, _ = bytes.Cut(card, []byte(`<ul class="paper cards`))
		if got := bytes.Contains(card, []byte("For <strong>Ada Holm</strong>")); got != asked || !asked && bytes.Contains(card, []byte("Holm")) {
			t.Errorf("asked %v, named %v", asked, got)
		}
	}
}

// TestQR: the quiet zone is white, sizes follow the standard (ISO/IEC 18004:
// version v has 17 + 4v modules), and what would not fit is refused.
func TestQR(t *testing.T) {
	code, err := newQR("https://osmunda-plates.example/g/jpgyyrsbez62normhzd5hz/#AEcbcku5L0e3V22o2kTSlA")
	if err != nil {
		t.Fatal(err)
	}
	if side := code.Size - 2*quietZone; (side-17)%4 != 0 || side < 21 {
		t.Errorf("%d modules are no size of a QR code", side)
	}
	if want := float64(code.Size) / 2; code.MM != want {
		t.Errorf("%v mm, want %v", code.MM, want)
	}
	for _, m := range regexp.MustCompile(`M(\d+) (\d+)h(\d+)v1h-(\d+)z`).FindAllStringSubmatch(code.Path, -1) {
		x, _ := strconv.Atoi(m[1])
		y, _ := strconv.Atoi(m[2])
		n, _ := strconv.Atoi(m[3])
		if x < quietZone || y < quietZone || x+n > code.Size-quietZone || y >= code.Size-quietZone || m[3] != m[4] {
			t.Errorf("%s lies in the quiet zone or is no run", m[0])
		}
	}
	if _, err := newQR(strings.Repeat("x", mostLinkSize+1)); err == nil || !strings.Contains(err.Error(), "500") {
		t.Errorf("a text too long for a card: %v", err)
	}
}

// blackOnWhite holds that a sheet has white corners, ink that is black, and no
// colour, whatever the screen looked like.
func blackOnWhite(t *testing.T, sheet string) {
	t.Helper()
	img := readPNG(t, sheet)
	b := img.Bounds()
	darkest := uint32(0xffff)
	for y := b.Min.Y; y < b.Max.Y; y += 2 {
		for x := b.Min.X; x < b.Max.X; x += 2 {
			r, g, bl, _ := img.At(x, y).RGBA()
			darkest = min(darkest, r)
			if max(r, g, bl)-min(r, g, bl) > 0x1000 {
				t.Errorf("%s: colour at %d, %d", filepath.Base(sheet), x, y)
				return
			}
		}
	}
	for _, p := range []image.Point{b.Min, {b.Max.X - 1, b.Min.Y}, {b.Min.X, b.Max.Y - 1}, {b.Max.X - 1, b.Max.Y - 1}} {
		if r, _, _, _ := img.At(p.X, p.Y).RGBA(); r < 0xff00 {
			t.Errorf("%s: the corner at %v is not white", filepath.Base(sheet), p)
		}
	}
	if darkest > 0x2000 {
		t.Errorf("%s: the darkest ink is %#x", filepath.Base(sheet), darkest)
	}
}

// TestOtherPapers prints the other papers and counts their sheets.
func TestOtherPapers(t *testing.T) {
	in, out := demoSite(t)
	w := startWalk(t, out)
	s := newStage(in, "")
	for _, c := range []struct {
		path string
		most int // sheets
		says []string
	}{
		{"papers/day-sheet/", 1, []string{"Day", "u r o", "collodion-26-5", "lamp bank", "Emergency", "safety data sheets"}},
		{"papers/client-fennick-family-labels/", 1, []string{"26-006", "2 May 2026", "half plate"}},
		{"papers/bottles/", 3, []string{"collodion-26-5", "DANGER", "health hazard", "pregnant", "safety data sheets", "Emergency"}},
		{"papers/mix-fixer-26-cyan/", 2, []string{"DANGER", "skull and crossbones", "potassium cyanide", "1000 ml", "250 ml", "Never work alone", "safety data sheets", "sodium thiosulfate"}},
		{"batches/bath-heron/", 6, []string{"silver nitrate", "Cautions", "To restore it", "safety data sheets"}},
	} {
		pdf, sheets := w.sheets(c.path)
		if len(sheets) > c.most {
			t.Errorf("%s prints on %d sheets, want at most %d", c.path, len(sheets), c.most)
		}
		text := strings.Join(strings.Fields(w.text(pdf)), " ")
		for _, word := range c.says {
			if !strings.Contains(strings.ToLower(text), strings.ToLower(word)) {
				t.Errorf("%s does not print %q", c.path, word)
			}
		}
		if strings.HasPrefix(c.path, "papers/") {
			for _, sheet := range sheets {
				blackOnWhite(t, sheet)
			}
		}
	}
	if len(s.tableBatches()) == 0 {
		t.Fatal("no exposure table")
	}
	w.exposureTable(s)
	w.settled()
}

var word = regexp.MustCompile(`<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">([^<]*)</word>`)

// exposureTable holds that every time of the table is printed, in letters of 20
// points or more: legible at arm's length (common practice: 14 points and up
// for reading at 70 cm).
func (w *walk) exposureTable(s *stage) {
	b := s.tableBatches()[0]
	v, err := s.tableView(b)
	if err != nil {
		w.t.Fatal(err)
	}
	pdf, sheets := w.sheets(s.tablePath(b))
	if len(sheets) > len(v.Tables)+1 {
		w.t.Errorf("%d tables print on %d sheets", len(v.Tables), len(sheets))
	}
	tall := map[string]float64{} // points, the tallest time each word is printed
	for _, m := range word.FindAllStringSubmatch(w.text(pdf, "-bbox"), -1) {
		top, _ := strconv.ParseFloat(m[2], 64)
		foot, _ := strconv.ParseFloat(m[4], 64)
		tall[m[5]] = max(tall[m[5]], foot-top)
	}
	for _, table := range v.Tables {
		for _, row := range table.Rows {
			for _, c := range row.Cells {
				if tall[c.Time] < 20 {
					w.t.Errorf("%s: %q is printed %.0f points tall", table.Light, c.Time, tall[c.Time])
				}
			}
		}
	}
}
