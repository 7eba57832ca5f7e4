package record

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// What people write who do not know the notation yet, and what they are told.
func TestWhatBeginnersAreTold(t *testing.T) {
	for name, tc := range map[string]struct {
		keys, says string
	}{
		"a unit beside the number":          {"exposure: {seconds: 8s}", "write the number alone"},
		"an f-number as it is spoken":       {"exposure: {stop: f/5.6}", "write the number alone: 5.6"},
		"a comma in a number":               {"exposure:\n  seconds: 8,5", "the decimal sign is a point: 8.5"},
		"a comma in an f-number":            {"exposure:\n  stop: F5,6", "write the number alone: 5.6"},
		"a comma between brackets":          {"exposure: {seconds: 8,5, stop: 4}", "exposure.5 is not a key of this record: between { and } a comma begins the next key"},
		"a day as it is written in Germany": {"varnished: 8.3.2026", "did you mean 2026-03-08? accepted: local time"},
		"a day in words":                    {"varnished: 8 March 2026", "did you mean 2026-03-08?"},
		"a day that can be two":             {"varnished: 3/8/2026", "accepted: local time"},
		"a day that no calendar has":        {"varnished: 31.02.2026", "accepted: local time"},
		"a group as a sentence":             {"exposure: 8s f/5.6", "a group of keys: seconds, stop, magnification, extension_mm, written as {seconds: …}"},
		"a key of a group at the top":       {"seconds: 8", "seconds belongs inside exposure:, written as exposure: {seconds: …}"},
		"one batch alone":                   {"batch: c-1", "did you mean “batches”?"},
		"a consent of nobody":               {"consent: {portfolio: true}", "belongs to that person: under sitters:"},
		"a guardian inside the consent":     {"sitters: [{name: Kurt, consent: {portfolio: true, given: 2026-03-01, minor: true, guardian: Ada}}]", "guardian stands beside consent:, not inside it"},
		"a date":                            {"date: 2026-03-08", "the key is made:"},
		"notes as a key":                    {"notes: thick at the left", "notes stand below"},
		"a colon in a text":                 {"title: Ada: reed maker", `a text that holds a colon stands in quotes, such as title: "Ada: reed maker"`},
		"a tab":                             {"light:\n\tkind: north", "indent with spaces, not with tabs"},
		"yes in German":                     {"sitters: [{name: Kurt, consent: {portfolio: ja}}]", "sitters no. 1: consent.portfolio is “ja”"},
		"a fraction":                        {"exposure: {seconds: 1/2}", "write it as a decimal: 0.5"},
		"a number in quotes":                {"light: {ev100: \"9.5\"}", "write it without quotes"},
		"yes":                               {"featured: yes", "write true if yes is meant"},
		"a truth in capitals":               {"featured: TRUE", "in small letters"},
		"a truth in quotes":                 {"featured: 'false'", "write it without quotes"},
		"a size of one's own":               {"format: 6x8", "for a size without a name, size_mm: [width, height]"},
		"a size misspelt":                   {"format: quarer", "did you mean “quarter”?"},
		"a size that has no name":           {"format: 3/4", "accepted: 8x10, whole"},
	} {
		t.Run(name, func(t *testing.T) {
			root := t.TempDir()
			lay := func(name, content string) {
				if err := os.WriteFile(filepath.Join(root, name), []byte(content), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			lay("studio.md", "---\nstudio: S\n---\n")
			lay("p.md", "---\nplate: p\nmade: 2026-03-08\n"+tc.keys+"\n---\n")
			_, found, err := Read(context.Background(), root)
			if err != nil || len(found) == 0 {
				t.Fatalf("nothing found: %v", err)
			}
			f := found[0]
			if all := f.Message + ": " + f.Remedy; f.File != "p.md" || f.Line < 4 || !strings.Contains(all, tc.says) {
				t.Errorf("%s:%d: %s\nwant %s", f.File, f.Line, all, tc.says)
			}
		})
	}
}

func TestWaysToWriteASize(t *testing.T) {
	for written, slug := range map[string]string{
		"half": "half", "Half plate": "half", "half-plate": "half", "HALF-PLATE": "half", "4 × 5 in": "4x5", "4x5": "4x5", "8 x 10\"": "8x10", "5x7 inches": "5x7", "quarter plate": "quarter",
		"plate": "", "in": "", "": "", "3/4": "", "gem": "gem",
	} {
		if f, ok := FormatNamed(written); f.Slug != slug || ok != (slug != "") {
			t.Errorf("%q is %q, want %q", written, f.Slug, slug)
		}
	}
}

// Files of other machines: what cannot be read is said, with the line.
func TestFilesOfOtherMachines(t *testing.T) {
	root := t.TempDir()
	for name, content := range map[string]string{
		"studio.md": "---\nstudio: S\n---\n",
		"mac.md":    "---\rplate: mac\rmade: 2026-03-08\r---\r",
		"cp.md":     "---\nplate: cp\nmade: 2026-03-08\n---\n\nOne.\nF\xfcr zwei.\n",
		"IMG_8.md":  "---\nplate: eight\nmade: 2026-03-08\n---\n", "img_8.JPG": "x",
		"crlf.md": "\ufeff---\r\nplate: crlf\r\nmade: 2026-03-08\r\n---\r\n\r\nGrüße\r\n",
	} {
		if err := os.WriteFile(filepath.Join(root, name), []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	_, found, err := Read(context.Background(), root)
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]string{"mac.md": "1 bad-notation its lines end in CR alone", "cp.md": "7 bad-notes the notes hold bytes", "img_8.JPG": "0 scan-in-capitals its name differs from that of the record IMG_8.md"}
	for _, f := range found {
		if got := fmt.Sprintf("%d %s %s", f.Line, f.Code, f.Message); want[f.File] == "" || !strings.HasPrefix(got, want[f.File]) {
			t.Errorf("%s: %s", f.File, got)
		}
	}
	if len(found) != len(want) {
		t.Errorf("%d findings, want %d", len(found), len(want))
	}
}

// What lies beside a scan and is not read is told of: a record under another
// ending, a picture that no master is made of.
func TestWhatIsPassedBy(t *testing.T) {
	root := t.TempDir()
	for name, content := range map[string]string{
		"studio.md": "---\nstudio: S\n---\n", "a.jpg": "x", "a.json": `{"plate": "a"}`, "b.jpg": "x", "b.toml": "", "b.md": "---\nplate: b\nmade: 2026-03-08\n---\n",
		"notes.txt": "a list", "c.HEIC": "x", "first.md": "---\nmade: 2026-03-08\nplate: first\n---\n",
	} {
		if err := os.WriteFile(filepath.Join(root, name), []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	_, found, err := Read(context.Background(), root)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, f := range found {
		got = append(got, f.File+" "+f.Code+" "+f.Remedy)
	}
	all := strings.Join(got, "\n")
	for _, want := range []string{"a.json record-not-read rename it to a.md", "c.HEIC image-not-read export it as TIFF", "first.md unknown-record put plate: first"} {
		if !strings.Contains(all, want) {
			t.Errorf("no %q among\n%s", want, all)
		}
	}
	if len(found) != 3 {
		t.Errorf("%d findings:\n%s", len(found), all)
	}
}
