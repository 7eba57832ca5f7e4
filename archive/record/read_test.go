package record

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sandarac/archive/finding"
)

// write lays out an archive from "name → content".
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

func read(t testing.TB, files map[string]string) (*Archive, []finding.Finding) {
	t.Helper()
	if _, ok := files["studio.md"]; !ok {
		files["studio.md"] = "---\nstudio: Test Rooms\nurl: https://plates.example/\ntime_zone: Europe/Dublin\n---\n"
	}
	a, fs, err := Read(context.Background(), write(t, files))
	if err != nil {
		t.Fatal(err)
	}
	return a, fs
}

func TestThreeNotationsReadAlike(t *testing.T) {
	a, fs := read(t, map[string]string{
		"y.md": `---
plate: y-012
made: 2026-05-03T10:20
format: quarter
batches: {collodion: c1}
exposure:
  seconds: 8
  stop: 5.6
  magnification: 0.2
light: {kind: north skylight, ev100: 10}
sitters: [{sitter: a}, {name: Ada Quill, consent: {portfolio: true, given: 2026-05-03}}]
tags: [bells, "0123"]
featured: true
x_shelf: 12
---
Notes with a rule.

* * *
`,
		"t.md": `+++
plate = "t-012"
made = 2026-05-03T10:20:00
format = "quarter"
tags = ["bells", "0123"]
featured = true
x_shelf = 12
sitters = [{sitter = "a"}, {name = "Ada Quill", consent = {portfolio = true, given = 2026-05-03}}]
[batches]
collodion = "c1"
[exposure]
seconds = 8
stop = 5.6
magnification = 0.2
[light]
kind = "north skylight"
ev100 = 10
+++
Notes.
`,
		"j.md": `{
  "plate": "j-012",
  "made": "2026-05-03T10:20",
  "format": "quarter",
  "batches": {"collodion": "c1"},
  "exposure": {"seconds": 8, "stop": 5.6, "magnification": 0.2},
  "light": {"kind": "north skylight", "ev100": 10},
  "sitters": [{"sitter": "a"}, {"name": "Ada Quill", "consent": {"portfolio": true, "given": "2026-05-03"}}],
  "tags": ["bells", "0123"],
  "featured": true,
  "x_shelf": 12
}

Notes.
`,
	})
	for _, f := range fs {
		t.Errorf("unexpected finding: %v (%s)", f, f.Remedy)
	}
	if len(a.Plates) != 3 {
		t.Fatalf("%d plates, want 3", len(a.Plates))
	}
	for _, p := range a.Plates {
		switch {
		case p.Made.Format("2006-01-02T15:04Z07:00") != "2026-05-03T10:20+01:00":
			t.Errorf("%s: made %v", p.ID, p.Made)
		case p.Format.Slug != "quarter" || p.Exposure.Seconds != 8 || p.Exposure.Stop != 5.6 || *p.Exposure.Magnification != 0.2:
			t.Errorf("%s: exposure %+v", p.ID, p.Exposure)
		case len(p.Sitters) != 2 || p.Sitters[0].Ref != "a" || !p.Sitters[1].Inline.Consent.Portfolio || p.Sitters[1].Inline.Name != "Ada Quill":
			t.Errorf("%s: sitters %+v", p.ID, p.Sitters)
		case len(p.Tags) != 2 || p.Tags[1] != "0123" || !p.Featured || p.Extra["x_shelf"] != "12":
			t.Errorf("%s: tags %v extra %v", p.ID, p.Tags, p.Extra)
		case p.Light.Kind != "north skylight" || *p.Light.EV100 != 10 || p.Batches.Collodion != "c1":
			t.Errorf("%s: light %+v", p.ID, p.Light)
		}
	}
}

func TestIdsStayAsWritten(t *testing.T) {
	a, _ := read(t, map[string]string{
		"a.md": "---\nplate: 012\nmade: 2026-05-03\nlens: 1.50\nlight: {kind: no}\ntitle: 1:30\n---\n",
	})
	p := a.Plates[0]
	if p.ID != "012" || p.Lens != "1.50" || p.Light.Kind != "no" || p.Title != "1:30" {
		t.Errorf("id %q lens %q light %q title %q", p.ID, p.Lens, p.Light.Kind, p.Title)
	}
}

