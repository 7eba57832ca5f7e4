package intake

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/text/encoding/charmap"

	"sandarac/archive/check"
	"sandarac/archive/daybook"
	"sandarac/archive/daybook/sheet"
	"sandarac/archive/finding"
	"sandarac/archive/record"
)

var today = record.Date{Year: 2026, Month: time.May, Day: 20}

// studio is a small archive that a table may refer to.
func studio() map[string]string {
	files := map[string]string{
		"studio.md":    "---\nstudio: Test Rooms\nurl: https://plates.example/\ntime_zone: Europe/Dublin\nlenses:\n  - {id: petzval, focal_mm: 210, widest_stop: 3.8}\n---\n",
		"sitters/a.md": "---\nsitter: ada-quill\nname: Ada Quill\nconsent: {portfolio: true, given: 2026-05-01}\n---\n",
		"clients/q.md": "---\nclient: quill\nname: The Quill family\n---\n",
	}
	for _, kind := range record.BatchKinds {
		files["batches/"+kind+".md"] = "---\nbatch: " + kind + "-1\nkind: " + kind + "\nmixed: 2010-04-20\n---\n"
	}
	return files
}

func write(t testing.TB, files map[string]string) string {
	t.Helper()
	root := t.TempDir()
	for name, content := range files {
		at := filepath.Join(root, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(at, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return root
}

func open(t testing.TB, root string) *daybook.Book {
	t.Helper()
	a, _, err := record.Read(context.Background(), root)
	if err != nil {
		t.Fatal(err)
	}
	b, err := daybook.Open(a, today)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// sound reads the archive and fails the test for every error found.
func sound(t testing.TB, root string) *record.Archive {
	t.Helper()
	a, fs, err := record.Read(context.Background(), root)
	if err != nil {
		t.Fatal(err)
	}
	more, err := check.Run(context.Background(), a, check.Options{Today: today})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range append(fs, more...) {
		if f.Severity == finding.Error {
			t.Errorf("%s", f)
		}
	}
	return a
}

func table(t testing.TB, data string) *sheet.Table {
	t.Helper()
	tab, err := sheet.Read([]byte(data), sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return tab
}

// messy is a spreadsheet as one is kept over the years.
const messy = `My plates since 2014;;;;;;;;;;;;;;

No;Date;Time;Size;Tin or glass?;Support;Exp (min);f-stop;Temp (°F);Bellows (in);Who;Lens;Collodion;Result;Defects;Remarks;Mood
17;25/3/14;10:20;¼ plate;tin;tintype;0,5;f/4;68;9 1/2;Ada Quill;Petzval;collodion-1;Keeper!;comets, fogged;"first; after lunch";calm
18;3/4/2014;2:30 PM;4x5;;alu;8 s;5,6;71;;Bo Tarn & Ada Quill;Petzval;Old No. 3;redo;;;
19;4 May 2014;;16,5 x 21,6 cm;;black glass;1:30;f 4;20 °C;;2;;;meh;;;stormy
20;31/2/2014;;half;;tin;5;4;;;;;;keeper;;;
19;5.5.2014;;half;;tin;ca. 5;4;;;nobody;;;keeper;;;
`

func TestAMessyTable(t *testing.T) {
	root := write(t, studio())
	b := open(t, root)
	data, err := charmap.Windows1252.NewEncoder().Bytes([]byte(messy))
	if err != nil {
		t.Fatal(err)
	}
	tab, err := sheet.Read(data, sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	m := Propose(tab, today)
	want := map[string]string{"No": "plate", "Date": "made", "Time": "made.time", "Size": "format", "Tin or glass?": "x_tin_or_glass", "Support": "support", "Exp (min)": "exposure.seconds", "f-stop": "exposure.stop", "Temp (°F)": "air.temperature_c",
		"Bellows (in)": "exposure.extension_mm", "Who": "sitters", "Lens": "lens", "Collodion": "batches.collodion", "Result": "outcome", "Defects": "flaws", "Remarks": "notes", "Mood": "x_mood"}
	for _, c := range m.Columns {
		if c.To != want[c.Heading] {
			t.Errorf("column %s goes to %s, want %s", c.Heading, c.To, want[c.Heading])
		}
	}
	if m.Dates != DayFirst || m.Decimal != Comma || m.Encoding != sheet.Windows1252 || m.Delimiter != ';' || len(m.Questions()) > 0 {
		t.Errorf("dates %q, decimal %q, %s, %q, questions %v", m.Dates, m.Decimal, m.Encoding, m.Delimiter, m.Questions())
	}
	// The photographer reads the file and settles one word.
	file := strings.Replace(string(m.YAML("plates.csv")), `"meh": ""`, `"meh": scrapped`, 1)
	if m, err = ReadMapping([]byte(file)); err != nil {
		t.Fatalf("%v\n%s", err, file)
	}
	p, err := Make(b, tab, m, "plates.csv")
	if err != nil {
		t.Fatal(err)
	}
	if n, left, err := p.Write(context.Background(), b, nil); n != 3 || len(left) > 0 || err != nil {
		t.Fatalf("%d written, %v left, %v", n, left, err)
	}
	a := sound(t, root)
	for id, want := range map[string]string{
		"17": "plate=17 made=2014-03-25T10:20 support=tin format=quarter batches.collodion=collodion-1 lens=petzval exposure.seconds=30 exposure.stop=4 exposure.extension_mm=241.3 air.temperature_c=20 outcome=keeper flaws=comets; fog sitters=ada-quill x_mood=calm x_tin_or_glass=tin notes=Remarks: first; after lunch",
		"18": `plate=18 made=2014-04-03T14:30 support=aluminium format=4x5 lens=petzval exposure.seconds=8 exposure.stop=5.6 air.temperature_c=21.67 outcome=remake sitters=[{"name":"Bo Tarn"},{"sitter":"ada-quill"}] batches.x_collodion=Old No. 3 notes=`,
		"19": "plate=19 made=2014-05-04 support=glass format=whole exposure.seconds=90 exposure.stop=4 air.temperature_c=20 outcome=scrapped x_mood=stormy x_sitters=2 notes=",
	} {
		plate, ok := a.Plate(id)
		if !ok {
			t.Errorf("no plate %s", id)
			continue
		}
		e := daybook.Of(a, plate)
		var got []string
		for _, key := range append(append(e.Paths(), "sitters"), e.Own()...) {
			if text := e.Text(key); text != "" {
				got = append(got, key+"="+text)
			}
		}
		got = append(got, "notes="+e.Notes)
		if s := strings.Join(got, " "); s != want {
			t.Errorf("%s:\n got %s\nwant %s", id, s, want)
		}
	}
	var refused, kept []string
	for _, r := range p.Rows {
		for _, err := range r.Refused {
			refused = append(refused, fmt.Sprintf("%d: %v", r.Line, err))
		}
		for _, k := range r.Kept {
			kept = append(kept, fmt.Sprintf("%d: %s", r.Line, k))
		}
	}
	for _, want := range []string{"7: “31/2/2014” is not a day of the calendar", "8: the id “19” stands in line 6 already"} {
		if !slices.Contains(refused, want) {
			t.Errorf("refused %q, want %q", refused, want)
		}
	}
	for _, want := range []string{"5: batches.collodion: “Old No. 3” has no record in the archive", "5: sitters: “Bo Tarn” has no sitter record: written by name, without consent", "6: sitters: “2” is nobody's name", "8: exposure.seconds: “ca. 5” is not a number"} {
		if !slices.Contains(kept, want) {
			t.Errorf("kept %q, want %q", kept, want)
		}
	}
	// Nobody in a spreadsheet has consented: the imported name is not shown.
	bo, _ := a.Plate("18")
	if in := bo.Sitters[0].Inline; in == nil || in.Consent != (record.Consent{}) {
		t.Errorf("Bo Tarn agreed to %+v", in)
	}
	// Once more: all is there.
	p, err = Make(open(t, root), tab, m, "plates.csv")
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range p.Rows {
		if r.Writes() {
			t.Errorf("line %d would be written again", r.Line)
		}
	}
}

func TestWhatMustBeAsked(t *testing.T) {
	for _, tc := range []struct{ name, data, question string }{
		{"dates", "no,date\n1,3/5/2026\n2,4/5/2026\n", "dates: 3/5/2026 can be read in two ways"},
		{"dates that contradict", "no,date\n1,13/5/2026\n2,5/13/2026\n", "dates: 13/5/2026 and 5/13/2026"},
		{"decimal", "no,date,lux\n1,2026-05-03,\"1,250\"\n", "decimal: 1,250 can be read in two ways"},
		{"serial", "no,date\n1,46145\n2,46146\n", "serials: 46145 is a spreadsheet's day number"},
		{"ounces", "batch,kind,mixed,volume (oz)\nc1,collodion,2026-05-03,8\n", "which ounce? write fl oz US or fl oz imp"},
		{"no date", "no,title\n1,x\n", "no column goes to made"},
	} {
		m := Propose(table(t, tc.data), today)
		if !slices.ContainsFunc(m.Questions(), func(q string) bool { return strings.Contains(q, tc.question) }) {
			t.Errorf("%s: asks %q, want %q", tc.name, m.Questions(), tc.question)
			continue
		}
		b := open(t, write(t, studio()))
		p, err := Make(b, table(t, tc.data), m, "t.csv")
		if err != nil {
			t.Fatal(err)
		}
		if n, _, err := p.Write(context.Background(), b, nil); n > 0 || err == nil {
			t.Errorf("%s: %d rows were written unasked", tc.name, n)
		}
	}
}

func TestDates(t *testing.T) {
	day, month := &Mapping{Dates: DayFirst, Serials: Serial1900}, &Mapping{Dates: MonthFirst, Serials: Serial1904}
	for _, tc := range []struct {
		m          *Mapping
		cell, want string
	}{
		{day, "2026-05-03", "2026-05-03"}, {day, "2026/5/3", "2026-05-03"}, {day, "20260503", "2026-05-03"}, {day, "3/5/2026", "2026-05-03"}, {month, "5/3/2026", "2026-05-03"},
		{day, "3.5.26", "2026-05-03"}, {day, "03-05-99", "1999-05-03"}, {day, "3. Mai 2026", "2026-05-03"}, {day, "3 May 2026", "2026-05-03"}, {day, "3-May-26", "2026-05-03"},
		{day, "May 3, 2026", "2026-05-03"}, {day, "Sept 3rd, 2014", "2014-09-03"}, {day, "Sunday 3 May 2026", "2026-05-03"}, {day, "So. 3.5.2026", "2026-05-03"}, {day, "3. März 2026", "2026-03-03"},
		{day, "3/5/2026 14:30", "2026-05-03T14:30"}, {month, "5/3/26 2:30 PM", "2026-05-03T14:30"}, {day, "3/5/2026 00:00", "2026-05-03"}, {day, "3.5.2026, 10.20 Uhr", "2026-05-03T10:20"},
		{day, "2026-05-03T10:20:00+02:00", "2026-05-03T09:20"},
		// Day numbers by each system's own statement: 1 January 2000 is 36526 in the 1900 system and 35064 in the 1904 one
		// (Microsoft, "Differences between the 1900 and the 1904 date system"; from memory).
		{day, "36526", "2000-01-01"}, {month, "35064", "2000-01-01"},
		{day, "31/2/2026", ""}, {day, "13/13/2026", ""}, {day, "May 32 2026", ""}, {day, "soon", ""}, {day, "Maybe 3 2026", ""}, {&Mapping{}, "3/5/2026", ""}, {&Mapping{}, "5/5/2026", "2026-05-05"}, {day, "3/5/1826", ""},
	} {
		got, err := tc.m.moment(tc.cell, open(t, write(t, studio())).Archive.Studio.Zone, today)
		if err != nil {
			got = ""
		}
		if got != tc.want {
			t.Errorf("%s: %q, want %q (%v)", tc.cell, got, tc.want, err)
		}
	}
	for cell, want := range map[string]string{"10:20": "10:20", "9.05": "09:05", "10h20": "10:20", "2:30 PM": "14:30", "12:15 am": "00:15", "12 pm": "12:00", "14:30:15": "14:30:15", "10.20 Uhr": "10:20", "24:00": "", "13 pm": "", "10": "", "10:60": "", "noon": ""} {
		if got, _ := clock(cell); got != want {
			t.Errorf("%s: %q, want %q", cell, got, want)
		}
	}
}

func TestQuantities(t *testing.T) {
	point, comma := &Mapping{Decimal: Point}, &Mapping{Decimal: Comma}
	const bad = -999
	for _, tc := range []struct {
		m               *Mapping
		cell, key, unit string
		want            float64
	}{
		{point, "8", "exposure.seconds", "", 8}, {point, "1/2", "exposure.seconds", "", 0.5}, {point, "½", "exposure.seconds", "min", 30}, {point, "1m30s", "exposure.seconds", "", 90}, {point, "1:30", "exposure.seconds", "", 90}, {point, "2'", "exposure.seconds", "", 120},
		{point, "90 sec", "exposure.seconds", "min", 90}, {point, "1.5 min", "exposure.seconds", "", 90}, {comma, "1,5", "exposure.seconds", "min", 90}, {point, "500 ms", "exposure.seconds", "", 0.5}, {point, "5 hours", "exposure.seconds", "", bad}, {point, "1/0", "exposure.seconds", "", bad},
		{point, "f/5.6", "exposure.stop", "", 5.6}, {comma, "f 5,6", "exposure.stop", "", 5.6}, {point, "F4", "exposure.stop", "", 4}, {point, "4 mm", "exposure.stop", "", bad}, {comma, "f/5.6", "exposure.stop", "", 5.6}, {point, "5,6", "exposure.stop", "", 5.6}, {comma, "5.678", "exposure.stop", "", 5678},
		// 68 °F is 20 °C and 212 °F is 100 °C by definition of the scales.
		{point, "68", "air.temperature_c", "°F", 20}, {point, "212F", "development.temperature_c", "", 100}, {point, "20 °C", "air.temperature_c", "°F", 20}, {point, "-40", "air.temperature_c", "°F", -40}, {point, "300 K", "air.temperature_c", "", bad},
		// The inch is 25.4 mm exactly (international yard and pound agreement, 1959).
		{point, "9 1/2", "exposure.extension_mm", "in", 241.3}, {point, `9½"`, "exposure.extension_mm", "", 241.3}, {point, "24.1 cm", "exposure.extension_mm", "in", 241},
		// A foot-candle is a lumen per square foot, 10.764 lux (NIST SP 811, appendix B; from memory).
		{point, "100 fc", "light.lux", "", 1076.39}, {point, "1,250", "light.lux", "", 1250}, {comma, "1.250,5", "light.lux", "", 1250.5}, {comma, "8.5", "light.lux", "", bad}, {point, "8,5", "light.lux", "", bad}, {&Mapping{}, "1,250", "light.lux", "", bad},
		{point, "55%", "air.humidity_pct", "", 55}, {point, "9 3/4", "light.ev100", "", 9.75},
		// Fluid ounces: NIST Handbook 44, appendix C; Weights and Measures Act 1985 (from memory).
		{point, "8", "volume_ml", "fl oz US", 236.59}, {point, "8 fl oz imp", "volume_ml", "", 227.3}, {point, "8 oz", "volume_ml", "", bad}, {point, "8", "volume_ml", "oz", bad}, {point, "1.5 l", "volume_ml", "", 1500},
		{point, "2 weeks", "ready_after_days", "", 14}, {point, "1 day", "cure_hours", "", 24},
		{point, "~8", "light.lux", "", bad}, {point, "", "light.lux", "", bad}, {point, "1e400", "light.lux", "", bad}, {point, strings.Repeat("9", 400), "light.lux", "", bad}, {point, "0x10", "light.lux", "", bad},
	} {
		got, err := tc.m.quantity(tc.cell, tc.key, tc.unit)
		if err != nil {
			got = bad
		}
		if got != tc.want {
			t.Errorf("%s as %s in %s: %v, want %v (%v)", tc.cell, tc.key, tc.unit, got, tc.want, err)
		}
	}
}

func TestPlateSizes(t *testing.T) {
	for cell, want := range map[string]string{"4x5": "4x5", "8 × 10": "8x10", "Half": "half", "6.5 x 8.5 in": "whole", "6½ x 8½ in": "whole", "16,5 x 21,6 cm": "whole", "120 x 160 mm": "120×160", `4" x 5"`: "4x5", "10 x 13": "", "big": "", "1 x 2 mm": "", "4x": ""} {
		f, err := plateSize(cell, "")
		got := f.Slug
		if err == nil && got == "" {
			got = fmt.Sprintf("%g×%g", f.WidthMM, f.HeightMM)
		}
		if got != want {
			t.Errorf("%s: %q, want %q (%v)", cell, got, want, err)
		}
	}
}

func TestATableOfBatches(t *testing.T) {
	root := write(t, studio())
	b := open(t, root)
	tab := table(t, "Batch No,Type,Date mixed,Volume (fl oz US),Ready after (weeks),Supplier,Recipe\nC-9,collodion,2026-05-03,8,1,Reed & Co,as Tarn's\nB-2,Silver bath,2026-05-04,33.8,,,\nc-9,collodion,2026-05-05,8,,,\nX,glue,2026-05-05,8,,,\n")
	m := Propose(tab, today)
	if m.Record != "batch" || len(m.Questions()) > 0 {
		t.Fatalf("%s %v\n%s", m.Record, m.Questions(), m.YAML("b.csv"))
	}
	p, err := Make(b, tab, m, "b.csv")
	if err != nil {
		t.Fatal(err)
	}
	n, _, err := p.Write(context.Background(), b, nil)
	if n != 2 || err != nil {
		t.Fatalf("%d %v %+v", n, err, p.Rows)
	}
	a := sound(t, root)
	c9, b2 := a.Batches["C-9"], a.Batches["B-2"]
	if c9 == nil || c9.VolumeML != 236.59 || c9.ReadyAfterDays != 7 || c9.Extra["x_supplier"] != "Reed & Co" || !strings.Contains(c9.Body, "as Tarn's") || b2 == nil || b2.Kind != "bath" {
		t.Errorf("%+v %+v", c9, b2)
	}
}

// A unit in a heading holds for sizes too.
func TestSizesInTheHeadingsUnit(t *testing.T) {
	b := open(t, write(t, studio()))
	tab := table(t, "no,date,plate size (cm)\n1,2026-05-03,16.5 x 21.6\n2,2026-05-03,12x16\n")
	p, err := Make(b, tab, Propose(tab, today), "t.csv")
	if err != nil {
		t.Fatal(err)
	}
	if f, s := p.Rows[0].Plate.Text("format"), p.Rows[1].Plate.Text("size_mm"); f != "whole" || s != "120 x 160" {
		t.Errorf("%q %q, kept %v %v", f, s, p.Rows[0].Kept, p.Rows[1].Kept)
	}
}

// A column that came into the table after its mapping was made is told of.
func TestColumnsThatCameLater(t *testing.T) {
	b := open(t, write(t, studio()))
	m := Propose(table(t, "no,date\n1,2026-05-03\n"), today)
	p, err := Make(b, table(t, "no,date,mood\n1,2026-05-03,calm\n"), m, "t.csv")
	if err != nil || !slices.Equal(p.Unmapped, []string{"mood"}) {
		t.Errorf("%v %v", p.Unmapped, err)
	}
}

// A table as a studio in Germany keeps it: what can be meant in one way only is
// read, and of what names no record it is said which was most likely meant.
func TestAGermanTable(t *testing.T) {
	root := write(t, studio())
	b := open(t, root)
	tab := table(t, "Nr;Datum;Größe;Träger;Belichtung;Blende;LW;Kollodium;Ergebnis;Beurteilung;Wer;Kundin\n"+
		"1;28.3.2026;halbe Platte;Blech;8,5 Sek;f/5.6;9,5;collodion-1;Ausschuss;unterbelichtet;Ada Quill;quill\n"+
		"2;9. März 2026;Viertel;Glas;12s;5,6;10;Collodion 1;behalten;;;\n")
	p, err := Make(b, tab, Propose(tab, today), "t.csv")
	if err != nil {
		t.Fatal(err)
	}
	want := []map[string]string{
		{"made": "2026-03-28", "format": "half", "support": "tin", "exposure.seconds": "8.5", "exposure.stop": "5.6", "light.ev100": "9.5", "batches.collodion": "collodion-1", "outcome": "scrapped", "judged": "under", "sitters": "ada-quill", "client": "quill"},
		{"made": "2026-03-09", "format": "quarter", "support": "glass", "exposure.seconds": "12", "exposure.stop": "5.6", "light.ev100": "10", "batches.x_collodion": "Collodion 1", "outcome": "keeper"},
	}
	for i, keys := range want {
		r := p.Rows[i]
		if r.Plate == nil {
			t.Fatalf("line %d: %v", r.Line, r.Refused)
		}
		for key, text := range keys {
			if got := r.Plate.Text(key); got != text {
				t.Errorf("line %d: %s is %q, want %q", r.Line, key, got, text)
			}
		}
	}
	if kept := fmt.Sprint(p.Rows[1].Kept); !strings.Contains(kept, `if “collodion-1” is meant, put "Collodion 1": "collodion-1" under the column's values: in the mapping`) {
		t.Error(kept)
	}
}

// Scans are found by their names, wherever in the archive they lie.
func TestScansOfATable(t *testing.T) {
	files := studio()
	for _, name := range []string{"box/IMG_01.tif", "box/IMG_01.jpg", "box/IMG_02.jpg", "a/twin.jpg", "b/twin.jpg"} {
		files[name] = "x"
	}
	root := write(t, files)
	b := open(t, root)
	tab := table(t, "no,date,scan\n1,2026-05-03,IMG_01.TIF\n2,2026-05-03,C:\\old\\IMG_02\n3,2026-05-03,twin.jpg\n4,2026-05-03,../../etc/passwd.jpg\n5,2026-05-03,lost.jpg\n")
	p, err := Make(b, tab, Propose(tab, today), "t.csv")
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"box/IMG_01.md", "box/IMG_02.md", "plates/3.md", "plates/4.md", "plates/5.md"}
	for i, r := range p.Rows {
		if r.Plate == nil || r.Plate.File != want[i] || len(r.Kept) != map[bool]int{true: 0, false: 1}[i < 2] {
			t.Errorf("line %d: %+v %v %v", r.Line, r.Plate, r.Refused, r.Kept)
		}
	}
}

// A table without ids is known again by its rows; when it was changed, nothing is
// written twice.
func TestATableWithoutIDs(t *testing.T) {
	root := write(t, studio())
	const first = "date,seconds\n2026-05-03,8\n2026-05-03,8\n2026-05-04,9\n"
	run := func(data string) (*Plan, int) {
		t.Helper()
		b := open(t, root)
		tab := table(t, data)
		p, err := Make(b, tab, Propose(tab, today), "t.csv")
		if err != nil {
			t.Fatal(err)
		}
		n, _, err := p.Write(context.Background(), b, nil)
		if err != nil {
			t.Fatal(err)
		}
		return p, n
	}
	if _, n := run(first); n != 3 {
		t.Fatalf("%d written", n)
	}
	if _, n := run(first); n != 0 {
		t.Errorf("%d written again", n)
	}
	if _, n := run(first + "2026-05-04,7\n"); n != 1 {
		t.Errorf("%d written of one new row", n)
	}
	// A row that was imported is corrected in the table: it is not a new plate.
	p, n := run(strings.Replace(first, "04,9", "04,9.5", 1) + "2026-05-04,7\n")
	if n != 0 || !strings.Contains(fmt.Sprint(p.Rows[2].Refused), "came from this table before") {
		t.Errorf("%d written, %+v", n, p.Rows[2])
	}
	if a := sound(t, root); len(a.Plates) != 4 {
		t.Errorf("%d plates", len(a.Plates))
	}
}

func TestHostileTables(t *testing.T) {
	for name, data := range map[string]string{
		"paths":        "plate,made,file\n../../x,2026-05-03,\nok1,2026-05-03,../../../tmp/x.md\nok2,2026-05-03,/etc/x.md\nok3,2026-05-03,.sandarac/secret.md\nok4,2026-05-03,public/x.md\nok5,2026-05-03,studio.md\nok6,2026-05-03,a/con.md\nok7,2026-05-03,x.txt\nok8,2026-05-03,a\\b.md\n",
		"ids":          "plate,made\n..,2026-05-03\n.hidden,2026-05-03\n-x,2026-05-03\na/b,2026-05-03\na\tb,2026-05-03\n\"a\nb\",2026-05-03\n‮x,2026-05-03\n" + strings.Repeat("x", 200) + ",2026-05-03\n",
		"front matter": "plate,made,title,notes\nfm1,2026-05-03,\"x\n---\noutcome: keeper\",\"---\nplate: stolen\n---\"\n",
		"formulas":     "plate,made,title\nf1,2026-05-03,\"=HYPERLINK(\"\"http://x.example\"\")\"\nf2,2026-05-03,+cmd|' /C calc'!A0\n",
		"huge":         "plate,made,title\nh1,2026-05-03," + strings.Repeat("A", 200<<10) + "\n",
		"NUL":          "plate,made,title\nn1,2026-05-03,a\x00b\n",
		"consent":      "plate,made,sitters,outcome\nc1,2026-05-03,\"[{\"\"name\"\":\"\"Eve\"\",\"\"consent\"\":{\"\"portfolio\"\":\"\"yes\"\"}}]\",keeper\n",
		"own keys":     "plate,made,x_a: b,x_é,exposure.x_ok,studio\no1,2026-05-03,1,2,3,4\n",
	} {
		root := write(t, studio())
		b := open(t, root)
		tab := table(t, data)
		before := treeOf(t, root)
		p, err := Make(b, tab, Propose(tab, today), "t.csv")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if _, _, err := p.Write(context.Background(), b, nil); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		a := sound(t, root)
		if _, stolen := a.Plate("stolen"); stolen {
			t.Errorf("%s: a plate was written by another's notes", name)
		}
		for file, content := range treeOf(t, root) {
			if old, was := before[file]; was && old != content {
				t.Errorf("%s: %s was changed", name, file)
			} else if !was && !strings.HasPrefix(file, "plates/") {
				t.Errorf("%s: %s was written", name, file)
			}
		}
		for _, r := range p.Rows {
			if !r.Writes() && len(r.Refused) == 0 {
				t.Errorf("%s: line %d is left out without a word", name, r.Line)
			}
		}
		if name == "paths" || name == "ids" {
			for _, r := range p.Rows {
				if r.Writes() {
					t.Errorf("%s: line %d becomes %s", name, r.Line, r.Plate.File)
				}
			}
		}
	}
}

func treeOf(t testing.TB, root string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(root, func(p string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(p)
		rel, _ := filepath.Rel(root, p)
		out[filepath.ToSlash(rel)] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestMappingsThatAreRefused(t *testing.T) {
	tab := table(t, "no,date,temp\n1,2026-05-03,20\n")
	for file, want := range map[string]string{
		"record: plate\nrecrod: x\n":           "line 2: recrod is not a setting",
		"dates: german\n":                      "line 1: dates is “german”; accepted: day-first, month-first",
		"delimiter: ab\n":                      "delimiter is “ab”",
		"encoding: ebcdic\n":                   "encoding is “ebcdic”",
		"columns: [{column: no, to: plaet}]\n": "line 1: column “no”: to: “plaet” is no key",
		"columns:\n  - column: no\n    to: plate\n  - column: date\n    to: plate\n": "line 4: column “date”: to: plate is taken by column “no”",
		"columns:\n  - column: nope\n    to: plate\n":                                "line 2: column “nope”: the table has no such heading",
		"columns:\n  - column: temp\n    to: air.temperature_c\n    unit: stone\n":   "unit: “stone”; accepted: °C, °F",
		"columns:\n  - to: plate\n":                                                  "line 2: a column without its heading",
		"columns:\n  - column: no\n    as: plate\n":                                  "line 3: as is not said of a column",
		"folder: ../x\n":   "folder is “../x”",
		"columns: 3\n":     "columns is not a list",
		"a: &x 1\nb: *x\n": "line 1:",
		"{{{{":             "line 1", "": "this is not a mapping", strings.Repeat("[", 5000): "nested too deep",
	} {
		m, err := ReadMapping([]byte(file))
		if err == nil {
			_, err = Make(open(t, write(t, studio())), tab, m, "t.csv")
		}
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", file, err, want)
		}
	}
}

// The file of a mapping says all that the mapping says.
func TestMappingFile(t *testing.T) {
	m := Propose(table(t, messy), today)
	m.Folder = "plates/2026"
	m.Columns[0].Values = map[string]string{`a "quoted" \ word`: "012", "é\t#: x": "", "012": "true"}
	back, err := ReadMapping(m.YAML("a\nb # c.csv"))
	if err != nil {
		t.Fatalf("%v\n%s", err, m.YAML("x"))
	}
	if !back.Same(m) {
		t.Errorf("%s\nbecame\n%s", m.YAML("x"), back.YAML("x"))
	}
}

// What WriteCSV writes gives the same records back.
func TestExportIsLossless(t *testing.T) {
	files := studio()
	files["2026-05/one.md"] = `---
plate: 2026-05-20-01
made: 2026-05-20T10:00:00.5+01:00
purpose: test
support: tin
size_mm: [83.5, 108]
lens: petzval
camera: "=tailboard"
batches: {collodion: collodion-1, bath: bath-1, x_bath: "3"}
exposure: {seconds: 8.125, stop: 4, magnification: 0.2, x_count: "3,5"}
light: {kind: north skylight, ev100: -1.5, lux: 1250.5, note: "a, b; c"}
air: {temperature_c: -5, humidity_pct: 0}
development: {seconds: 15, temperature_c: 19}
varnished: 2026-05-20T18:00
judged: right
outcome: keeper
flaws: []
sitters:
  - sitter: ada-quill
  - name: "Bo, Tarn & \"Co\""
    guardian: Bel
    consent: {portfolio: true, name: false, given: 2026-05-03, until: 2030-01-01, minor: true, release: MR-LMR}
    x_seat: left
client: quill
title: "'=One\nline"
alt: "-5"
tags: ["a;b", "c, d", "=e"]
featured: true
x_shelf: "012"
---

Notes, "quoted"; and

=more
`
	files["2026-05/two.md"] = "---\nplate: \"012\"\nmade: 2026-10-25T01:30:00Z\nscans: [x/two.jpg]\nsitters: []\n---\n"
	files["2026-05/x/two.jpg"] = "x"
	files["three.md"] = "---\nplate: three\nmade: 2026-05-03\nflaws: [fog, comets]\ntags: []\n---\n"
	files["bad.md"] = "---\nplate: bad\nmade: 2026-05-03\noutcom: keeper\n---\n"
	root := write(t, files)
	a, _, err := record.Read(context.Background(), root)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	left, err := daybook.WriteCSV(&b, a)
	if err != nil || len(left) != 1 || left[0].Plate != "bad" {
		t.Fatalf("%v %v", left, err)
	}
	// Into an archive that has the rest, but no plates.
	empty := studio()
	empty["2026-05/x/two.jpg"] = "x"
	other := write(t, empty)
	book := open(t, other)
	tab, err := sheet.Read(b.Bytes(), sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	m := Propose(tab, today)
	if q := m.Questions(); len(q) > 0 {
		t.Fatalf("it asks %v", q)
	}
	// Through the file, as a user would.
	if m, err = ReadMapping(m.YAML("x.csv")); err != nil {
		t.Fatal(err)
	}
	p, err := Make(book, tab, m, "x.csv")
	if err != nil {
		t.Fatal(err)
	}
	// 2026-10-25 is a day still to come on the day of this test.
	for _, r := range p.Rows {
		if len(r.Refused) > 0 && !strings.Contains(fmt.Sprint(r.Refused), "a day that has come") || len(r.Kept) > 0 {
			t.Errorf("line %d: %v %v", r.Line, r.Refused, r.Kept)
		}
	}
	book.Today = record.Date{Year: 2027, Month: 1, Day: 1}
	if p, err = Make(reopen(t, other, book.Today), tab, m, "x.csv"); err != nil {
		t.Fatal(err)
	}
	if _, _, err := p.Write(context.Background(), book, nil); err != nil {
		t.Fatal(err)
	}
	back, fs, err := record.Read(context.Background(), other)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range fs {
		t.Errorf("%s", f)
	}
	for _, p := range a.Plates {
		q, ok := back.Plate(p.ID)
		if p.ID == "bad" {
			continue
		}
		if !ok || q.File != p.File {
			t.Errorf("plate %s is not back in its place", p.ID)
			continue
		}
		was, is := daybook.Of(a, p), daybook.Of(back, q)
		if !was.Equal(is) {
			x, _ := was.Markdown()
			y, _ := is.Markdown()
			t.Errorf("%s:\n%s\nbecame\n%s", p.ID, x, y)
		}
	}
}

func reopen(t *testing.T, root string, day record.Date) *daybook.Book {
	t.Helper()
	a, _, err := record.Read(context.Background(), root)
	if err != nil {
		t.Fatal(err)
	}
	b, err := daybook.Open(a, day)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// FuzzTable: any bytes get an answer, and what is planned is sound.
func FuzzTable(f *testing.F) {
	f.Add([]byte(messy))
	f.Add([]byte("plate,made,file,sitters,x_a\np,2026-05-03,a/b.md,\"[{\"\"name\"\":\"\"Eve\"\"}]\",=1\n"))
	f.Add([]byte("\xFF\xFEa\x00,\x00b\x00"))
	f.Add([]byte("No,Date,Exp ([in)\n1,2026-05-03,8\n")) // once proposed a unit that no time has
	root := write(f, studio())
	a, _, err := record.Read(context.Background(), root)
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		tab, err := sheet.Read(data, sheet.Options{})
		if err != nil {
			return
		}
		b, err := daybook.Open(a, today)
		if err != nil {
			t.Fatal(err)
		}
		m := Propose(tab, today)
		back, err := ReadMapping(m.YAML("t.csv"))
		if err != nil || !back.Same(m) {
			t.Fatalf("the mapping's file: %v\n%s", err, m.YAML("t.csv"))
		}
		p, err := Make(b, tab, back, "t.csv")
		if err != nil {
			t.Fatal(err)
		}
		here := t.TempDir()
		for i, r := range p.Rows {
			if !r.Writes() {
				continue
			}
			var data []byte
			if r.Plate != nil {
				if data, err = r.Plate.Markdown(); err != nil {
					t.Fatal(err)
				}
			} else {
				data = r.Batch.Markdown()
			}
			if err := os.WriteFile(filepath.Join(here, fmt.Sprintf("%d.md", i)), data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if err := os.WriteFile(filepath.Join(here, "studio.md"), []byte(studio()["studio.md"]), 0o644); err != nil {
			t.Fatal(err)
		}
		_, fs, err := record.Read(context.Background(), here)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range fs {
			if f.Severity == finding.Error && f.Code != "scan-missing" {
				t.Fatalf("%s", f)
			}
		}
	})
}

// big is a table of n plates in a photographer's own columns.
func big(n int) string {
	var b strings.Builder
	b.WriteString("No,Date,Time,Size,Support,Exposure (s),f-stop,Temp (F),Humidity,Lens,Collodion,Bath,Result,Who,Remarks\n")
	for i := range n {
		day := record.Date{Year: 2014, Month: 1, Day: 1}.AddDays(i / 5)
		fmt.Fprintf(&b, "%d,%d/%d/%d,%02d:%02d,quarter,tintype,%d,f/4,%d,55,petzval,collodion-1,bath-1,keeper,Ada Quill,\"plate %d, of many\"\n", i+1, day.Month, day.Day, day.Year, 9+i%8, i%60, 5+i%9, 60+i%20, i)
	}
	return b.String()
}

func BenchmarkTenThousandRows(b *testing.B) {
	data := []byte(big(10_000))
	for b.Loop() {
		b.StopTimer()
		root := write(b, studio())
		b.StartTimer()
		book := open(b, root)
		tab, err := sheet.Read(data, sheet.Options{})
		if err != nil {
			b.Fatal(err)
		}
		p, err := Make(book, tab, Propose(tab, today), "big.csv")
		if err != nil {
			b.Fatal(err)
		}
		if n, _, err := p.Write(context.Background(), book, nil); n != 10_000 || err != nil {
			b.Fatal(n, err)
		}
	}
}

func BenchmarkPlanTenThousandRows(b *testing.B) {
	data := []byte(big(10_000))
	root := write(b, studio())
	for b.Loop() {
		book := open(b, root)
		tab, err := sheet.Read(data, sheet.Options{})
		if err != nil {
			b.Fatal(err)
		}
		p, err := Make(book, tab, Propose(tab, today), "big.csv")
		if err != nil {
			b.Fatal(err)
		}
		for _, r := range p.Rows {
			if !r.Writes() {
				b.Fatal(r.Line, r.Refused)
			}
		}
	}
}
