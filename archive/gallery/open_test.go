package gallery

import (
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// scrollToAll brings every plate near, until all pictures are there.
func (w *window) scrollToAll() {
	w.t.Helper()
	w.until(`(document.querySelector('[data-part=open]:not([data-shown])')?.scrollIntoView(), !document.querySelector('[data-part=open]:not([data-shown])'))`)
}

func TestOpensOnAPhone(t *testing.T) {
	out, links := buildSite(t, 520, testGallery("ines", 5))
	s := serve(t, out)
	w := newWindow(t, phone)
	w.open(at(s, links[0]))
	w.scrollToAll()
	page := w.text("#gallery")
	for _, want := range []string{
		"The Amber Barge", "Ines and the lock keepers", "Thank you for holding so still.", "Open until 30 September 2099",
		"Mr Okafor, lock keeper", "Ambrotype on glass, quarter plate, 83 × 108 mm, made on 13 June 2026",
		"The lock, early", "half plate, 140 × 108 mm", // a plate held across
		"The varnish has hardened: you may handle your plates, by their edges.", "Never wipe, polish, wet or spray it.", "Iron under lacquer", "Glass breaks.",
		"Bring a plate back any time", "ask@amberbarge.example", "Anyone who has the whole link", "Edition 1, 5 plates, as of 14 June 2026",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if got := eval[int](w, `[...document.querySelectorAll('[data-part=picture]')].filter((i) => i.naturalWidth > 0 && i.alt.includes('seen from the towpath')).length`); got != 5 {
		t.Errorf("%d pictures with alternative text, want 5", got)
	}
	if held := eval[int](w, `heldURLs()`); held != 0 {
		t.Errorf("%d object URLs were never revoked", held)
	}
	if hash := eval[string](w, `location.hash`); !strings.HasSuffix(links[0].URL, hash) || len(hash) != 23 {
		t.Errorf("the address ends in %q, a bookmark of it would not open", hash)
	}
	if title := eval[string](w, `document.title`); title != "A private gallery" {
		t.Errorf("history would show %q", title)
	}
	w.quiet(s.URL)
}

// TestTextIsData: what the studio writes is shown as it is, never read as markup.
func TestTextIsData(t *testing.T) {
	g := testGallery("ines", 1)
	const evil = `<img src=x onerror="document.title='hit'"></script><script>document.title='hit'</script> {n} O'Hara & "q" <b>`
	g.Title, g.Message, g.StudioName, g.Plates[0].Title, g.Plates[0].Alt, g.Care[0] = evil, evil, evil, evil, evil, evil
	out, links := buildSite(t, 500, g)
	s := serve(t, out)
	w := newWindow(t, phone)
	w.open(at(s, links[0]))
	for _, id := range []string{"#title", "#message", "#studio", "[data-part=title]"} {
		if got := w.text(id); got != evil {
			t.Errorf("%s shows %q", id, got)
		}
	}
	if n := eval[int](w, `document.querySelectorAll('#gallery b, #gallery script, img[src=x]').length`); n != 0 {
		t.Errorf("%d elements came out of text", n)
	}
	w.quiet(s.URL)
}

func TestCureClock(t *testing.T) {
	g := testGallery("ines", 3)
	soon := time.Now().Add(-21*time.Hour - 10*time.Minute)
	g.Plates[1].Varnished = soon
	g.Plates[2].Varnished = time.Time{}
	out, links := buildSite(t, 500, g)
	s := serve(t, out)
	w := newWindow(t, phone)
	w.open(at(s, links[0]))
	zone, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	ready := soon.Add(24 * time.Hour).In(zone).Format("2 January, 15:04")
	if got := w.text("#cure"); !strings.HasPrefix(got, "One of your plates is still hardening: you may handle it from "+ready+"; ") || !regexp.MustCompile(`; (3 h|2 h \d+ min) left\.$`).MatchString(got) {
		t.Errorf("the clock says %q, want %q", got, ready)
	}
	cures := eval[[]string](w, `[...document.querySelectorAll('[data-part=cure]')].map((e) => e.textContent)`)
	for i, want := range []string{"The varnish has hardened", "The varnish is still hardening. You may handle it from " + ready, "do not touch the picture side"} {
		if !strings.Contains(cures[i], want) {
			t.Errorf("plate %d: %q, want %q", i, cures[i], want)
		}
	}
	if page := w.text("#care"); !strings.Contains(page, "Tintype, not varnished") || !strings.Contains(page, "its silver lies bare") {
		t.Error("nothing is said of the unvarnished plate")
	}
	w.quiet(s.URL)
}

func TestLettersToTheStudio(t *testing.T) {
	out, links := buildSite(t, 500, testGallery("ines", 2))
	s := serve(t, out)
	w := newWindow(t, phone)
	w.open(at(s, links[0]))
	if got := w.text("#consent-public"); got != "Published now, on the studio’s pages: Mr Okafor, lock keeper." {
		t.Errorf("published: %q", got)
	}
	for id, want := range map[string][]string{
		"mail-withdraw": {"I withdraw my consent", "publish none of these pictures", "- Ines at the balance beam (plate ines-a)\r\n- Mr Okafor, lock keeper (plate ines-b)"},
		"mail-widen":    {"I allow more", "[ ] shown in the portfolio", "(plate ines-b)\r\n\r\n[ ]"},
	} {
		href := eval[string](w, `document.getElementById('`+id+`').href`)
		u, err := url.Parse(href)
		if err != nil || u.Scheme != "mailto" || u.Opaque != "ask@amberbarge.example" {
			t.Fatalf("%s leads to %q, %v", id, href, err)
		}
		letter := u.Query().Get("subject") + "\n" + u.Query().Get("body")
		for _, part := range want {
			if !strings.Contains(letter, part) {
				t.Errorf("%s: the letter lacks %q:\n%s", id, part, letter)
			}
		}
		if strings.Contains(href, strings.Split(links[0].URL, "#")[1]) {
			t.Errorf("%s carries the gallery's key", id)
		}
	}
	w.quiet(s.URL)
}

func TestPassphrase(t *testing.T) {
	g := testGallery("ines", 2)
	g.PassphraseRequired = true
	out, links := buildSite(t, 500, g)
	s := serve(t, out)
	w := newWindow(t, phone)
	ask := func() {
		t.Helper()
		w.goTo(at(s, links[0]))
		w.until(`!document.getElementById('door-form').hidden && document.activeElement.id === 'passphrase'`)
	}
	ask()
	if page := eval[string](w, `document.body.innerText`); strings.Contains(page, "Ines") || strings.Contains(page, "Amber") {
		t.Errorf("before the passphrase the page says:\n%s", page)
	}
	for name, want := range map[string]string{"autocomplete": "current-password", "type": "password", "autocapitalize": "none"} {
		if got := eval[string](w, `document.getElementById('passphrase').getAttribute('`+name+`') ?? ''`); got != want {
			t.Errorf("%s=%q, want %q", name, got, want)
		}
	}
	w.keys("wrong-one\r")
	w.until(`document.getElementById('passphrase-trouble').textContent !== ''`)
	if got := w.text("#passphrase-trouble"); got != "That is not the passphrase of this gallery." {
		t.Errorf("a wrong passphrase: %q", got)
	}
	if !eval[bool](w, `document.activeElement.id === 'passphrase' && document.activeElement.getAttribute('aria-invalid') === 'true'`) {
		t.Error("the field is not marked, or lost the focus")
	}
	// As a phone's keyboard would have it.
	w.keys(" " + strings.ToUpper(links[0].Passphrase[:1]) + strings.ReplaceAll(links[0].Passphrase[1:], "-", " ") + " \r")
	w.until(`document.documentElement.dataset.ready !== undefined`)
	w.scrollToAll()
	if got := w.text("#title"); got != "Ines and the lock keepers" {
		t.Errorf("opened, the title is %q", got)
	}
	ask()
	eval[int](w, `document.getElementById('passphrase-show').click(), 1`)
	if got := eval[string](w, `document.getElementById('passphrase').type`); got != "text" {
		t.Errorf("shown, the field is of type %q", got)
	}
	w.quiet(s.URL)
}

// TestBytesBeforeTheFirstPicture bounds what a phone must fetch before it shows
// a picture: over 1.6 Mbit/s with 150 ms a round trip (a slow 4G line) 180 KiB
// and four round trips take 1.5 s.
func TestBytesBeforeTheFirstPicture(t *testing.T) {
	out, links := buildSite(t, 2000, testGallery("ines", 2))
	s := serve(t, out)
	w := newWindow(t, phone)
	w.throttle(150*time.Millisecond, 1.6e6/8)
	w.goTo("about:blank")
	start := time.Now()
	w.goTo(at(s, links[0]))
	w.until(`document.querySelector('[data-part=picture]').naturalWidth > 0`)
	t.Logf("first picture after %v on a slow line", time.Since(start).Round(10*time.Millisecond))
	type entry struct {
		Name string  `json:"name"`
		Size float64 `json:"size"`
	}
	entries := eval[[]entry](w, `performance.getEntriesByType('resource').map((e) => ({ name: e.name, size: e.encodedBodySize }))`)
	first := eval[float64](w, `performance.getEntriesByType('resource').filter((e) => e.name.endsWith('.bin') && !e.name.endsWith('list.bin'))[0].responseEnd`)
	total := eval[float64](w, `performance.getEntriesByType('navigation')[0].encodedBodySize`)
	before := eval[[]string](w, `performance.getEntriesByType('resource').filter((e) => e.responseEnd <= `+strconv.FormatFloat(first, 'f', -1, 64)+`).map((e) => e.name)`)
	for _, e := range entries {
		for _, name := range before {
			if e.Name == name {
				total += e.Size
			}
		}
	}
	t.Logf("%.0f KiB before the first picture, in %d files", total/1024, len(before)+1)
	lists := 0
	w.mu.Lock()
	for _, r := range w.requests {
		if strings.HasSuffix(strings.Split(r, "#")[0], "/list.bin") {
			lists++
		}
	}
	w.mu.Unlock()
	if lists != 1 {
		t.Errorf("the list was fetched %d times: what the page preloads is not what its script asks for", lists)
	}
	if total > 180<<10 {
		t.Errorf("%.0f KiB before the first picture, want at most 180: %v", total/1024, before)
	}
	w.quiet(s.URL)
}

// sealedFolder is a gallery's folder in a finished tree.
func sealedFolder(out string, link Link) string {
	return filepath.Join(out, "g", folderName(link))
}

func folderName(link Link) string {
	return strings.Split(strings.TrimPrefix(link.URL, "https://amberbarge.example/g/"), "/")[0]
}

func remove(t testing.TB, path string) {
	t.Helper()
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
}
