package daybook

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"sandarac/archive/finding"
	"sandarac/archive/record"
)

var dublin = func() *time.Location {
	l, err := time.LoadLocation("Europe/Dublin")
	if err != nil {
		panic(err)
	}
	return l
}()

// nasty are texts that a careless writer of YAML gets wrong.
var nasty = []string{
	"no", "null", "~", "true", "012", "1e3", "0x1f", "1_000", "- a", "a: b", "a #b", "#", "'", `"`, `\`, "a\\nb", "!tag", "&a", "*a", "|", ">", "%", "@", "`",
	"[", "{", "]", "}", strings.Repeat("[", 40), strings.Repeat("{[", 30), "[x] {y}", "---", "...", "? x", ": x", "<<", "=", ".inf", ".nan", "1:30", "2026-05-03", "a\nb", "\ta\tb", "é ü ß 漢字 🖼", "a, b; c", " ", "-", "--", "+++", "x:", "\u2028", "\u00a0x", "=1+1", "@SUM(A1)", "'=1",
	"---\nfoo: bar\n---", "\"quoted\" and 'single'", "ends with colon:", "(brackets)", "a  b",
}

func anyText(rt *rapid.T, label string) string {
	if rapid.Bool().Draw(rt, label+" nasty") {
		return rapid.SampledFrom(nasty).Draw(rt, label)
	}
	return rapid.StringN(0, 40, 120).Draw(rt, label)
}

// anyEntry draws an entry through Set, as all entries are made; what Set refuses
// is not in it.
func anyEntry(rt *rapid.T) *Entry {
	e := NewEntry(dublin)
	must := func(err error) {
		if err != nil {
			rt.Fatalf("refused: %v", err)
		}
	}
	must(e.Set("plate", rapid.StringMatching(`[A-Za-z0-9][A-Za-z0-9_.-]{0,12}`).Draw(rt, "id")))
	at := time.Unix(rapid.Int64Range(-4e9, 1.77e9).Draw(rt, "made"), 0).In(dublin)
	must(e.Set("made", FormatMoment(at, rapid.Bool().Draw(rt, "timed"))))
	for _, k := range Keys[2:] {
		if !rapid.Bool().Draw(rt, k.Path) {
			continue
		}
		switch k.Kind {
		case Word:
			must(e.Set(k.Path, rapid.SampledFrom(k.Words).Draw(rt, k.Path)))
		case Number:
			lo, hi := math.Max(k.Min, -1e4), math.Min(k.Max, 1e6)
			if x := rapid.Float64Range(lo, hi).Draw(rt, k.Path); x >= k.Min {
				must(e.Set(k.Path, FormatNumber(x)))
			}
		case Size:
			w, h := rapid.Float64Range(5, 2000).Draw(rt, "w"), rapid.Float64Range(5, 2000).Draw(rt, "h")
			must(e.Set(k.Path, fmt.Sprintf("%v x %v", w, h)))
		case Moment:
			must(e.Set(k.Path, FormatMoment(at.Add(time.Hour), true)))
		case Truth:
			must(e.Set(k.Path, "true"))
		case List:
			if k.Path == "scans" {
				continue // names of files, which record looks for
			}
			words := k.Words
			var items []string
			for range rapid.IntRange(0, 4).Draw(rt, "n") {
				if len(words) > 0 {
					items = append(items, rapid.SampledFrom(words).Draw(rt, k.Path))
				} else {
					items = append(items, anyText(rt, k.Path))
				}
			}
			_ = e.SetList(k.Path, items)
		default:
			_ = e.Set(k.Path, anyText(rt, k.Path))
		}
	}
	for _, own := range []string{"x_shelf", "exposure.x_count", "air.x_wind"} {
		_ = e.Set(own, anyText(rt, own))
	}
	_ = e.Set("notes", anyText(rt, "notes")+rapid.SampledFrom([]string{"", "\n\n---\n\nmore", "\nkey: value\n---\nx"}).Draw(rt, "rule"))
	anyPeople(rt, e)
	return e
}

func anyPeople(rt *rapid.T, e *Entry) {
	if e.PeopleGiven = rapid.Bool().Draw(rt, "sitters"); !e.PeopleGiven {
		return
	}
	for range rapid.IntRange(0, 3).Draw(rt, "people") {
		p := Person{Ref: "ada-quill"}
		if rapid.Bool().Draw(rt, "inline") {
			name, err := cleanText("name", anyText(rt, "name"))
			if err != nil || name == "" {
				name = "Bo Tarn"
			}
			p = Person{Name: name, HasConsent: rapid.Bool().Draw(rt, "consent"), own: map[string]string{"x_seat": "left"}}
			if p.HasConsent {
				p.Consent = record.Consent{Portfolio: true, Given: record.Date{Year: 2026, Month: 5, Day: 3}, Minor: rapid.Bool().Draw(rt, "minor"), Release: "MR-LMR"}
				p.Guardian = "Bel Tarn"
				p.own["consent.x_how"] = "spoken: yes"
			}
		}
		e.People = append(e.People, p)
	}
}

