package gallery

import (
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"sandarac/archive/care"
	"sandarac/archive/consent"
	"sandarac/archive/picture"
	"sandarac/archive/record"
)

// modulePage opens a page on which the gallery's modules can be imported, with
// the page's own words.
func modulePage(t *testing.T) *window {
	t.Helper()
	out, links := buildSite(t, 500, testGallery("ines", 1))
	s := serve(t, out)
	w := newWindow(t, desk)
	w.open(at(s, links[0]))
	return w
}

// module evaluates a body with m, the module called name.
func module[T any](w *window, name, body string) T {
	w.t.Helper()
	return eval[T](w, fmt.Sprintf(`import(document.querySelector('script[type=module]').src.replace('gallery.mjs', %q)).then(async (m) => { %s })`, name, body))
}

// TestReaderInTheBrowser opens the worked examples of RFC 8188, sections 3.1
// and 3.2, and refuses what must be refused.
func TestReaderInTheBrowser(t *testing.T) {
	w := modulePage(t)
	const (
		ikm1, msg1 = "yqdlZ-tYemfogSmv7Ws5PQ", "I1BsxtFttlv3u_Oo94xnmwAAEAAA-NAVub2qFgBEuQKRapoZu-IxkIva3MEB1PD-ly8Thjg"
		ikm2, msg2 = "BO3ZVPxUlnLORbVGMpbT1Q", "uNCkWiNYzKTnBN9ji3-qWAAAABkCYTHOG8chz_gnvgOqdGYovxyjuqRyJFjEDyoF1Fvkj6hQPdPHI51OEUKEpgz3SsLWIqS_uA"
	)
	open := func(ikm string, message []byte) string {
		return module[string](w, "aes128gcm.mjs", fmt.Sprintf(`
			const bytes = (s) => Uint8Array.from(atob(s), (c) => c.charCodeAt(0));
			try { return await new Blob(await m.open(bytes(%q), bytes(%q))).text(); } catch (e) { return 'refused: ' + e.kind; }`,
			base64.StdEncoding.EncodeToString(message), base64.StdEncoding.EncodeToString(raw(t, ikm))))
	}
	one, two := raw(t, msg1), raw(t, msg2)
	for _, got := range []string{open(ikm1, one), open(ikm2, two)} {
		if got != "I am the walrus" {
			t.Errorf("a worked example opened as %q", got)
		}
	}
	size := func(n byte) []byte { b := slices.Clone(one); b[19], b[18] = n, 0; return b }
	large := slices.Clone(one)
	large[17] = 2
	for name, c := range map[string]struct {
		ikm     string
		message []byte
	}{
		"after a whole record": {ikm2, two[:48]}, "within a record": {ikm2, two[:47]}, "one byte short": {ikm2, two[:72]}, "header alone": {ikm2, two[:23]},
		"without key id": {ikm2, two[:21]}, "nothing": {ikm1, nil}, "header without a record": {ikm1, one[:21]}, "a tail": {ikm1, append(slices.Clone(one), 0)},
		"records in another order": {ikm2, slices.Concat(two[:23], two[48:], two[23:48])}, "without the first record": {ikm2, slices.Concat(two[:23], two[48:])}, "the first record twice": {ikm2, slices.Concat(two[:48], two[23:])},
		"record size 17": {ikm1, size(17)}, "record size 0": {ikm1, size(0)}, "record size above the cap": {ikm1, large}, "the other key": {ikm2, one}, "no key": {"", one},
	} {
		if got := open(c.ikm, c.message); got != "refused: unreadable" {
			t.Errorf("%s: %q", name, got)
		}
	}
	for bit := range len(two) * 8 {
		if bit%5 != 0 || bit/8 == 21 || bit/8 == 22 {
			continue // a fifth of all bits; the key id means nothing
		}
		b := slices.Clone(two)
		b[bit/8] ^= 1 << (bit % 8)
		if got := open(ikm2, b); got != "refused: unreadable" {
			t.Errorf("bit %d flipped: %q", bit, got)
		}
	}
}

