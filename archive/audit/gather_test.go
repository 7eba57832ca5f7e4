package audit

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"sandarac/archive/finding"
	"sandarac/archive/record"
)

// archive writes records and reads them. All people are invented.
func archive(t testing.TB, files map[string]string) *record.Archive {
	t.Helper()
	dir := tree(t, files)
	a, findings, err := record.Read(context.Background(), dir)
	if err != nil {
		t.Fatal(err)
	}
	if n := finding.Count(findings, finding.Error); n > 0 {
		t.Fatalf("the test's records have errors: %v", findings)
	}
	return a
}

var records = map[string]string{
	"studio.md":       "---\nstudio: Barge Studio\nurl: https://barge.example/plates/\ntime_zone: Europe/Berlin\nemail: hello@barge.example\ncredit: A. Fuller\ncopyright: © 2026 A. Fuller\n---\nRent of the mooring is due in March and again in the autumn of each year.\n",
	"batches/c1.md":   "---\nbatch: C-1\nkind: collodion\nmixed: 2026-04-01\nlog:\n  - date: 2026-04-05\n    action: tested\n    note: turned red overnight, the stove stood too close to the shelf\n---\n",
	"clients/hale.md": "---\nclient: hale-m\nname: Margaret Hale\nemail: margaret@post.example\ngallery:\n  title: For Margaret\n  message: Thank you for coming all the way out to the lock in that rain.\n---\n",
	"sitters/odo.md":  "---\nsitter: odo\nname: Odo Veil\nconsent:\n  portfolio: true\n  name: true\n  given: 2026-04-01\n---\n",
	"sitters/jon.md":  "---\nsitter: jonet-p\nname: Jonet Pell\nconsent:\n  portfolio: true\n  given: 2026-04-01\n---\n",
	"sitters/pim.md":  "---\nsitter: pim-t\nname: Pim Tarn\nguardian: Hedda Tarn\nconsent:\n  minor: true\n---\n",
	"p/26-001.md":     "---\nplate: 26-001\nmade: 2026-04-10\noutcome: keeper\nsupport: tin\ntitle: Lock keeper with a rose\nalt: A lock-keeper holds a rose\ntags: [rose]\nlight:\n  kind: north window\n  note: the tarpaulin over the hatch had slipped again by noon that day\nbatches:\n  collodion: C-1\nsitters:\n  - sitter: odo\n---\nHe told me about his brother who drowned at the upper gates in the flood year.\n",
	"p/26-001.jpg":    "",
	"p/26-002.md":     "---\nplate: 26-002\nmade: 2026-04-11\noutcome: keeper\ntitle: Two hands on a tiller, evening\nsitters:\n  - sitter: pim-t\nclient: hale-m\n---\n",
	"p/DSC_0042.jpg":  "",
	"p/26-003.md":     "---\nplate: 26-003\nmade: 2026-04-12\noutcome: keeper\ntitle: Rope\nsitters:\n  - sitter: jonet-p\nscans: [rope-raw.jpg]\n---\n",
	"p/rope-raw.jpg":  "",
	"p/26-004.md":     "---\nplate: amber\nmade: 2026-04-12\npurpose: test\n---\n",
}