// What is written is what record reads, for any values.
func TestRecordReadsWhatIsWritten(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		e := anyEntry(rt)
		data, err := e.Markdown()
		if err != nil {
			rt.Fatal(err)
		}
		root, err := os.MkdirTemp(t.TempDir(), "")
		if err != nil {
			rt.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(root, "studio.md"), []byte(studioRecord), 0o644); err != nil {
			rt.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(root, "p.md"), data, 0o644); err != nil {
			rt.Fatal(err)
		}
		a, fs, err := record.Read(context.Background(), root)
		if err != nil {
			rt.Fatal(err)
		}
		for _, f := range fs {
			if f.Severity == finding.Error {
				rt.Fatalf("%s\n%s", f, data)
			}
		}
		if len(a.Plates) != 1 {
			rt.Fatalf("%d plates\n%s", len(a.Plates), data)
		}
		back := Of(a, a.Plates[0])
		want := e.Clone()
		want.Notes = strings.TrimSpace(body(e.Notes))
		if !back.Equal(want) {
			again, _ := back.Markdown()
			rt.Fatalf("wrote\n%s\nread\n%s", data, again)
		}
	})
}

// TestKeysAreRecords holds the table of keys against record: each bound, each
// word, one step outside each.
func TestKeysAreRecords(t *testing.T) {
	accepts := func(path, text string) bool {
		t.Helper()
		group, name := splitPath(path)
		block := name + ": " + text
		if group != "" {
			block = group + ": {" + block + "}"
		}
		made := "made: 2026-05-03\n"
		if path == "made" {
			made = ""
		}
		id := "plate: p\n"
		if path == "plate" {
			id = ""
		}
		root := write(t, map[string]string{"studio.md": studioRecord, "p.md": "---\n" + id + block + "\n" + made + "---\n"})
		_, fs, err := record.Read(context.Background(), root)
		if err != nil {
			t.Fatal(err)
		}
		return finding.Count(fs, finding.Error) == 0
	}
	for _, k := range Keys {
		var texts []string
		switch k.Kind {
		case Number:
			for _, x := range []float64{k.Min, k.Max, 0, 1} {
				texts = append(texts, FormatNumber(x), FormatNumber(math.Nextafter(x, math.Inf(-1))))
				if x < math.MaxFloat64 {
					texts = append(texts, FormatNumber(math.Nextafter(x, math.Inf(1))))
				}
			}
			texts = append(texts, "x", "1e400")
		case Word:
			texts = append(append(texts, k.Words...), "nonsense")
		case Truth:
			texts = []string{"true", "false", "maybe", "1"}
		case Moment:
			texts = []string{"2026-05-03T10:20", "2026-05-03T10:20:30+02:00", "2026-05-03", "2026-02-30", "1838-12-31", "2201-01-01", "3/5/2026", "noon"}
		case ID:
			texts = []string{"a", "a b", "a/b", "..", strings.Repeat("x", 80), strings.Repeat("x", 81), "é"}
		}
		for _, text := range texts {
			_, err := k.Normal(text, dublin)
			if ours, theirs := err == nil, accepts(k.Path, text); ours != theirs {
				t.Errorf("%s: %.40s: accepted here %v, by record %v", k.Path, text, ours, theirs)
			}
		}
	}
}

// FuzzSet: whatever is accepted for a key is read back as it was normalised.
func FuzzSet(f *testing.F) {
	for i, s := range nasty {
		f.Add(uint8(i), s)
	}
	root := f.TempDir()
	if err := os.WriteFile(filepath.Join(root, "studio.md"), []byte(studioRecord), 0o644); err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, n uint8, text string) {
		k := Keys[int(n)%len(Keys)]
		if k.Path == "scans" {
			return
		}
		e := NewEntry(dublin)
		for key, v := range map[string]string{"plate": "p", "made": "2026-05-03"} {
			if err := e.Set(key, v); err != nil {
				t.Fatal(err)
			}
		}
		if err := e.Set(k.Path, text); err != nil {
			return
		}
		if err := e.Set("notes", text); err != nil {
			e.Notes = ""
		}
		if !e.Has("plate") || !e.Has("made") {
			return // empty text took it out
		}
		data, err := e.Markdown()
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(root, "p.md"), data, 0o644); err != nil {
			t.Fatal(err)
		}
		a, fs, err := record.Read(context.Background(), root)
		if err != nil || finding.Count(fs, finding.Error) > 0 || len(a.Plates) != 1 {
			t.Fatalf("%v %v\n%s", err, fs, data)
		}
		back := Of(a, a.Plates[0])
		e.Notes = strings.TrimSpace(body(e.Notes))
		if !back.Equal(e) {
			again, _ := back.Markdown()
			t.Fatalf("wrote\n%s\nread\n%s", data, again)
		}
	})
}