const plateHead = "---\nplate: p1\nmade: 2026-05-03T10:20\n"

// TestFaults reads one bad file each and asks for the finding: its code, line,
// what was found, and how to mend it.
func TestFaults(t *testing.T) {
	for name, tc := range map[string]struct {
		file          string
		code          string
		line          int
		found, remedy string
	}{
		"unknown key":         {plateHead + "exposur: 3\n---\n", "unknown-key", 4, "exposur", "did you mean “exposure”?"},
		"unknown nested key":  {plateHead + "exposure:\n  secnds: 3\n---\n", "unknown-key", 5, "exposure.secnds", "did you mean “seconds”?"},
		"wrong unit in key":   {plateHead + "air:\n  temperature_f: 68\n---\n", "unknown-key", 5, "air.temperature_f", "temperature_c"},
		"wrong unit in value": {plateHead + "exposure:\n  seconds: 8 s\n---\n", "wrong-type", 5, "“8 s”", "unit is in the key (seconds)"},
		"minutes":             {plateHead + "exposure:\n  minutes: 2\n---\n", "unknown-key", 5, "exposure.minutes", "the key is seconds"},
		"text for number":     {plateHead + "exposure:\n  stop: wide\n---\n", "wrong-type", 5, "“wide”", "f-number"},
		"quoted number":       {plateHead + "exposure:\n  stop: \"4\"\n---\n", "wrong-type", 5, "the text “4”", "f-number"},
		"list for text":       {plateHead + "title: [a]\n---\n", "wrong-type", 4, "title is a list", "text"},
		"negative seconds":    {plateHead + "exposure:\n  seconds: -3\n---\n", "out-of-range", 5, "seconds is -3", "above 0"},
		"not a number":        {plateHead + "exposure:\n  seconds: .nan\n---\n", "wrong-type", 5, "nan", "above 0"},
		"impossible date":     {"---\nplate: p1\nmade: 2026-02-30T10:00\n---\n", "bad-date", 3, "2026-02-30", "RFC 3339"},
		"missing made":        {"---\nplate: p1\n---\n", "missing-key", 2, "made is missing", "2026-05-03T10:20"},
		"unknown format":      {plateHead + "format: sixt\n---\n", "wrong-value", 4, "“sixt”", "did you mean “sixth”?"},
		"both sizes":          {plateHead + "format: half\nsize_mm: [10, 20]\n---\n", "wrong-value", 5, "both format and size_mm", "keep format"},
		"unknown flaw":        {plateHead + "flaws: [commets]\n---\n", "wrong-value", 4, "commets", "did you mean “comets”?"},
		"truth as word":       {plateHead + "featured: yes\n---\n", "wrong-type", 4, "yes", "true or false"},
		"duplicate key":       {plateHead + "title: a\ntitle: b\n---\n", "duplicate-key", 5, "title stands twice, first in line 4", "keep one"},
		"bad id":              {"---\nplate: ../../etc\nmade: 2026-05-03\n---\n", "bad-id", 2, "../../etc", "letters, digits"},
		"scan outside":        {plateHead + "scans: [../../x.jpg]\n---\n", "bad-scan", 4, "outside the archive", "a file of the archive"},
		"scan missing":        {plateHead + "scans: [gone.jpg]\n---\n", "scan-missing", 4, "gone.jpg", "an image of the archive"},
		"unknown kind":        {"---\nplat: p1\n---\n", "unknown-record", 2, "“plat”", "did you mean “plate”?"},
		"yaml syntax":         {plateHead + "title: \"open\nexposure: {\n---\n", "bad-notation", 0, "YAML", "quotes"},
		"unclosed":            {plateHead, "bad-notation", 1, "never closed", "--- alone on a line"},
		"ends early":          {plateHead + "title: |\n  above\n  ---\n  below\nalt: x\n---\n", "bad-notation", 6, "indented ---", "ends the record wherever"},
		"keys after the end":  {plateHead + "---\nsitters: []\n---\n", "bad-notation", 4, "keys seem to go on", "above the first closing"},
		"alias":               {plateHead + "title: &a x\nalt: *a\n---\n", "bad-notation", 4, "not used in records", "without anchors"},
		"one-line json":       {`{"plate": "p1"}`, "bad-notation", 1, "not closed", "{ alone on the first line"},
		"json ends early":     {"{\n\"plate\": \"p1\",\n\"exposure\": {\n\"seconds\": 8\n}\n\n,\"made\": \"2026-05-03\"\n}\n\n", "bad-notation", 0, "JSON", ""},
		"toml syntax":         {"+++\nplate = p1\n+++\n", "bad-notation", 2, "TOML", "quotes"},
		"toml unknown key":    {"+++\nplate = \"p1\"\nmade = 2026-05-03\n[exposure]\nsecs = 8\n+++\n", "unknown-key", 5, "exposure.secs", ""},
		"sitter says nothing": {plateHead + "sitters: [{}]\n---\n", "wrong-value", 4, "says nothing", "sitter: id"},
		"sitter not a group":  {plateHead + "sitters: [anna]\n---\n", "wrong-type", 4, "“anna”", "{sitter: id}"},
		"sitters not a list":  {plateHead + "sitters: anna\n---\n", "wrong-type", 4, "“anna”", "[] when nobody"},
		"consent typo":        {plateHead + "sitters:\n  - name: A\n    consent: {portfolo: true}\n---\n", "unknown-key", 6, "portfolo", "did you mean “portfolio”?"},
		"control character":   {plateHead + "title: \"a\\u0007b\"\n---\n", "bad-text", 4, "U+0007", "without it"},
		"utf-16":              {"\xff\xfe-\x00-\x00-\x00", "bad-notation", 1, "UTF-16", "UTF-8"},
		"nul":                 {plateHead + "title: a\x00b\n---\n", "bad-notation", 4, "NUL", "plain text"},
	} {
		t.Run(name, func(t *testing.T) {
			_, fs := read(t, map[string]string{"p.md": tc.file})
			for _, f := range fs {
				if f.Code == tc.code && (tc.line == 0 || f.Line == tc.line) && strings.Contains(f.Message, tc.found) && strings.Contains(f.Remedy, tc.remedy) && f.Severity == finding.Error {
					return
				}
			}
			t.Errorf("no such finding; got:")
			for _, f := range fs {
				t.Errorf("  %s [%s] remedy: %s", f, f.Code, f.Remedy)
			}
		})
	}
}

