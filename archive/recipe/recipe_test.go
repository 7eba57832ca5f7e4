package recipe

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sandarac/archive/chemistry"
	"sandarac/archive/chemistry/silverbath"
	"sandarac/archive/chemistry/substance"
	"sandarac/archive/finding"
	"sandarac/archive/record"
)

// archive writes records and reads them back.
func archive(t testing.TB, files map[string]string) *record.Archive {
	t.Helper()
	root := t.TempDir()
	if _, ok := files["studio.md"]; !ok {
		files["studio.md"] = "---\nstudio: Test Rooms\nurl: https://plates.example/\ntime_zone: Europe/Dublin\npoison_centre: 01 555 0100\n---\n"
	}
	for name, content := range files {
		if err := os.WriteFile(filepath.Join(root, name), []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	a, found, err := record.Read(context.Background(), root)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range found {
		if f.Severity == finding.Error && !strings.HasPrefix(f.File, "bad") {
			t.Fatalf("the test's own archive: %v", f)
		}
	}
	return a
}

const collodion = `---
batch: c1
kind: collodion
mixed: 2026-03-01
volume_ml: 100
parts:
  - {substance: ammonium iodide, grams: 0.80}
  - {substance: cadmium bromide tetrahydrate, grams: 0.50}
---
`

const bath = `---
batch: b1
kind: bath
mixed: 2026-03-02
volume_ml: 1000
parts:
  - substance: silver nitrate
    percent_wv: 9
log:
  - {date: 2026-03-05, action: filtered}
---
`

func plates(n int, from int) map[string]string {
	out := map[string]string{}
	for i := range n {
		id := fmt.Sprintf("p%03d", from+i)
		out[id+".md"] = fmt.Sprintf("---\nplate: %s\nmade: 2026-03-%02dT10:%02d\nformat: whole\nbatches: {collodion: c1, bath: b1}\nsitters: []\n---\n", id, 3+i/40, i%60)
	}
	return out
}

func with(files ...map[string]string) map[string]string {
	out := map[string]string{}
	for _, m := range files {
		for k, v := range m {
			out[k] = v
		}
	}
	return out
}

// TestBath: the worked collodion on whole plates takes 76.5 mg each.
func TestBath(t *testing.T) {
	a := archive(t, with(map[string]string{"c1.md": collodion, "b1.md": bath}, plates(10, 0)))
	acc, err := Bath(a, "b1", record.Date{Year: 2026, Month: 4, Day: 1})
	if err != nil {
		t.Fatal(err)
	}
	if got := 1000 * acc.Ledger.Consumed / 10; math.Abs(got-76.5) > 0.2 {
		t.Errorf("%v mg per plate, want 76.5", got)
	}
	if acc.Plates != 10 || acc.TargetPercentWV != 9 || acc.PlatesToFloor == nil || len(acc.Uncounted) != 0 || math.Abs(acc.Ledger.Balance()) > 1e-9 {
		t.Errorf("%+v", acc.Account.Ledger)
	}
	if acc.Floor != a.Studio.BathFloorPercentWV {
		t.Errorf("floor %v", acc.Floor)
	}
	// Up to the second day only none of the plates is made.
	early, err := Bath(a, "b1", record.Date{Year: 2026, Month: 3, Day: 2})
	if err != nil || early.Plates != 0 || early.PercentWV != 9 {
		t.Errorf("early: %v, %v", early.Plates, err)
	}
	if got := strings.Join(acc.Assumptions, " "); !strings.Contains(got, "estimate") || !strings.Contains(got, "hydrometer") {
		t.Errorf("assumptions %q", got)
	}
}

func TestStudioFloor(t *testing.T) {
	studio := "---\nstudio: Test Rooms\nurl: https://plates.example/\ntime_zone: Europe/Dublin\nbath_floor_percent_wv: 7\n---\n"
	a := archive(t, map[string]string{"studio.md": studio, "b1.md": bath})
	if acc, err := Bath(a, "b1", record.Date{Year: 2026, Month: 4, Day: 1}); err != nil || acc.Floor != 7 {
		t.Errorf("floor %v, %v", acc.Floor, err)
	}
	// A weak bath, Cooley's 6.84 %, does not start under the default floor.
	weak := archive(t, map[string]string{"b1.md": strings.Replace(bath, "percent_wv: 9", "percent_wv: 6.84", 1)})
	if acc, err := Bath(weak, "b1", record.Date{Year: 2026, Month: 4, Day: 1}); err != nil || math.Abs(acc.Floor-6.34) > 1e-9 || acc.Crossed != nil {
		t.Errorf("floor %v, %v", acc.Floor, err)
	}
}

func TestBathUncounted(t *testing.T) {
	a := archive(t, map[string]string{"c1.md": collodion, "b1.md": bath,
		"c2.md": "---\nbatch: c2\nkind: collodion\nmixed: 2026-03-01\n---\n",
		"q1.md": "---\nplate: q1\nmade: 2026-03-10T10:00\nbatches: {collodion: c1, bath: b1}\nsitters: []\n---\n",
		"q2.md": "---\nplate: q2\nmade: 2026-03-10T11:00\nformat: half\nbatches: {bath: b1}\nsitters: []\n---\n",
		"q3.md": "---\nplate: q3\nmade: 2026-03-10T12:00\nformat: half\nbatches: {collodion: c2, bath: b1}\nsitters: []\n---\n",
	})
	acc, err := Bath(a, "b1", record.Date{Year: 2026, Month: 4, Day: 1})
	if err != nil {
		t.Fatal(err)
	}
	if len(acc.Uncounted) != 3 || acc.Plates != 3 || acc.Ledger.Consumed != 0 {
		t.Errorf("%+v, consumed %v", acc.Uncounted, acc.Ledger.Consumed)
	}
}

func TestBathErrors(t *testing.T) {
	a := archive(t, map[string]string{"c1.md": collodion, "b2.md": "---\nbatch: b2\nkind: bath\nmixed: 2026-03-02\n---\n"})
	for id, want := range map[string]error{"c1": ErrNotABath, "nowhere": ErrNotABath, "b2": ErrNoSilver} {
		if _, err := Bath(a, id, record.Date{Year: 2026, Month: 4, Day: 1}); !errors.Is(err, want) {
			t.Errorf("%s: %v", id, err)
		}
	}
}

type wanted struct {
	file string
	line int
	code string
	says string
}

func expect(t *testing.T, found []finding.Finding, want []wanted) {
	t.Helper()
	for _, w := range want {
		ok := false
		for _, f := range found {
			ok = ok || f.File == w.file && f.Line == w.line && f.Code == w.code && strings.Contains(f.Message+" "+f.Remedy, w.says)
		}
		if !ok {
			t.Errorf("want %s:%d %s %q", w.file, w.line, w.code, w.says)
		}
	}
	if t.Failed() {
		for _, f := range found {
			t.Logf("%v [%s]", f, f.Code)
		}
	}
}

// TestCheck: each fault at its own line.
func TestCheck(t *testing.T) {
	a := archive(t, map[string]string{
		"c1.md": `---
batch: c1
kind: collodion
mixed: 2025-03-01
volume_ml: 100
parts:
  - {substance: ether, ml: 50}
  - {substance: ammonium iodide, amount: 8 gr/oz}
  - {substance: cadmium bromide, grams: 0.5}
---
`,
		"f1.md": `---
batch: f1
kind: fixer
mixed: 2026-03-01
volume_ml: 1000
parts:
  - {substance: potassium cyanide, grams: 20}
  - {substance: acetic acid, ml: 5}
---
`,
		"f2.md": `---
batch: f2
kind: fixer
mixed: 2026-03-01
volume_ml: 1000
parts:
  - {substance: potassium cyanide, grams: 20}
---
`,
		"d1.md": `---
batch: d1
kind: developer
mixed: 2026-03-01
volume_ml: 1000
parts:
  - {substance: ferrous sulfate heptahydrate, grams: 40}
  - {substance: acetic acid, ml: 40}
---
`,
		"b1.md": `---
batch: b1
kind: bath
mixed: 2026-03-02
volume_ml: 1000
parts:
  - {substance: silver nitrate, grams: 90}
log:
  - {date: 2026-03-05, action: measured, specific_gravity: 1.07}
  - {date: 2026-03-06, action: measured, specific_gravity: 1.9, temperature_c: 20}
  - date: 2026-03-07
    action: neutralised
    added:
      - {substance: ammonia, amount: 3 drops}
  - {date: 2026-03-08, action: sang}
  - {date: 2026-03-09, action: measured}
---
`,
	})
	expect(t, Check(a, record.Date{Year: 2026, Month: 4, Day: 1}), []wanted{
		{"c1.md", 8, "unit-open", "fl oz US"},
		{"c1.md", 9, "hydrate-open", "tetrahydrate"},
		{"c1.md", 6, "ether-old", "peroxides"},
		{"c1.md", 6, "harmful-in-pregnancy", "pregnant"},
		{"f1.md", 8, "incompatible", "hydrogen cyanide"},
		{"f2.md", 6, "cyanide-carry-over", "d1"},
		{"b1.md", 9, "reading-without-temperature", "20 °C"},
		{"b1.md", 10, "reading-outside-table", "outside the table"},
		{"b1.md", 11, "incompatible", "fulminating"},
		{"b1.md", 15, "log-action-unknown", "sang"},
		{"b1.md", 16, "reading-missing", "no reading"},
	})
}

// TestCheckBath: the floor and the rule of proportion.
func TestCheckBath(t *testing.T) {
	strong := strings.NewReplacer("grams: 0.80", "grams: 1.40").Replace(collodion)
	a := archive(t, with(map[string]string{"c1.md": strong, "b1.md": bath}, plates(240, 0)))
	found := Check(a, record.Date{Year: 2026, Month: 4, Day: 1})
	expect(t, found, []wanted{
		{"b1.md", 2, "bath-under-floor", "g of silver nitrate"},
		{"c1.md", 6, "collodion-over-bath", "11.0 %"},
	})
	for _, f := range found {
		if f.Severity == finding.Error {
			t.Errorf("no error here: %v", f)
		}
	}
}

// TestBrokenSaidOnce: what reading the record has faulted is not faulted again.
func TestBrokenSaidOnce(t *testing.T) {
	a := archive(t, map[string]string{"bad1.md": "---\nbatch: x1\nkind: bath\nmixed: 2026-03-02\nvolume_ml: 1000\nparts:\n  - {substance: silver nitrate, grams: -90}\n---\n"})
	for _, f := range Check(a, record.Date{Year: 2026, Month: 4, Day: 1}) {
		if f.Severity == finding.Error {
			t.Errorf("said twice: %v", f)
		}
	}
}

func TestCardText(t *testing.T) {
	a := archive(t, map[string]string{"b1.md": bath})
	ml, err := ParseVolume("250ml")
	if err != nil {
		t.Fatal(err)
	}
	c, err := Card(a, "b1", ml)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	if err := Write(&b, "Bath b1", c); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	for _, part := range []string{"for 250 ml", "22.5 g", "DANGER: flame over circle, corrosion, environment", "H314 Causes severe skin burns and eye damage.",
		"Order of mixing 1. Goggles on.", "Silver nitrate: 9.00 % w/v", "fulminating silver", "01 555 0100", "Keep apart", "Waste"} {
		if !strings.Contains(strings.Join(strings.Fields(text), " "), part) {
			t.Errorf("the card lacks %q\n%s", part, text)
		}
	}
	if flat := strings.Join(strings.Fields(text), " "); !strings.HasSuffix(flat, chemistry.Deferral) {
		t.Error("the card must end with the deferral")
	}
	for line := range strings.Lines(text) {
		if n := len([]rune(line)); n > width+1 {
			t.Errorf("%d runes: %q", n, line)
		}
	}
}

// TestCardTellsWhatItsWordLeavesOut: the mild word of one salt does not stand
// alone over a bottle nothing is known of.
func TestCardTellsWhatItsWordLeavesOut(t *testing.T) {
	batch := func(part string) string {
		return "---\nbatch: c1\nkind: collodion\nmixed: 2026-04-20\nvolume_ml: 250\nparts:\n  - {substance: " + part + ", ml: 150}\n  - {substance: ammonium iodide, grams: 2}\n---\n"
	}
	for part, left := range map[string]string{
		"negative collodion of the old recipe": "WARNING: exclamation mark That leaves out negative collodion of the old recipe: " + substance.NoData + ".",
		"collodion plain USP":                  "",
	} {
		c, err := Card(archive(t, map[string]string{"c1.md": batch(part)}), "c1", 250)
		if err != nil {
			t.Fatal(err)
		}
		var b strings.Builder
		if err := Write(&b, "Collodion c1", c); err != nil {
			t.Fatal(err)
		}
		text := strings.Join(strings.Fields(b.String()), " ")
		if left != "" && !strings.Contains(text, left) || left == "" && (strings.Contains(text, "leaves out") || !strings.Contains(text, "DANGER: flame")) {
			t.Errorf("%s: the head of the card is wrong\n%s", part, text)
		}
	}
}

func TestCardRefuses(t *testing.T) {
	a := archive(t, map[string]string{
		"f1.md": "---\nbatch: f1\nkind: fixer\nmixed: 2026-03-02\nvolume_ml: 1000\nparts:\n  - {substance: KCN, grams: 20}\n  - {substance: vinegar, ml: 5}\n---\n",
		"c1.md": "---\nbatch: c1\nkind: collodion\nmixed: 2026-03-02\nvolume_ml: 100\nparts:\n  - {substance: potassium iodide, amount: 1 oz}\n---\n",
	})
	if _, err := Card(a, "f1", 0); err == nil || !strings.Contains(err.Error(), "f1.md:8") {
		t.Errorf("a card for cyanide with acid: %v", err)
	}
	if _, err := Card(a, "c1", 0); err == nil || !strings.Contains(err.Error(), "which ounce") {
		t.Errorf("a card for an unnamed ounce: %v", err)
	}
	if _, err := Card(a, "z9", 0); !errors.Is(err, ErrNoBatch) {
		t.Errorf("no such batch: %v", err)
	}
}

func TestParseVolume(t *testing.T) {
	for text, want := range map[string]float64{"250ml": 250, "0.5 l": 500, "8 fl oz US": 236.5882365} {
		if got, err := ParseVolume(text); err != nil || math.Abs(got-want) > 1e-6 {
			t.Errorf("%q = %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "250", "3 g", "9 % w/v", "8 oz", "5 ml/100 ml"} {
		if got, err := ParseVolume(text); err == nil {
			t.Errorf("%q = %v ml", text, got)
		}
	}
}

// TestAccountWithReading: a measured gravity beats the estimate, and says what
// it was.
func TestAccountWithReading(t *testing.T) {
	sg, err := silverbath.Gravity(8.2, 18, 0)
	if err != nil {
		t.Fatal(err)
	}
	read := strings.Replace(bath, "action: filtered}", fmt.Sprintf("action: measured, specific_gravity: %.5f, temperature_c: 18}", sg), 1)
	a := archive(t, with(map[string]string{"c1.md": collodion, "b1.md": read}, plates(10, 0)))
	acc, err := Bath(a, "b1", record.Date{Year: 2026, Month: 4, Day: 1})
	if err != nil {
		t.Fatal(err)
	}
	if len(acc.Gaps) != 1 || math.Abs(acc.Gaps[0].MeasuredPercent-8.2) > 0.01 || !acc.Gaps[0].Apparent {
		t.Errorf("gaps %+v", acc.Gaps)
	}
	if math.Abs(acc.TopUp.SilverNitrateG-(90-8.2*acc.VolumeMl/100)) > 0.05 {
		t.Errorf("top up %+v at %v ml", acc.TopUp, acc.VolumeMl)
	}
}

// A strength by assay beats the hydrometer, which sees alcohol and iodide too.
func TestAccountWithAssay(t *testing.T) {
	assayed := strings.Replace(bath, "action: filtered}", "action: assayed, percent_wv: 8.2, specific_gravity: 1.09, temperature_c: 18}", 1)
	a := archive(t, with(map[string]string{"c1.md": collodion, "b1.md": assayed}, plates(10, 0)))
	acc, err := Bath(a, "b1", record.Date{Year: 2026, Month: 4, Day: 1})
	if err != nil {
		t.Fatal(err)
	}
	if len(acc.Gaps) != 1 || acc.Gaps[0].MeasuredPercent != 8.2 || acc.Gaps[0].Apparent {
		t.Errorf("gaps %+v", acc.Gaps)
	}
	for _, f := range Check(a, record.Date{Year: 2026, Month: 4, Day: 1}) {
		if f.Code == "reading-missing" {
			t.Errorf("%+v", f)
		}
	}
}

func BenchmarkCheck(b *testing.B) {
	a := archive(b, with(map[string]string{"c1.md": collodion, "b1.md": bath}, plates(120, 0)))
	for b.Loop() {
		Check(a, record.Date{Year: 2026, Month: 4, Day: 1})
	}
}

// TestPlateAreas: areas in dm² of the period sizes, from inches (collectors'
// size tables); a whole plate scanned at 600 to the inch is 5100 × 3900.
func TestPlateAreas(t *testing.T) {
	for slug, want := range map[string]float64{"whole": 3.5645, "half": 1.5081, "quarter": 0.8911, "sixth": 0.5766, "ninth": 0.3226, "sixteenth": 0.1442, "gem": 0.0484} {
		f, ok := record.FormatBySlug(slug)
		if !ok || math.Abs(f.AreaDM2()-want) > 0.0005 {
			t.Errorf("%s: %.4f dm², want %v", slug, f.AreaDM2(), want)
		}
	}
	whole, _ := record.FormatBySlug("whole")
	if long, short := whole.HeightMM/25.4*600, whole.WidthMM/25.4*600; math.Abs(long-5100) > 1e-9 || math.Abs(short-3900) > 1e-9 {
		t.Errorf("a whole plate at 600 to the inch is %v × %v", long, short)
	}
}
