package plot

import (
	"context"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"sandarac/archive/analysis"
	"sandarac/archive/record"
)

var out = flag.String("out", "", "folder to write the demo archive's plots to, for looking at them")

// plots draws everything there is of the demo archive, with hostile names.
func plots(t *testing.T) []Plot {
	t.Helper()
	a, _, err := record.Read(context.Background(), "../../../plates/archive")
	if err != nil {
		t.Fatal(err)
	}
	day, _ := record.ParseDate("2026-10-31")
	r, err := analysis.Analyse(context.Background(), a, day)
	if err != nil {
		t.Fatal(err)
	}
	s := r.Series
	if len(s.Keepers) < 3 || len(s.EI) < 3 || len(s.Grades) < 2 || len(s.Baths) < 1 || len(s.Months) < 3 {
		t.Fatalf("the demo archive draws too little: %d %d %d %d %d", len(s.Keepers), len(s.EI), len(s.Grades), len(s.Baths), len(s.Months))
	}
	all := []Plot{Keepers(s.Keepers), Months(s.Months), Grades(s.Grades[0]), Bath(s.Baths[0])}
	for _, k := range s.Keepers {
		all = append(all, EI(k.Label, s.EI))
	}
	return all
}

func TestPlotsStandByThemselves(t *testing.T) {
	for i, p := range plots(t) {
		if *out != "" {
			if err := os.WriteFile(filepath.Join(*out, strconv.Itoa(i)+".svg"), []byte(p.SVG), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		check(t, p)
		if p.Title == "" || len(p.Alt) < 40 || len(p.Head) < 3 || len(p.Rows) == 0 {
			t.Errorf("%s: alt %q, %d rows", p.Title, p.Alt, len(p.Rows))
		}
		for _, r := range p.Rows {
			if len(r) != len(p.Head) {
				t.Errorf("%s: row %q under head %q", p.Title, r, p.Head)
			}
		}
	}
}

// check reads a picture as XML: well formed, titled, described, all marks
// within the frame, nothing fetched, styled or run.
func check(t *testing.T, p Plot) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(p.SVG))
	seen := map[string]int{}
	var box []string
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("%s: %v", p.Title, err)
		}
		e, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		seen[e.Name.Local]++
		for _, a := range e.Attr {
			switch a.Name.Local {
			case "viewBox":
				box = strings.Fields(a.Value)
			case "style", "class", "href", "src", "onload", "id":
				t.Errorf("%s: attribute %s", p.Title, a.Name.Local)
			case "x", "cx", "x1", "x2":
				if v, err := strconv.ParseFloat(a.Value, 64); err != nil || v < 0 || v > width {
					t.Errorf("%s: %s=%q", p.Title, a.Name.Local, a.Value)
				}
			case "y", "cy", "y1", "y2":
				if v, err := strconv.ParseFloat(a.Value, 64); err != nil || v < 0 {
					t.Errorf("%s: %s=%q", p.Title, a.Name.Local, a.Value)
				}
			}
		}
	}
	if len(box) != 4 || seen["title"] == 0 || seen["desc"] != 1 || seen["text"] == 0 || seen["script"]+seen["style"]+seen["image"]+seen["foreignObject"] > 0 {
		t.Errorf("%s: viewBox %v, %v", p.Title, box, seen)
	}
	if strings.Contains(p.SVG, "NaN") || strings.Contains(p.SVG, "Inf") {
		t.Errorf("%s: a number that is none", p.Title)
	}
}

// Names are the photographer's own words; none may break out of the picture.
func TestHostileNames(t *testing.T) {
	bad := "<script>alert(1)</script>\x00 & \"north\" \xff 𝔤"
	equal := 0.5
	for _, p := range []Plot{
		Keepers([]analysis.RatePoint{{Label: bad, Plates: 4, Keepers: 2, Rate: 0.5, Interval: analysis.Limits{0.1, 0.9}, TooFew: true, Adjusted: &equal}}),
		Keepers(nil),
		Months(nil),
		Months([]analysis.MonthPoint{{Month: bad, Plates: 5, Keepers: 5, Rate: 1, Mean: 1, Limits: analysis.Limits{1, 1}, Outside: true}}),
		EI(bad, []analysis.EISeries{{Batch: bad, Light: bad, Points: []analysis.EIPoint{{Plate: bad, EI: 0.5}}}}),
		EI("none", nil),
		Grades(analysis.GradeCurve{Light: bad}),
		Bath(analysis.BathChart{Batch: bad, Signal: bad, Points: []analysis.ChartPoint{{Plate: bad, Value: -1, Limit: 0.1, Signal: true}}}),
	} {
		d := xml.NewDecoder(strings.NewReader(p.SVG))
		for {
			tok, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v\n%s", p.Title, err, p.SVG)
			}
			if e, ok := tok.(xml.StartElement); ok && e.Name.Local == "script" {
				t.Errorf("%s: a script", p.Title)
			}
		}
		if strings.Contains(p.SVG, "NaN") {
			t.Errorf("%s: NaN", p.Title)
		}
	}
}