func TestGather(t *testing.T) {
	a := archive(t, records)
	day := record.Date{Year: 2026, Month: 6, Day: 1}
	f := Gather(a, day, Sources{Secrets: []Thing{{Kind: Secret, Text: galleryKey, What: "a key"}}, Ours: []string{"half plate"}})
	has := func(kind Kind, text string) bool {
		return slices.ContainsFunc(f.Things, func(t Thing) bool { return t.Kind == kind && strings.Contains(t.Text, text) })
	}
	for _, want := range []Thing{
		{Kind: Name, Text: "Margaret Hale"}, {Kind: Name, Text: "Jonet Pell"}, {Kind: Name, Text: "Pim Tarn"}, {Kind: Name, Text: "Hedda Tarn"},
		{Kind: Email, Text: "margaret@post.example"}, {Kind: Person, Text: "hale-m"}, {Kind: Person, Text: "jonet-p"}, {Kind: Person, Text: "pim-t"},
		{Kind: Plate, Text: "26-002"}, {Kind: Plate, Text: "amber"}, {Kind: Title, Text: "Two hands on a tiller"}, {Kind: Note, Text: "Rent of the mooring"},
		{Kind: Note, Text: "turned red overnight"}, {Kind: Note, Text: "Thank you for coming"}, {Kind: Note, Text: "For Margaret"}, {Kind: Note, Text: "tarpaulin"},
		{Kind: Note, Text: "his brother"}, {Kind: File, Text: "DSC_0042.jpg"}, {Kind: File, Text: "rope-raw.jpg"}, {Kind: File, Text: "26-001.md"}, {Kind: File, Text: a.Root},
		{Kind: Secret, Text: galleryKey},
	} {
		if !has(want.Kind, want.Text) {
			t.Errorf("not forbidden: %s %q", want.Kind, want.Text)
		}
	}
	for _, not := range []Thing{
		{Kind: Name, Text: "Odo"}, {Kind: Name, Text: "Fuller"}, {Kind: Person, Text: "odo"}, {Kind: Plate, Text: "26-001"}, {Kind: Plate, Text: "26-003"}, {Kind: Title, Text: "Rope"},
		{Kind: Title, Text: "Lock keeper"}, {Kind: Email, Text: "hello@barge.example"},
	} {
		if has(not.Kind, not.Text) {
			t.Errorf("forbidden: %s %q", not.Kind, not.Text)
		}
	}
	for _, open := range []string{"Barge Studio", "hello@barge.example", "26-001", "Lock keeper with a rose", "rose", "north window", "C-1", "Odo Veil", "half plate"} {
		if !slices.Contains(f.Open, open) {
			t.Errorf("not open: %q", open)
		}
	}
	if !slices.Contains(f.OpenNames, "Odo Veil") || slices.Contains(f.OpenNames, "Jonet Pell") {
		t.Errorf("open names: %q", f.OpenNames)
	}
	if one, two := compile(f).digest, compile(Gather(a, day, Sources{Secrets: []Thing{{Kind: Secret, Text: galleryKey, What: "a key"}}, Ours: []string{"half plate"}})).digest; one != two {
		t.Error("the same records give another digest")
	}
}

// A day later a consent may have ended: what was open is forbidden then.
func TestGatherAsksTheDay(t *testing.T) {
	files := map[string]string{}
	for name, text := range records {
		files[name] = strings.Replace(text, "  given: 2026-04-01\n---", "  given: 2026-04-01\n  until: 2026-06-01\n---", 1)
	}
	a := archive(t, files)
	site := tree(t, map[string]string{"plates/x/index.html": "<h1>Lock keeper with a rose</h1><p>Odo Veil</p><p>26-001</p>"})
	if found := look(t, site, Gather(a, record.Date{Year: 2026, Month: 6, Day: 1}, Sources{}), Options{}); len(found) > 0 {
		t.Errorf("on the last day: %v", found)
	}
	found := look(t, site, Gather(a, record.Date{Year: 2026, Month: 6, Day: 2}, Sources{}), Options{})
	for _, code := range []string{"audit-name", "audit-plate", "audit-title"} {
		if !strings.Contains(codes(found), code) {
			t.Errorf("the day after: %s is missing in %s", code, codes(found))
		}
	}
}

// sealedWith is a file as a gallery holds it, of random bytes, with a text in it.
func sealedWith(text string) (file, in string) {
	r := rand.New(rand.NewPCG(3, 4))
	body := make([]byte, 16+5+16<<10+17)
	for i := range body {
		body[i] = byte(r.Uint32())
	}
	copy(body[16:], []byte{0, 1, 0, 0, 0})
	copy(body[1000:], text)
	return string(body), text
}

