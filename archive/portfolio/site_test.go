package portfolio

import (
	"context"
	"crypto/sha256"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"sandarac/archive/consent"
	"sandarac/archive/hugo"
	"sandarac/archive/picture"
)

// The studio of these tests is invented, and so is everyone in it.

var testSecret = []byte("a secret of these tests only")

// hostile is text that has broken pages elsewhere.
var hostile = []string{
	`</script><script>alert(1)</script> "q" & <!-- x --> O'Hara`,
	`{{ .Site.Params }} {{< figure src="x" >}} {{% ref "y" %}}`,
	`" onload="alert(1)" x="`,
	`<img src=x onerror=alert(1)>`,
	"tab\there\x01 and\nnew line",
	`]]> &amp; &#x27; %2e%2e/ ../../etc`,
	`draft: true`,
	"\u202eright to left\u202c ünïcödé 銀板 🜛",
	`a,b 1x, c 2x`,
	`javascript:alert(1)`,
}

// format is a plate size by its slug, as the records name it.
func format(p *consent.Plate, slug string) {
	sizes := map[string][2]float64{
		"whole": {165.1, 215.9}, "half": {107.9, 139.7}, "quarter": {82.5, 107.9}, "sixth": {69.9, 82.5}, "4x5": {101.6, 127},
	}
	p.Format.Slug = slug
	p.Format.Name = slug + " plate"
	mm, named := sizes[slug]
	if !named {
		p.Format.Slug, p.Format.Name, mm = "", "90 × 120 mm", [2]float64{90, 120}
	}
	p.Format.WidthMM, p.Format.HeightMM = mm[0], mm[1]
}

func testStudio() consent.Studio {
	return consent.Studio{
		Name: "Larkspur & Sons", URL: "https://larkspur.example/on/tin", Email: "post@larkspur.example", Credit: "Odile Larkspur",
		Copyright: "© 2026 Odile Larkspur", LicenceURL: "https://larkspur.example/terms", Language: "en", PoisonCentre: "555 0100",
		ShowRecipes: true, Zone: time.UTC,
	}
}

// testSite is a site of n plates, newest first, of all kinds, the first of
// which have hostile titles.
func testSite(n int) consent.Site {
	site := consent.Site{Studio: testStudio()}
	site.Day.Year, site.Day.Month, site.Day.Day = 2026, time.November, 20
	formats := []string{"whole", "half", "quarter", "sixth", "4x5", "none"}
	supports := []string{"tin", "glass", "aluminium", "glass-negative"}
	lights := []string{"north skylight", "open shade", "North  Skylight", "lamps"}
	for i := range n {
		day := time.Date(2026, 10, 30, 0, 0, 0, 0, time.UTC).AddDate(0, 0, -11*i)
		p := consent.Plate{
			ID: fmt.Sprintf("26-%03d", n-i), Purpose: []string{"portrait", "landscape", "still-life", "workshop"}[i%4],
			Title: fmt.Sprintf("Person %d at a bench", i), Alt: fmt.Sprintf("Someone at bench %d, hands still.", i),
			Tags: []string{"bench", fmt.Sprintf("tag %d", i%5)}, Featured: i%7 == 3, Promotion: i%2 == 1, People: 1,
			Support: supports[i%4], LightKind: lights[i%4], Master: fmt.Sprintf("/masters/%03d.tif", i),
		}
		p.Made.Year, p.Made.Month, p.Made.Day = day.Year(), day.Month(), day.Day()
		format(&p, formats[i%6])
		age := i % 30
		p.Recipe = &consent.Recipe{
			Collodion: fmt.Sprintf("col-%d", i%3), Bath: "bath-a", Developer: "dev-1", Fixer: "fix-1", Varnish: "var-1", Lens: "petzval",
			FocalMM: 210, Seconds: float64(1 + i%9), Stop: 5.6, DevelopmentSeconds: 15, CollodionAgeDays: &age,
			Substances: map[string][]string{"fixer": {"potassium cyanide"}, "bath": {"silver nitrate", "water"}},
		}
		if i < len(hostile) {
			p.Title, p.Alt = hostile[i], "Alt "+hostile[i]
			p.Tags = append(p.Tags, hostile[i])
		}
		if i%5 == 4 {
			p.Names = []string{fmt.Sprintf("Wilma Harrow %d", i)}
		}
		site.Plates = append(site.Plates, p)
	}
	return site
}

// testSets is what the picture package would give, by master. Every third
// plate lies on its side. With an empty dir the files do not exist.
func testSets(t testing.TB, site consent.Site, dir string) map[string]picture.Set {
	t.Helper()
	sets := map[string]picture.Set{}
	for i, p := range site.Plates {
		ratio := p.Format.HeightMM / p.Format.WidthMM
		if i%3 == 2 {
			ratio = 1 / ratio
		}
		set := picture.Set{Master: p.Master, Tone: float64(i%12) / 12}
		for _, w := range Widths[:6] {
			h := int(math.Round(float64(w) * ratio))
			f := picture.File{
				Output: picture.Output{Width: w, Edition: Edition}, Width: w, Height: h, Bytes: int64(w * h / 8),
				Path: filepath.Join(dir, fmt.Sprintf("%dx%d.jpg", w, h)), SHA256: sha256.Sum256([]byte(fmt.Sprint(i, w))),
			}
			if dir != "" {
				paint(t, f)
			}
			set.Files = append(set.Files, f)
		}
		sets[p.Master] = set
	}
	return sets
}

// paint writes a plain picture of the size: light from the upper left.
func paint(t testing.TB, f picture.File) {
	t.Helper()
	if _, err := os.Stat(f.Path); err == nil {
		return
	}
	img := image.NewGray(image.Rect(0, 0, f.Width, f.Height))
	for y := range f.Height {
		for x := range f.Width {
			d := math.Hypot(float64(x)/float64(f.Width)-0.4, float64(y)/float64(f.Height)-0.35)
			img.SetGray(x, y, color.Gray{uint8(220 * math.Exp(-4*d*d))})
		}
	}
	out, err := os.Create(f.Path)
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	if err := jpeg.Encode(out, img, nil); err != nil {
		t.Fatal(err)
	}
}

// stageSite stages a site into a fresh folder.
func stageSite(t testing.TB, site consent.Site, sets map[string]picture.Set, opt Options) (Staged, string) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "stage")
	opt.Secret = testSecret
	staged, err := Stage(context.Background(), site, sets, opt, dir)
	if err != nil {
		t.Fatal(err)
	}
	return staged, dir
}

// buildSite stages a site, runs Hugo and copies the pictures: the tree as it
// would be uploaded.
func buildSite(t testing.TB, site consent.Site, sets map[string]picture.Set, opt Options) (Staged, string) {
	t.Helper()
	staged, dir := stageSite(t, site, sets, opt)
	ctx := context.Background()
	program, err := hugo.Find(ctx, hugo.Options{})
	if err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(t.TempDir(), "public")
	err = hugo.Run(ctx, program, hugo.Site{Source: dir, Config: filepath.Join(dir, ConfigFile), Destination: out, Cache: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range staged.Copies {
		if _, err := os.Stat(c.From); err != nil {
			continue // sets without files
		}
		to := filepath.Join(out, filepath.FromSlash(c.To))
		if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
			t.Fatal(err)
		}
		body, err := os.ReadFile(c.From)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(to, body, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return staged, out
}
