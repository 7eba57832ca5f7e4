package check_test

import (
	"context"
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sandarac/archive/check"
	"sandarac/archive/finding"
	"sandarac/archive/record"
)

var today = record.Date{Year: 2026, Month: 6, Day: 15}

const studio = `---
studio: Test Rooms
url: https://plates.example/
credit: Ilse Tarn
lenses:
  - {id: petzval, focal_mm: 210, widest_stop: 3.8}
  - {id: unmeasured}
---
`

// lay writes an archive; names that end in .jpg become small scans.
func lay(t *testing.T, files map[string]string) *record.Archive {
	t.Helper()
	root := t.TempDir()
	if _, ok := files["studio.md"]; !ok {
		files["studio.md"] = studio
	}
	for name, content := range files {
		at := filepath.Join(root, name)
		f, err := os.Create(at)
		if err != nil {
			t.Fatal(err)
		}
		if strings.HasSuffix(name, ".jpg") && content == "" {
			err = jpeg.Encode(f, image.NewGray(image.Rect(0, 0, 40, 50)), nil)
		} else {
			_, err = f.WriteString(content)
		}
		if err != nil || f.Close() != nil {
			t.Fatal(err)
		}
	}
	a, _, err := record.Read(context.Background(), root)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func plate(extra string) string {
	return "---\nplate: p1\nmade: 2026-05-10T10:00\n" + extra + "\n---\n"
}

const page = "---\npage: home\n---\n"

const collodion = "---\nbatch: c1\nkind: collodion\nmixed: 2026-05-01\nready_after_days: 3\nretire_after_days: 60\n---\n"

func TestFindings(t *testing.T) {
	for name, tc := range map[string]struct {
		files    map[string]string
		code     string
		severity finding.Severity
		says     string
	}{
		"a name in a page's text":     {map[string]string{"h.md": page + "Ada Quill sat.\n", "s.md": "---\nsitter: a\nname: Ada Quill\n---\n"}, "name-in-text", finding.Warning, "this text is not shown"},
		"HTML in a page's text":       {map[string]string{"h.md": page + "`<b>` is <b>bold</b>\n"}, "raw-html", finding.Warning, "left out"},
		"a picture in a text":         {map[string]string{"h.md": page + "![us](us.jpg)\n"}, "text-picture", finding.Warning, "only its words"},
		"unknown batch":               {map[string]string{"p.md": plate("batches: {collodion: c9}"), "c.md": collodion}, "unknown-batch", finding.Error, "accepted collodion batches: c1"},
		"batch of another kind":       {map[string]string{"p.md": plate("batches: {bath: c1}"), "c.md": collodion}, "wrong-batch", finding.Error, "which is a collodion"},
		"a batch all but named":       {map[string]string{"p.md": plate("batches: {collodion: C1}"), "c.md": strings.Replace(collodion, "c1", "c-1", 1)}, "unknown-batch", finding.Error, "did you mean “c-1”?"},
		"a client without marks":      {map[string]string{"p.md": plate("client: mueller-soehne"), "cl.md": "---\nclient: Müller-Söhne\n---\n"}, "unknown-client", finding.Error, "accepted clients: Müller-Söhne"},
		"a sitter without marks":      {map[string]string{"p.md": plate("sitters: [{sitter: bjork}]"), "s.md": "---\nsitter: Björk\n---\n"}, "unknown-sitter", finding.Error, "did you mean “Björk”?"},
		"a lens where none is listed": {map[string]string{"p.md": plate("lens: brass"), "studio.md": "---\nstudio: S\nurl: https://s.example/\n---\n"}, "unknown-lens", finding.Error, "write lenses: [{id: …, focal_mm: …}] there"},
		"unknown lens":                {map[string]string{"p.md": plate("lens: brass")}, "unknown-lens", finding.Error, "petzval"},
		"unknown client":              {map[string]string{"p.md": plate("client: x")}, "unknown-client", finding.Error, "no record"},
		"unknown sitter":              {map[string]string{"p.md": plate("sitters: [{sitter: x}]")}, "unknown-sitter", finding.Error, "no record"},
		"before it was mixed":         {map[string]string{"p.md": strings.Replace(plate("batches: {collodion: c1}"), "05-10", "04-30", 1), "c.md": collodion}, "before-mixed", finding.Error, "mixed on 2026-05-01"},
		"before it was ready":         {map[string]string{"p.md": strings.Replace(plate("batches: {collodion: c1}"), "05-10", "05-02", 1), "c.md": collodion}, "before-ready", finding.Warning, "2 days before"},
		"after it was retired":        {map[string]string{"p.md": strings.Replace(plate("batches: {collodion: c1}"), "05-10T10", "06-01T10", 1), "c.md": strings.Replace(collodion, "60", "10", 1)}, "after-retirement", finding.Warning, "21 days after"},
		"varnished before made":       {map[string]string{"p.md": plate("varnished: 2026-05-10T09:00")}, "varnished-before-made", finding.Error, "before the plate was made"},
		"made in the future":          {map[string]string{"p.md": strings.Replace(plate(""), "2026-05-10", "2026-06-17", 1)}, "made-in-future", finding.Error, "2026-06-17"},
		"extension too short":         {map[string]string{"p.md": plate("lens: petzval\nexposure: {extension_mm: 180}")}, "extension-short", finding.Error, "210 mm"},
		"extension without a lens":    {map[string]string{"p.md": plate("exposure: {extension_mm: 250}")}, "lens-missing", finding.Warning, "without a lens"},
		"lens without a length":       {map[string]string{"p.md": plate("lens: unmeasured\nexposure: {extension_mm: 250}")}, "lens-missing", finding.Warning, "no focal_mm"},
		"ei out of belief":            {map[string]string{"p.md": plate("exposure: {seconds: 80, stop: 4}\nlight: {ev100: 12}")}, "ei-implausible", finding.Warning, "EI 0.00488"},
		"ev and lux disagree":         {map[string]string{"p.md": plate("light: {ev100: 12, lux: 1000}")}, "light-disagrees", finding.Warning, "EV 8.6"},
		"one scan, two plates":        {map[string]string{"p1.md": plate(""), "p1.jpg": "", "q.md": "---\nplate: q\nmade: 2026-05-01\nscans: [p1.jpg]\n---\n"}, "scan-shared", finding.Error, "also a scan of plate"},
		"damaged scan":                {map[string]string{"p.md": plate(""), "p.jpg": "no"}, "bad-scan", finding.Error, ""},
		"scan without a record":       {map[string]string{"alone.jpg": ""}, "scan-without-record", finding.Remark, "no plate record"},
		"plate without a scan":        {map[string]string{"p.md": plate("")}, "not-scanned", finding.Remark, "no scan yet"},
		"shown without alt":           {map[string]string{"p.md": plate("outcome: keeper\nsitters: []"), "p.jpg": ""}, "alt-missing", finding.Warning, "without alt text"},
		"keeper without sitters":      {map[string]string{"p.md": plate("outcome: keeper"), "p.jpg": ""}, "sitters-missing", finding.Warning, "not shown"},
		"consent declined":            {map[string]string{"p.md": plate("outcome: keeper\nsitters: [{name: Ada Quill}]"), "p.jpg": ""}, "no-consent", finding.Remark, "Ada Quill"},
		"consent ends today":          {map[string]string{"p.md": plate("outcome: keeper\nsitters: [{name: Ada Quill, consent: {portfolio: true, given: 2026-05-10, until: 2026-06-15}}]"), "p.jpg": ""}, "consent-ends-soon", finding.Warning, "which is today"},
		"a word of the client":        {map[string]string{"c.md": "---\nclient: rowe\nname: Rowe & Thistledown\n---\n", "p.md": plate("outcome: keeper\nclient: rowe\ntitle: The Thistledown at dusk\npurpose: still-life\nsitters: []"), "p.jpg": ""}, "client-word-in-text", finding.Warning, "“Thistledown”"},
		"consent ends soon":           {map[string]string{"p.md": plate("outcome: keeper\nsitters: [{name: Ada Quill, consent: {portfolio: true, given: 2026-05-10, until: 2026-08-01}}]"), "p.jpg": ""}, "consent-ends-soon", finding.Warning, "47 days from now"},
		"log before mixing":           {map[string]string{"c.md": strings.Replace(collodion, "---\n", "---\n", 1)[:len(collodion)-4] + "log: [{date: 2026-04-01, action: filtered}]\n---\n"}, "log-before-mixed", finding.Error, "before the batch was mixed"},
		"client without plates":       {map[string]string{"cl.md": "---\nclient: x\n---\n"}, "client-without-plates", finding.Remark, "no gallery"},
		"the example's credit":        {map[string]string{"studio.md": "---\nstudio: S\nurl: https://s.example/\ncredit: Your name\n---\n"}, "example-left", finding.Warning, "still the example's “Your name”"},
		"no address":                  {map[string]string{"studio.md": "---\nstudio: S\ncredit: C\n---\n"}, "url-missing", finding.Warning, "no url"},
	} {
		t.Run(name, func(t *testing.T) {
			a := lay(t, tc.files)
			got, err := check.Run(context.Background(), a, check.Options{Today: today})
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range got {
				if f.Code == tc.code && f.Severity == tc.severity && strings.Contains(f.Message+" "+f.Remedy, tc.says) {
					if f.Remedy == "" || f.File == "" {
						t.Errorf("no remedy or file: %+v", f)
					}
					if p, ok := a.Plate(f.Plate); ok && f.Severity == finding.Error && !p.Broken {
						t.Errorf("%s has an error and is not broken", p.ID)
					}
					return
				}
			}
			t.Errorf("no such finding among %v", got)
		})
	}
}

func TestASoundArchiveHasNothingToMend(t *testing.T) {
	a := lay(t, map[string]string{
		"c.md":  collodion,
		"p.md":  plate("batches: {collodion: c1}\nformat: quarter\nsupport: tin\noutcome: keeper\nalt: Reeds.\nsitters: []\nlens: petzval\nexposure: {seconds: 8, stop: 4, extension_mm: 250}\nlight: {ev100: 10}"),
		"p.jpg": "",
		"h.md":  page + "We are *two*, and `<b>` is no tag; 1 < 2 > 0.\n\n```\n<b>\n```\n",
	})
	got, err := check.Run(context.Background(), a, check.Options{Today: today, Deep: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range got {
		if f.Severity != finding.Remark {
			t.Errorf("%v (%s)", f, f.Remedy)
		}
	}
}