func TestEveryFaultOfAFileIsReported(t *testing.T) {
	_, fs := read(t, map[string]string{"p.md": plateHead + "exposur: 1\nfeatured: maybe\nflaws: [fgo]\nexposure: {seconds: -1, stop: x}\n---\n"})
	if len(fs) != 5 {
		t.Errorf("%d findings, want 5: %v", len(fs), fs)
	}
}

func TestABrokenRecordStopsNoOther(t *testing.T) {
	a, fs := read(t, map[string]string{
		"a.md": "---\nplate: [\n---\n",
		"b.md": plateHead + "---\n",
		"c.md": "---\nplate: p2\nmade: 2026-05-04\nbogus: 1\n---\n",
	})
	if len(a.Plates) != 2 || a.Plates[0].Broken || !a.Plates[1].Broken {
		t.Errorf("plates %+v", a.Plates)
	}
	if finding.Count(fs, finding.Error) != 2 || len(a.Unreadable) != 1 {
		t.Errorf("findings %v", fs)
	}
}

func TestDuplicateIdsBreakBoth(t *testing.T) {
	a, fs := read(t, map[string]string{"a.md": plateHead + "---\n", "b.md": plateHead + "---\n"})
	if len(a.Plates) != 2 || !a.Plates[0].Broken || !a.Plates[1].Broken || len(fs) != 1 || fs[0].Code != "duplicate-id" || fs[0].Line != 2 {
		t.Errorf("plates %+v findings %v", a.Plates, fs)
	}
}

func TestScansByBaseName(t *testing.T) {
	a, fs := read(t, map[string]string{
		"2026/p1.md": plateHead + "---\n", "2026/p1.jpg": "x", "2026/p1.TIF": "x", "2026/p10.jpg": "x",
		"2026/.hidden.jpg": "x", "notes.md": "just words\n", "public/index.jpg": "x",
	})
	if got := strings.Join(a.Plates[0].Scans, " "); got != "2026/p1.TIF 2026/p1.jpg" {
		t.Errorf("scans %q", got)
	}
	if len(a.Orphans) != 1 || a.Orphans[0] != "2026/p10.jpg" {
		t.Errorf("orphans %v", a.Orphans)
	}
	if len(fs) != 1 || fs[0].Code != "not-a-record" || fs[0].Severity != finding.Remark {
		t.Errorf("findings %v", fs)
	}
}

