package daybook

import (
	"context"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"sandarac/archive/consent"
	"sandarac/archive/record"
)

var drawn = Signature{Strokes: [][][]float64{{{10, 10}, {20, 14.25}}, {{30, 30}}}, Width: 300, Height: 120}

// agree writes what somebody said into an archive.
func agree(t testing.TB, b *Book, a Agreement) *SitterDraft {
	t.Helper()
	d, errs := b.Sitter(a)
	if len(errs) > 0 {
		t.Fatal(errs)
	}
	if d.Signature != "" {
		if err := b.Create(d.Signature, d.Signed, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := b.Create(d.File, d.Data, 0o644); err != nil {
		t.Fatal(err)
	}
	b.Know(d)
	return d
}

func TestConsentAtTheShoot(t *testing.T) {
	files := studio()
	files["2026-05/p.md"] = "---\nplate: p\nmade: 2026-05-20T10:00\noutcome: keeper\nsitters: [{sitter: zoe-o-hara}, {sitter: kid}]\n---\n"
	files["2026-05/p.jpg"] = "x"
	root := write(t, files)
	drawScan(t, filepath.Join(root, "2026-05", "p.jpg"), 300, 300, 300)
	b := open(t, root)
	at := time.Date(2026, 5, 20, 10, 30, 0, 0, dublin)
	zoe := agree(t, b, Agreement{Name: " Zoë  O'Hara ", Consent: record.Consent{Portfolio: true, Name: true, Until: record.Date{Year: 2030, Month: 1, Day: 1}}, Signature: drawn, At: at})
	kid := agree(t, b, Agreement{Name: "Kid", Guardian: "Bel <Quill>", Consent: record.Consent{Portfolio: true, Minor: true}, Signature: Signature{Typed: "Bel Quill"}, At: at, Language: "de"})
	twin := agree(t, b, Agreement{Name: "Kid", At: at}) // agreed to nothing, so no signature is needed
	if zoe.ID != "zoe-o-hara" || kid.ID != "kid" || twin.ID != "kid-2" || zoe.File != "sitters/zoe-o-hara.md" {
		t.Errorf("%s %s %s in %s", zoe.ID, kid.ID, twin.ID, zoe.File)
	}
	a, fs := read(t, root)
	sound(t, fs)
	if len(a.Orphans) > 0 {
		t.Errorf("signatures are taken for scans: %v", a.Orphans)
	}
	got := a.Sitters["zoe-o-hara"]
	if got.Name != "Zoë O'Hara" || !got.Consent.Portfolio || !got.Consent.Name || got.Consent.Promotion || got.Consent.Given.String() != "2026-05-20" || got.Consent.Until.String() != "2030-01-01" {
		t.Errorf("%+v", got)
	}
	// The record is enough for the gate to show the plate, and a withdrawal is one edit.
	if n := len(consent.Publish(a, today).Plates); n != 1 {
		t.Errorf("%d plates may be shown: %+v", n, consent.Why(a, today))
	}
	for _, f := range []struct{ name, holds string }{{zoe.Signature, "May we put your name beside it? — Yes"}, {kid.Signature, "Darf das Bild für das Studio werben, in Vorschauen, Ankündigungen und Anzeigen? — Nein"}, {kid.Signature, "Typed signature of Bel <Quill> for Kid"}} {
		data, err := os.ReadFile(filepath.Join(root, f.name))
		if err != nil || !strings.Contains(string(data), f.holds) {
			t.Errorf("%s: %v\n%s", f.name, err, data)
		}
		if info, err := os.Stat(filepath.Join(root, f.name)); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v %v", f.name, info.Mode(), err)
		}
	}
	if info, err := os.Stat(filepath.Join(root, PrivateFolder, "signatures")); err != nil || info.Mode().Perm() != 0o700 {
		t.Errorf("%v %v", info.Mode(), err)
	}
	text, err := os.ReadFile(filepath.Join(root, "sitters", "zoe-o-hara.md"))
	if err != nil {
		t.Fatal(err)
	}
	withdrawn := strings.Replace(string(text), "given: 2026-05-20", "given: 2026-05-20\n  withdrawn: 2026-05-20", 1)
	writeInto(t, root, map[string]string{"sitters/zoe-o-hara.md": withdrawn})
	if a, _, err = record.Read(context.Background(), root); err != nil || len(consent.Publish(a, today).Plates) != 0 {
		t.Errorf("shown after it was withdrawn (%v)", err)
	}
}

func TestAgreementsThatAreRefused(t *testing.T) {
	b := open(t, write(t, studio()))
	at := time.Date(2026, 5, 20, 10, 30, 0, 0, dublin)
	yes := record.Consent{Portfolio: true}
	for name, tc := range map[string]struct {
		a   Agreement
		key string
	}{
		"no name":            {Agreement{Consent: yes, Signature: drawn, At: at}, "name"},
		"control characters": {Agreement{Name: "a\x00b", At: at}, "name"},
		"yes unsigned":       {Agreement{Name: "Bo", Consent: yes, At: at}, "signature"},
		"no guardian":        {Agreement{Name: "Bo", Consent: record.Consent{Portfolio: true, Minor: true}, Signature: drawn, At: at}, "guardian"},
		"to come":            {Agreement{Name: "Bo", At: at.AddDate(0, 0, 5)}, "given"},
		"ended":              {Agreement{Name: "Bo", Consent: record.Consent{Portfolio: true, Until: record.Date{Year: 2026, Month: 1, Day: 1}}, Signature: drawn, At: at}, "until"},
		"outside":            {Agreement{Name: "Bo", Consent: yes, At: at, Signature: Signature{Strokes: [][][]float64{{{1e9, 0}}}, Width: 10, Height: 10}}, "signature"},
		"no size":            {Agreement{Name: "Bo", Consent: yes, At: at, Signature: Signature{Strokes: [][][]float64{{{1, 1}}}}}, "signature"},
		"no point":           {Agreement{Name: "Bo", Consent: yes, At: at, Signature: Signature{Strokes: [][][]float64{{{1}}}, Width: 10, Height: 10}}, "signature"},
		"empty stroke":       {Agreement{Name: "Bo", Consent: yes, At: at, Signature: Signature{Strokes: [][][]float64{{}}, Width: 10, Height: 10}}, "signature"},
		"a long name":        {Agreement{Name: strings.Repeat("x", 300), At: at}, "name"},
		"a long typed one":   {Agreement{Name: "Bo", Consent: yes, At: at, Signature: Signature{Typed: strings.Repeat("x", 300)}}, "signature"},
	} {
		d, errs := b.Sitter(tc.a)
		var r *Refusal
		if d != nil || len(errs) == 0 || !errors.As(errs[0], &r) || r.Key != tc.key {
			t.Errorf("%s: %v, want a refusal of %s", name, errs, tc.key)
		}
	}
}

// Whatever the name, the record says it, its files have plain names, and a drawn
// signature is an XML document with nothing in it but lines and words.
func TestAnyName(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		b := &Book{Archive: &record.Archive{Root: "/nowhere", Studio: &record.Studio{Zone: dublin}, Sitters: map[string]*record.Sitter{}}, Today: today}
		name := anyText(rt, "name")
		d, errs := b.Sitter(Agreement{Name: name, Consent: record.Consent{Portfolio: true}, Signature: drawn, At: time.Date(2026, 5, 20, 10, 30, 0, 0, dublin)})
		if len(errs) > 0 {
			return
		}
		for _, file := range []string{d.File, d.Signature} {
			if strings.Trim(file, "abcdefghijklmnopqrstuvwxyz0123456789-./") != "" || strings.Contains(file, "..") {
				rt.Fatalf("file %q of %q", file, name)
			}
		}
		in := xml.NewDecoder(strings.NewReader(string(d.Signed)))
		for {
			tok, err := in.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				rt.Fatalf("%v\n%s", err, d.Signed)
			}
			if el, ok := tok.(xml.StartElement); ok && !strings.Contains(" svg title desc g polyline ", " "+el.Name.Local+" ") {
				rt.Fatalf("an element %s\n%s", el.Name.Local, d.Signed)
			}
		}
		root := t.TempDir()
		for file, data := range map[string]string{"s.md": string(d.Data), "studio.md": studioRecord} {
			if err := os.WriteFile(filepath.Join(root, file), []byte(data), 0o644); err != nil {
				rt.Fatal(err)
			}
		}
		a, fs, err := record.Read(context.Background(), root)
		if err != nil || len(fs) > 0 || a.Sitters[d.ID] == nil || a.Sitters[d.ID].Name != strings.Join(strings.Fields(name), " ") {
			rt.Fatalf("%v %v\n%s", err, fs, d.Data)
		}
	})
}