func raw(t *testing.T, s string) []byte {
	t.Helper()
	b, err := base64.RawURLEncoding.DecodeString(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestClockInWords(t *testing.T) {
	w := modulePage(t)
	for _, c := range []struct{ now, want string }{
		{"2026-06-15T10:10:30Z", "The varnish is still hardening. You may handle it from 15 June, 14:10; 3 h left."},
		{"2026-06-15T10:10:00Z", "The varnish is still hardening. You may handle it from 15 June, 14:10; 3 h left."},
		{"2026-06-15T10:09:00Z", "The varnish is still hardening. You may handle it from 15 June, 14:10; 4 h left."},
		{"2026-06-15T11:09:30Z", "The varnish is still hardening. You may handle it from 15 June, 14:10; 2 h 1 min left."},
		{"2026-06-15T13:09:30Z", "The varnish is still hardening. You may handle it from 15 June, 14:10; 1 min left."},
		{"2026-06-13T11:10:00Z", "The varnish is still hardening. You may handle it from 15 June, 14:10; 2 d 2 h left."},
		{"2025-12-31T13:10:00Z", "The varnish is still hardening. You may handle it from 15 June 2026, 14:10; 166 d 0 h left."},
		{"2026-06-15T13:10:00Z", "The varnish has hardened: you may handle it, by its edges."},
	} {
		got := module[string](w, "clock.mjs", fmt.Sprintf(`return m.cureSentence({ handle_from: '2026-06-15T14:10:00+01:00' }, new Date(%q)).text`, c.now))
		if got != c.want {
			t.Errorf("at %s: %q, want %q", c.now, got, c.want)
		}
	}
}

func TestZoomKeepsThePictureInItsFrame(t *testing.T) {
	w := modulePage(t)
	faults := module[[]string](w, "zoom.mjs", `
		const faults = [];
		let seed = 1;
		const random = () => (seed = (seed * 48271) % 2147483647) / 2147483647;
		for (let i = 0; i < 3000 && faults.length < 5; i++) {
			const z = new m.Zoom(200 + 9000 * random(), 200 + 9000 * random());
			z.resize(320 + 1200 * random(), 300 + 900 * random());
			for (let j = 0; j < 8; j++) {
				if (random() < 0.5) z.by(0.3 + 3 * random(), 600 * random() - 300, 600 * random() - 300);
				else z.move(900 * random() - 450, 900 * random() - 450);
				const overX = Math.max(0, (z.width - z.frameWidth) / 2), overY = Math.max(0, (z.height - z.frameHeight) / 2);
				if (!(z.zoom >= 1 && z.zoom <= z.closest + 1e-9 && Math.abs(z.x) <= overX + 1e-6 && Math.abs(z.y) <= overY + 1e-6)) faults.push(JSON.stringify(z));
			}
		}
		for (const perMM of [0.02, 0.5, 3, 7.77, 40, 333]) {
			const bar = m.scaleBar(perMM, 120);
			if (!/^[125]0*$|^0\.[125]$/.test(String(bar.mm)) || bar.pixels > 120 || bar.pixels * 2.5 < 120 && bar.mm < 500) faults.push(perMM + ' ' + JSON.stringify(bar));
		}
		return faults;`)
	for _, f := range faults {
		t.Error(f)
	}
}

// TestWords holds that the language file, the list of spoken words, the layouts
// and the scripts use the same keys.
func TestWords(t *testing.T) {
	file := func(name string) string {
		b, err := fs.ReadFile(templatesDir, name)
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	find := func(pattern, in string) (out []string) {
		for _, m := range regexp.MustCompile(pattern).FindAllStringSubmatch(in, -1) {
			out = append(out, m[1])
		}
		return out
	}
	keys := find(`(?m)^gallery_(\w+) = "`, file("shared/i18n/en.toml"))
	var layouts, scripts string
	err := fs.WalkDir(templatesDir, "gallery", func(name string, d fs.DirEntry, err error) error {
		switch {
		case strings.HasSuffix(name, ".html"):
			layouts += file(name)
		case strings.HasSuffix(name, ".mjs"), strings.HasSuffix(name, ".js"):
			scripts += file(name)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	spoken := find(`"(\w+)"`, file("gallery/layouts/_partials/gallery/words.html"))
	used := map[string]bool{}
	for _, k := range find(`i18n "gallery_(\w+)"`, layouts) {
		used[k] = true
	}
	for _, k := range spoken {
		used["say_"+k] = true
	}
	for _, k := range keys {
		if !used[k] {
			t.Errorf("gallery_%s is in the language file and nowhere else", k)
		}
		delete(used, k)
	}
	for k := range used {
		t.Errorf("gallery_%s is used and not in the language file", k)
	}
	said := find(`say\('(\w+)'`, scripts)
	said = append(said, find(`const key = [^?\n]*\? '(\w+)'`, scripts)...)
	for _, k := range said {
		if !slices.Contains(spoken, k) {
			t.Errorf("a script says %q, which the list of words lacks", k)
		}
	}
	for _, k := range find(`Trouble\('(\w+)'`, scripts) {
		if !slices.Contains(spoken, "trouble_"+k) {
			t.Errorf("trouble %q has no sentence", k)
		}
	}
	for _, k := range spoken {
		kind, name, _ := strings.Cut(k, "_")
		switch kind {
		case "support", "format": // made from the record's own word
		case "help":
			if name != "other" && !slices.Contains(spoken, "trouble_"+name) {
				t.Errorf("%q helps with no trouble", k)
			}
		case "trouble":
			if !strings.Contains(scripts, "'"+name+"'") && name != "other" {
				t.Errorf("no script has the trouble %q", name)
			}
		default:
			if name, isLine := strings.CutPrefix(k, "care_line_"); isLine {
				if !slices.Contains(careKeys(), name) {
					t.Errorf("there is no care line %q", name)
				}
				continue
			}
			if !strings.Contains(scripts, "'"+k+"'") {
				t.Errorf("no script says %q", k)
			}
		}
	}
}

// careLines are all lines of care there are, by key.
func careLines() map[string]string {
	lines := map[string]string{}
	for _, support := range []string{"tin", "aluminium", "glass", "glass-negative"} {
		for _, varnished := range []bool{true, false} {
			for _, l := range care.Lines(support, varnished, nil) {
				lines[l.Key] = l.Text
			}
		}
	}
	return lines
}

func careKeys() []string { return slices.Collect(maps.Keys(careLines())) }

// TestCareAndFormatsHaveWords: every line of care and every size that has a name
// can be said in the page's language, and in English as the records say it.
func TestCareAndFormatsHaveWords(t *testing.T) {
	body, err := fs.ReadFile(templatesDir, "shared/i18n/en.toml")
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]string{}
	for key, text := range careLines() {
		want["care_line_"+key] = text
	}
	for _, f := range record.Formats {
		want["format_"+f.Slug] = f.Name
	}
	for key, text := range want {
		if !strings.Contains(string(body), "\ngallery_say_"+key+" = \""+text+"\"\n") {
			t.Errorf("the English words lack gallery_say_%s = %q", key, text)
		}
	}
}

// TestLanguagesAgree holds every language file to the English one: the same
// keys, and in each text the same gaps.
func TestLanguagesAgree(t *testing.T) {
	files, err := fs.Glob(templatesDir, "shared/i18n/*.toml")
	if err != nil || len(files) < 2 {
		t.Fatalf("language files: %v, %v", files, err)
	}
	read := func(name string) map[string][]string {
		body, err := fs.ReadFile(templatesDir, name)
		if err != nil {
			t.Fatal(err)
		}
		out := map[string][]string{}
		for _, m := range regexp.MustCompile(`(?m)^(\w+) = "(.*)"$`).FindAllStringSubmatch(string(body), -1) {
			gaps := regexp.MustCompile(`\{\w+\}`).FindAllString(m[2], -1)
			slices.Sort(gaps)
			out[m[1]] = slices.Compact(gaps)
		}
		return out
	}
	english := read("shared/i18n/en.toml")
	for _, name := range files {
		other := read(name)
		for key, gaps := range english {
			if got, ok := other[key]; !ok || !slices.Equal(got, gaps) {
				t.Errorf("%s: %s has the gaps %v (there: %v), in English %v", name, key, got, ok, gaps)
			}
		}
		if len(other) != len(english) {
			t.Errorf("%s has %d texts, English %d", name, len(other), len(english))
		}
	}
}

func TestSpeaksTheSitesLanguage(t *testing.T) {
	g := testGallery("ines", 2)
	out := t.TempDir()
	renderPageIn(t, out, "de")
	sealInto(t, out, "", testSets(t, Jobs([]consent.Gallery{g}, picture.Rights{}), 500), g)
	links, err := Links([]consent.Gallery{g}, testSecret(t), "https://amberbarge.example/")
	if err != nil {
		t.Fatal(err)
	}
	s := serve(t, out)
	w := newWindow(t, phone)
	w.open(at(s, links[0]))
	page := w.text("#gallery")
	for _, want := range []string{"Offen bis 30. September 2099", "Ferrotypie, halbe Platte, 108 × 140 mm, gemacht am 13. Juni 2026", "Alle 2 Scans speichern", "Ausgabe 1, 2 Platten, Stand 13. Juni 2026",
		"nur an den Kanten an", "relative Feuchte, nie über 60 %"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if lang := eval[string](w, `document.documentElement.lang`); lang != "de" {
		t.Errorf("the page calls its language %q", lang)
	}
	w.quiet(s.URL)
}

// TestSaysOnlyWhatIsKnown: of a plate whose record gives neither size nor
// support, the page says neither.
func TestSaysOnlyWhatIsKnown(t *testing.T) {
	g := testGallery("ines", 2)
	g.Plates[0].Format, g.Plates[0].Support = record.Format{}, ""
	out, links := buildSite(t, 600, g)
	s := serve(t, out)
	w := newWindow(t, desk)
	w.open(at(s, links[0]))
	if got := w.text(".leaf [data-part=facts]"); got != "Collodion plate, made on 13 June 2026" {
		t.Errorf("facts %q", got)
	}
	if got := w.text("#care"); !strings.Contains(got, "Collodion plate") || strings.Count(got, "Every plate") != 1 {
		t.Errorf("the care is\n%s", got)
	}
	eval[int](w, `document.getElementById('look').click(), 1`)
	w.shown("Ines", 480)
	if !eval[bool](w, `document.getElementById('viewer-scale').hidden`) {
		t.Error("a scale is shown for a plate of unknown size")
	}
	eval[int](w, `document.getElementById('viewer-on').click(), 1`)
	w.shown("Mr Okafor", 480)
	if eval[bool](w, `document.getElementById('viewer-scale').hidden`) {
		t.Error("no scale is shown for a plate of known size")
	}
	w.quiet(s.URL)
}

// TestPolicyHoldsInTheBrowser: nothing that is injected runs or loads.
func TestPolicyHoldsInTheBrowser(t *testing.T) {
	foreign := httptest.NewServer(http.NotFoundHandler())
	defer foreign.Close()
	w := modulePage(t)
	for _, try := range []string{
		`new Promise((r) => { const s = document.createElement('script'); s.textContent = 'globalThis.hit = 1'; document.body.append(s); setTimeout(() => r(globalThis.hit !== 1), 50); })`,
		`new Promise((r) => { const e = document.createElement('p'); e.setAttribute('style', 'position: fixed'); document.body.append(e); r(getComputedStyle(e).position !== 'fixed'); })`,
		fmt.Sprintf(`fetch(%q).then(() => false, () => true)`, foreign.URL),
		fmt.Sprintf(`new Promise((r) => { const i = new Image(); i.onload = () => r(false); i.onerror = () => r(true); i.src = %q; })`, foreign.URL),
		`new Promise((r) => { const b = document.createElement('base'); b.href = 'https://elsewhere.example/'; document.head.prepend(b); r(document.baseURI.startsWith(location.origin)); })`,
	} {
		if ok, err := chromedp.Run(w.ctx, chromedp.Evaluate[bool](try, chromedp.EvalAwaitPromise)); err != nil || !ok {
			t.Errorf("the policy lets this through: %s (%v)", try, err)
		}
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if len(w.faults) < 4 {
		t.Errorf("the browser reported %d breaches of the policy: %v", len(w.faults), w.faults)
	}
}

// TestListIsPlainJSON keeps the names that the scripts read.
func TestListIsPlainJSON(t *testing.T) {
	out, _ := buildSite(t, 500, testGallery("ines", 1))
	open, _ := keysOf(t, testGallery("ines", 1))
	var l map[string]any
	if err := json.Unmarshal(openFile(t, out, open, listName), &l); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"sandarac", "gallery", "generation", "contents_of", "files", "save_as", "title", "message", "until", "studio", "plates", "care"} {
		if l[key] == nil {
			t.Errorf("the list has no %q", key)
		}
	}
}