// Whatever happens between two audits, the one with a cache finds what one without
// finds.
func TestCacheAgainstNone(t *testing.T) {
	texts := []string{"<p>nothing</p>", "<p>Ann Fuller</p>", "<p>Ben Oakes and 26-013</p>", "{\"a\":\"Ann Fuller\"}", gzipped("Ben Oakes")}
	images := []string{coded(plate(t, again, 260)), coded(plate(t, other, 260)), coded(plate(t, sitter, 260)), "broken"}
	names := []string{"a.html", "b.html", "c.json", "d.gz", "p.jpg", "q.jpg", "r.jpg", "g/abc/s.bin", "g/abc/t.bin"}
	refs := references(t, again, remake, other, sitter)
	sealed, secret := sealedWith("a key of sixteen bytes or more")
	things := []Thing{{Kind: Name, Text: "Ann Fuller"}, {Kind: Name, Text: "Ben Oakes"}, {Kind: Plate, Text: "26-013"}, {Kind: Secret, Text: secret}}
	plainSealed, _ := sealedWith("")
	rapid.Check(t, func(rt *rapid.T) {
		root, err := os.MkdirTemp(t.TempDir(), "")
		if err != nil {
			rt.Fatal(err)
		}
		dir, cache := filepath.Join(root, "site"), filepath.Join(root, "cache")
		os.MkdirAll(filepath.Join(dir, "g", "abc"), 0o755)
		for step := range rapid.IntRange(2, 3).Draw(rt, "steps") {
			for range rapid.IntRange(0, 3).Draw(rt, "writes") {
				name := rapid.SampledFrom(names).Draw(rt, "name")
				from := texts
				switch filepath.Ext(name) {
				case ".jpg":
					from = images
				case ".bin":
					from = []string{sealed, plainSealed}
				}
				os.Remove(filepath.Join(dir, name))
				if err := os.WriteFile(filepath.Join(dir, name), []byte(rapid.SampledFrom(from).Draw(rt, "content")), 0o644); err != nil {
					rt.Fatal(err)
				}
			}
			var f Forbidden
			for i, thing := range things {
				if rapid.Bool().Draw(rt, fmt.Sprint("thing", i)) {
					f.Things = append(f.Things, thing)
				}
			}
			for i, ref := range refs {
				switch rapid.IntRange(0, 2).Draw(rt, fmt.Sprint("reference", i)) {
				case 1:
					f.Hidden = append(f.Hidden, ref)
				case 2:
					f.Shown = append(f.Shown, ref)
				}
			}
			plain, cached := look(t, dir, f, Options{}), look(t, dir, f, Options{Cache: cache})
			if fmt.Sprint(plain) != fmt.Sprint(cached) {
				rt.Fatalf("step %d: without a cache %v, with it %v", step, plain, cached)
			}
		}
	})
}

// No bytes in any file make the audit fall over.
func FuzzFile(f *testing.F) {
	for i, write := range []string{"in JSON", "as HTML in a feed", "gzip in base64", "in a card", "escaped in a style", "as numbers"} {
		_, content := writings[write](fullName)
		f.Add(content, byte(i))
	}
	endings := []string{".html", ".json", ".css", ".bin", ".gz", ".zip", ".svg", ".jpg", ".png", ".webp", ".dat"}
	dir := f.TempDir()
	f.Fuzz(func(t *testing.T, content string, ending byte) {
		name := "x" + endings[int(ending)%len(endings)]
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
		defer os.Remove(path)
		a := newAuditor(dir, forbidden(), Options{})
		a.pictures = &album{cache: a.cache, images: map[[32]byte]*published{}}
		if err := a.file(context.Background(), name); err != nil {
			t.Fatal(err)
		}
	})
}

func BenchmarkPages(b *testing.B) {
	files := map[string]string{}
	size := 0
	for i := range 300 {
		files[fmt.Sprintf("plates/%03d/index.html", i)] = page(strings.Repeat("<p>Half plate, tin, by the north window, four seconds at f/5.6.</p>\n", 100))
		size += len(files[fmt.Sprintf("plates/%03d/index.html", i)])
	}
	dir := tree(b, files)
	f := forbidden()
	for i := range 5000 {
		f.Things = append(f.Things, Thing{Kind: Name, Text: fmt.Sprintf("Given%d Family%d", i, i)}, Thing{Kind: Plate, Text: fmt.Sprintf("19-%04d", i)}, Thing{Kind: Note, Text: fmt.Sprintf("plate %d was poured too thin and left too long in the heat of the tent", i)})
	}
	b.SetBytes(int64(size))
	for b.Loop() {
		look(b, dir, f, Options{})
	}
}
