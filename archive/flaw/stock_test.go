package flaw_test

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"sandarac/archive/chemistry"
	"sandarac/archive/flaw"
	"sandarac/archive/recipe"
	"sandarac/archive/record"
)

// TestBathAtThePlate: a plate's facts are those of the bath as it stood then,
// not as it stands now.
func TestBathAtThePlate(t *testing.T) {
	files := map[string]string{
		"studio.md": "---\nstudio: Test Rooms\nurl: https://plates.example/\ntime_zone: Europe/Dublin\n---\n",
		"c1.md":     "---\nbatch: c1\nkind: collodion\nmixed: 2026-02-20\nvolume_ml: 100\nparts:\n  - {substance: ammonium iodide, grams: 0.80}\n  - {substance: cadmium bromide tetrahydrate, grams: 0.50}\n---\n",
		"b1.md":     "---\nbatch: b1\nkind: bath\nmixed: 2026-02-20\nvolume_ml: 1000\nparts:\n  - {substance: silver nitrate, grams: 90}\nlog:\n  - {date: 2026-03-03, action: filtered, ph: 6.2}\n---\n",
	}
	for day := 1; day <= 6; day++ {
		flaws := ""
		if day == 5 {
			flaws = "flaws: [fog]\n"
		}
		files[fmt.Sprintf("p%d.md", day)] = fmt.Sprintf("---\nplate: p%d\nmade: 2026-03-%02dT10:00\nformat: whole\noutcome: keeper\nbatches: {collodion: c1, bath: b1}\nsitters: []\n%s---\n", day, day, flaws)
	}
	root := t.TempDir()
	for name, content := range files {
		if err := os.WriteFile(filepath.Join(root, name), []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	a, found, err := record.Read(context.Background(), root)
	if err != nil {
		t.Fatal(err, found)
	}
	stock := recipe.NewStock(a, record.Date{Year: 2026, Month: 4, Day: 1})
	p, _ := a.Plate("p5")
	got := flaw.Facts(a, p, stock)
	for fact, want := range map[chemistry.Fact]float64{
		chemistry.BathPH: 6.2, chemistry.DaysSinceFiltered: 2, chemistry.PlatesSinceFiltered: 3, chemistry.PlatesSinceSunned: 5,
		chemistry.CollodionAge: 13, chemistry.CollodionSalts: 1.3,
	} {
		if math.Abs(got[fact]-want) > 1e-9 {
			t.Errorf("%s = %v, want %v", fact, got[fact], want)
		}
	}
	if s := got[chemistry.BathStrength]; s >= 9 || s < 9-5*0.0766 {
		t.Errorf("strength %v", s)
	}
	early, _ := a.Plate("p1")
	if f := flaw.Facts(a, early, stock); f[chemistry.PlatesSinceFiltered] != 1 {
		t.Errorf("before the filtering: %v", f)
	} else if _, known := f[chemistry.BathPH]; known {
		t.Error("the pH was read two days later")
	}
	d := flaw.Plate(a, p, stock, nil)
	if len(d) != 1 || d[0].Readings[0].Text != "bath alkaline or too little acid" || d[0].Readings[0].For[0] != "the bath's last pH 6.2, above 5.5" {
		t.Errorf("%+v", d)
	}
	if _, ok := stock.Bath("c1"); ok {
		t.Error("a collodion is no bath")
	}
}