func TestByteOrderMarkIsRead(t *testing.T) {
	a, fs := read(t, map[string]string{"p.md": "\xEF\xBB\xBF" + plateHead + "---\n"})
	if len(a.Plates) != 1 || len(fs) != 0 {
		t.Errorf("plates %v findings %v", a.Plates, fs)
	}
}

func TestAliasBombAndDepth(t *testing.T) {
	bomb := "a: &a [x,x,x,x,x,x,x,x,x]\nb: &b [*a,*a,*a,*a,*a,*a,*a,*a,*a]\nc: &c [*b,*b,*b,*b,*b,*b,*b,*b,*b]\n"
	for name, file := range map[string]string{
		"aliases": plateHead + bomb + "---\n",
		"flow":    plateHead + "title: " + strings.Repeat("[", 100_000) + "\n---\n",
		"indent":  plateHead + nested(2000) + "---\n",
		"long":    plateHead + "title: " + strings.Repeat("x", 10<<20) + "\n---\n",
		"keys":    plateHead + "alt: " + strings.Repeat("x", blockMost) + "\n---\n",
		"toml":    "+++\nplate = " + strings.Repeat("[", 100_000) + "\n+++\n",
	} {
		t.Run(name, func(t *testing.T) {
			_, fs := read(t, map[string]string{"p.md": file})
			if finding.Count(fs, finding.Error) == 0 || fs[0].File != "p.md" {
				t.Errorf("findings %v", fs)
			}
		})
	}
}

func nested(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(strings.Repeat(" ", i) + "k:\n")
	}
	return b.String()
}

func TestSymbolicLinksAreNotFollowed(t *testing.T) {
	root := write(t, map[string]string{"a/studio.md": "---\nstudio: S\n---\n", "secret/p.md": plateHead + "---\n", "secret/p.jpg": "x"})
	for _, l := range [][2]string{{"secret", "a/out"}, {"secret/p.jpg", "a/p.jpg"}} {
		if err := os.Symlink(filepath.Join(root, l[0]), filepath.Join(root, l[1])); err != nil {
			t.Fatal(err)
		}
	}
	a, fs, err := Read(context.Background(), filepath.Join(root, "a"))
	if err != nil || len(a.Plates) != 0 || len(a.Orphans) != 0 || len(fs) != 2 || fs[0].Code != "symbolic-link" {
		t.Errorf("plates %v orphans %v findings %v err %v", a.Plates, a.Orphans, fs, err)
	}
}

func FuzzSplitBlock(f *testing.F) {
	for _, s := range []string{plateHead + "---\n", "+++\nplate = \"a\"\n[x]\ny=[{z=1}]\n+++\n", "{\n\"plate\": \"a\"\n}\n\n", "---\na: &x [*x]\n---\n", "---\n? [a]: b\n---\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 1<<16 {
			return
		}
		b, err := splitBlock(data)
		if err != nil {
			return
		}
		var faults []finding.Finding
		src := &Source{File: "f.md", lines: map[string]int{}}
		d := &decoder{src: src, zone: newStudio().Zone, table: b.root, faults: &faults}
		decodePlate(d)
		d.leave()
		lines := strings.Count(string(data), "\n") + 1
		for _, f := range faults {
			if f.Line < 0 || f.Line > lines+1 {
				t.Fatalf("finding in line %d of %d: %v", f.Line, lines, f)
			}
		}
	})
}

func TestStudioAsksForAVIF(t *testing.T) {
	for line, want := range map[string]bool{"": false, "avif: false\n": false, "avif: true\n": true} {
		a, fs := read(t, map[string]string{"studio.md": "---\nstudio: S\n" + line + "---\n"})
		if len(fs) > 0 || a.Studio.AVIF != want {
			t.Errorf("%q: %v, %v", line, a.Studio.AVIF, fs)
		}
	}
	a, fs := read(t, map[string]string{"studio.md": "---\nstudio: S\navif: some\n---\n"})
	if len(fs) != 1 || fs[0].Line != 3 || a.Studio.AVIF {
		t.Errorf("%v, %+v", a.Studio.AVIF, fs)
	}
}
