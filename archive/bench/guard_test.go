package bench

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"
)

// lanForm is a form open to 192.168.7.0/24 that is asked without a network.
func lanForm(t *testing.T, root string) (*Form, http.Handler) {
	t.Helper()
	f := &Form{Root: root, LAN: true, Now: at}
	f.addresses = func() ([]netip.Prefix, error) {
		// A loopback address is not listened at a second time.
		return []netip.Prefix{netip.MustParsePrefix("192.168.7.20/24"), netip.MustParsePrefix("127.0.0.1/8")}[1:], nil
	}
	if _, err := f.Listen(t.Context()); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(f.close)
	f.addresses = func() ([]netip.Prefix, error) {
		return []netip.Prefix{netip.MustParsePrefix("192.168.7.20/24")}, nil
	}
	return f, f.Handler()
}

// ask sends one request.
type ask struct {
	method, path, host, from string
	header                   map[string]string
	cookie, kind, body       string
}

func (a ask) of(h http.Handler) *httptest.ResponseRecorder {
	if a.method == "" {
		a.method = "GET"
	}
	r := httptest.NewRequest(a.method, a.path, strings.NewReader(a.body))
	r.Host, r.RemoteAddr = a.host, a.from
	for k, v := range a.header {
		r.Header.Set(k, v)
	}
	if a.kind != "" {
		r.Header.Set("Content-Type", a.kind)
	}
	if a.cookie != "" {
		r.AddCookie(&http.Cookie{Name: cookie, Value: a.cookie})
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

const (
	here     = "127.0.0.1:5000"
	near     = "192.168.7.44:5000"
	formHost = "192.168.7.20:4172"
	plain    = "application/json"
)

func TestWhoIsAnswered(t *testing.T) {
	_, lan := lanForm(t, rooms(t))
	alone := serveForm(t, rooms(t), func(f *Form) { f.Now = at })
	for _, tc := range []struct {
		name   string
		h      http.Handler
		ask    ask
		status int
	}{
		{"this machine", lan, ask{path: "/", host: "127.0.0.1:4172", from: here}, 200},
		{"by name", lan, ask{path: "/api/state", host: "localhost:4172", from: here}, 200},
		{"a phone, the page", lan, ask{path: "/", host: formHost, from: near}, 200},
		{"a phone, unpaired", lan, ask{path: "/api/state", host: formHost, from: near}, 401},
		{"a phone, the calendar", lan, ask{path: "/api/calendar.ics", host: formHost, from: near}, 401},
		{"a phone with a made-up cookie", lan, ask{path: "/api/state", host: formHost, from: near, cookie: strings.Repeat("A", 43)}, 401},
		{"a phone that says it is here", lan, ask{path: "/api/state", host: "127.0.0.1:4172", from: near}, 401},
		{"another network", lan, ask{path: "/", host: formHost, from: "192.168.8.44:5000"}, 403},
		{"the internet", lan, ask{path: "/", host: formHost, from: "203.0.113.9:5000"}, 403},
		{"a name pointed here", lan, ask{path: "/", host: "rebound.example:4172", from: near}, 421},
		{"a name with the address in it", lan, ask{path: "/", host: "192.168.7.20.rebound.example", from: here}, 421},
		{"another site", lan, ask{path: "/api/state", host: formHost, from: near, header: map[string]string{"Origin": "http://other.example"}}, 403},
		{"the other port", lan, ask{path: "/api/state", host: formHost, from: near, header: map[string]string{"Origin": "http://192.168.7.20:4170"}}, 403},
		{"another site's picture", lan, ask{path: "/api/state", host: "127.0.0.1:4172", from: here, header: map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors"}}, 403},
		{"another port of this machine", lan, ask{path: "/api/state", host: "127.0.0.1:4172", from: here, header: map[string]string{"Sec-Fetch-Site": "same-site", "Sec-Fetch-Mode": "cors"}}, 403},
		{"a link", lan, ask{path: "/", host: "127.0.0.1:4172", from: here, header: map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}}, 200},
		{"no such page", lan, ask{path: "/secret", host: "127.0.0.1:4172", from: here}, 404},
		{"up and away", lan, ask{path: "/..%2fstudio.md", host: "127.0.0.1:4172", from: here}, 404},
		{"not a verb", lan, ask{method: "DELETE", path: "/", host: "127.0.0.1:4172", from: here}, 405},
		{"without --lan, a phone", alone.form.Handler(), ask{path: "/", host: formHost, from: near}, 421},
		{"without --lan, a phone that says it is here", alone.form.Handler(), ask{path: "/", host: "127.0.0.1:1", from: near}, 403},
		{"without --lan, pairing", alone.form.Handler(), ask{method: "POST", path: "/api/pair", host: "127.0.0.1:1", from: here, kind: plain, body: `{"code":"x","name":"y"}`}, 404},
	} {
		w := tc.ask.of(tc.h)
		if w.Code != tc.status {
			t.Errorf("%s: %d %s, want %d", tc.name, w.Code, w.Body, tc.status)
		}
		policy := w.Header().Get("Content-Security-Policy")
		if !strings.Contains(policy, "default-src 'none'; script-src 'self'") || strings.Contains(policy, "unsafe") || w.Header().Get("X-Content-Type-Options") != "nosniff" {
			t.Errorf("%s: headers %v", tc.name, w.Header())
		}
	}
}

func tokenOf(t *testing.T, h http.Handler, a ask) string {
	t.Helper()
	a.path = "/api/state"
	w := a.of(h)
	var s State
	if err := json.Unmarshal(w.Body.Bytes(), &s); err != nil || s.Token == "" {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	return s.Token
}

func TestPairing(t *testing.T) {
	root := rooms(t)
	f, h := lanForm(t, root)
	phone := ask{host: formHost, from: near}
	pair := func(code string) *httptest.ResponseRecorder {
		a := phone
		a.method, a.path, a.kind, a.body = "POST", "/api/pair", plain, fmt.Sprintf(`{"code":%q,"name":"phone"}`, code)
		return a.of(h)
	}
	if w := pair("AAAA-AAAA"); w.Code != 403 {
		t.Errorf("a wrong code: %d %s", w.Code, w.Body)
	}
	w := pair(strings.ToLower(f.Pairing.Shown()))
	if w.Code != 200 || len(w.Result().Cookies()) != 1 {
		t.Fatalf("the code as it is shown: %d %s", w.Code, w.Body)
	}
	c := w.Result().Cookies()[0]
	if !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || c.Path != "/" {
		t.Errorf("%+v", c)
	}
	phone.cookie = c.Value
	token := tokenOf(t, h, phone)
	send := func(h http.Handler, token string) int {
		a := phone
		a.method, a.path, a.kind, a.body = "POST", "/api/plates", plain, string(plateEntry(entryID(1), "x", nil))
		a.header = map[string]string{"X-Bench-Token": token}
		return a.of(h).Code
	}
	if n := send(h, ""); n != 403 {
		t.Errorf("an entry without a token: %d", n)
	}
	if n := send(h, tokenOf(t, h, ask{host: "127.0.0.1:1", from: here})); n != 403 {
		t.Errorf("an entry with another page's token: %d", n)
	}
	if n := send(h, token); n != 200 {
		t.Errorf("an entry: %d", n)
	}
	// The secret itself is not on the disk, and only the owner may read what is.
	file := filepath.Join(root, ".sandarac", "bench", "devices.json")
	data, err := os.ReadFile(file)
	if err != nil || strings.Contains(string(data), c.Value) || !strings.Contains(string(data), "phone") {
		t.Errorf("%s %v", data, err)
	}
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("%v %v", info.Mode(), err)
	}
	// A server that is started again knows the device, but not its old token.
	_, h2 := lanForm(t, root)
	if n := send(h2, token); n != 403 {
		t.Errorf("an old token: %d", n)
	}
	if n := send(h2, tokenOf(t, h2, phone)); n != 200 {
		t.Errorf("after a restart: %d", n)
	}
	if err := ForgetDevices(root); err != nil {
		t.Fatal(err)
	}
	_, h3 := lanForm(t, root)
	a := phone
	a.path = "/api/state"
	if w := a.of(h3); w.Code != 401 {
		t.Errorf("after it was forgotten: %d", w.Code)
	}
}

// Guessing is stopped after a few tries a minute, and for good after sixty; a
// device is let in for thirty days.
func TestGuessingCodes(t *testing.T) {
	clock := shootDay
	p, err := NewPairing(filepath.Join(t.TempDir(), "devices.json"), func() time.Time { return clock })
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Code) != codeLength || strings.Trim(p.Code, codeLetters) != "" {
		t.Fatalf("code %q", p.Code)
	}
	secret, err := p.Pair(p.Shown(), "a")
	if err != nil || !p.Known(secret) {
		t.Fatal(err)
	}
	tried := 0
	for range 100 {
		_, err := p.Pair("22222222", "x")
		switch {
		case errors.Is(err, errWrongCode):
			tried++
		case errors.Is(err, errTooMany):
			if _, err := p.Pair(p.Code, "right, but too soon"); err == nil {
				t.Fatal("the right code within the same minute gets in")
			}
			clock = clock.Add(61 * time.Second)
		case errors.Is(err, errClosed):
			if tried != triesAtAll {
				t.Errorf("closed after %d tries", tried)
			}
			if _, err := p.Pair(p.Code, "late"); !errors.Is(err, errClosed) {
				t.Errorf("after it closed: %v", err)
			}
			if !p.Known(secret) {
				t.Error("a device that was in is put out by another's guesses")
			}
			clock = clock.Add(pairedFor)
			if p.Known(secret) {
				t.Error("a device stays in for ever")
			}
			return
		}
	}
	t.Fatal("it never closes")
}

func TestSizesAndKinds(t *testing.T) {
	root := rooms(t)
	s := serveForm(t, root, func(f *Form) { f.Now = at })
	h := s.form.Handler()
	me := ask{method: "POST", host: "127.0.0.1:1", from: here}
	token := tokenOf(t, h, ask{host: me.host, from: me.from})
	me.header = map[string]string{"X-Bench-Token": token}
	before := tree(t, root)
	for _, tc := range []struct {
		name, path, kind, body string
		status                 int
		says                   string
	}{
		{"a form", "/api/plates", "application/x-www-form-urlencoded", "id=1", 415, "application/json"},
		{"text", "/api/plates", "text/plain", `{"id":"x"}`, 415, "application/json"},
		{"no kind", "/api/plates", "", `{}`, 415, "application/json"},
		{"nothing", "/api/plates", plain, "", 400, "not an entry"},
		{"noise", "/api/plates", plain, "\x00\xff{", 400, "not an entry"},
		{"too large", "/api/plates", plain, `{"id":"` + strings.Repeat("x", entryMost) + `"}`, 413, "larger than 1024 KB"},
		{"deep", "/api/consents", plain, `{"signature":{"strokes":` + strings.Repeat("[", 20_000), 400, "not an entry"},
		{"wrong", "/api/plates", plain, string(plateEntry(entryID(1), "", map[string]string{"outcome": "=cmd|' /C calc'!A0"})), 422, "keeper, remake, scrapped"},
		{"a picture as JSON", "/api/pictures?id=" + entryID(2) + "&of=" + entryID(1), plain, "{}", 415, "image/jpeg"},
		{"a large picture", "/api/pictures?id=" + entryID(2) + "&of=" + entryID(1), "image/jpeg", strings.Repeat("x", pictureMost+1), 413, "larger than"},
		{"a picture of nothing", "/api/pictures?id=" + entryID(2) + "&of=../../x", "image/jpeg", string(photo()), 422, "a plate that the form sent before"},
		{"a picture without an id", "/api/pictures", "image/jpeg", string(photo()), 400, "16 to 40"},
	} {
		a := me
		a.path, a.kind, a.body = tc.path, tc.kind, tc.body
		w := a.of(h)
		var p problem
		if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil || w.Code != tc.status || !strings.Contains(p.Message, tc.says) {
			t.Errorf("%s: %d %s, want %d %q", tc.name, w.Code, w.Body, tc.status, tc.says)
		}
		if strings.Contains(w.Body.String(), root) {
			t.Errorf("%s: the answer tells where the archive is", tc.name)
		}
	}
	for name, content := range tree(t, root) {
		if before[name] != content {
			t.Errorf("%s was written", name)
		}
	}
	// A studio record that cannot be read is the archive's trouble, not the entry's:
	// the device keeps it and sends it again.
	studio, err := os.ReadFile(filepath.Join(root, "studio.md"))
	if err != nil {
		t.Fatal(err)
	}
	put(t, root, "studio.md", "---\nstudio: x\nbroken\n---\n")
	s.form.book.Touch()
	a := me
	a.path, a.kind, a.body = "/api/plates", plain, string(plateEntry(entryID(1), "", nil))
	if w := a.of(h); w.Code != 503 || w.Header().Get("Retry-After") == "" || !strings.Contains(w.Body.String(), "studio record") {
		t.Errorf("a broken studio record: %d %s", w.Code, w.Body)
	}
	put(t, root, "studio.md", string(studio))
	s.form.book.Touch()
	if w := a.of(h); w.Code != 200 {
		t.Errorf("mended: %d %s", w.Code, w.Body)
	}
}

// A thousand entries from eight clients over loopback: none lost, none doubled,
// each valid.
func TestAThousandEntriesOverLoopback(t *testing.T) {
	root := rooms(t)
	s := serveForm(t, root, func(f *Form) { f.Now = at })
	_, _, body := get(t, s.url+"api/state")
	var state State
	if err := json.Unmarshal([]byte(body), &state); err != nil {
		t.Fatal(err)
	}
	const clients, each = 8, 125
	start := time.Now()
	var wg sync.WaitGroup
	for c := range clients {
		wg.Add(1)
		go func() {
			defer wg.Done()
			client := &http.Client{}
			for i := range each {
				id := entryID(c*1000 + i)
				for range 1 + i%10/9 { // every tenth is sent twice
					req, err := http.NewRequest("POST", s.url+"api/plates", bytes.NewReader(plateEntry(id, id, nil)))
					if err != nil {
						t.Error(err)
						return
					}
					req.Header.Set("Content-Type", plain)
					req.Header.Set("X-Bench-Token", state.Token)
					res, err := client.Do(req)
					if err != nil {
						t.Error(err)
						return
					}
					answer, _ := io.ReadAll(res.Body)
					res.Body.Close()
					if res.StatusCode != 200 {
						t.Errorf("%d %s", res.StatusCode, answer)
						return
					}
				}
			}
		}()
	}
	wg.Wait()
	t.Logf("%d entries in %v", clients*each, time.Since(start))
	a := sound(t, root)
	marks := map[string]int{}
	for _, p := range a.Plates {
		marks[p.Light.Note]++
	}
	delete(marks, "")
	for id, n := range marks {
		if n != 1 {
			t.Errorf("%s stands in %d records", id, n)
		}
	}
	if len(marks) != clients*each || len(a.Plates) != clients*each+1 {
		t.Errorf("%d entries in %d plates", len(marks), len(a.Plates))
	}
}

// FuzzEntry: whatever is sent as an entry gets an answer, and what it writes is
// sound.
func FuzzEntry(f *testing.F) {
	f.Add(plateEntry(entryID(1), "x", map[string]string{"title": "---\nplate: stolen\n---"}), false)
	f.Add([]byte(`{"id":"`+entryID(2)+`","values":{"made":"2026-05-20","x_a":"=1"},"people":[{"name":"A\nB"}],"notes":"a: b\n---\nc"}`), false)
	f.Add([]byte(`{"id":"`+entryID(3)+`","at":"2026-05-20T10:00:00Z","name":"../x","portfolio":true,"signature":{"typed":"<svg onload=1>","strokes":[[[1,2]]],"width":9,"height":9}}`), true)
	root := rooms(f)
	l, err := OpenLogbook(f.Context(), root, at)
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, data []byte, consent bool) {
		take := l.Plate
		if consent {
			take = l.Consent
		}
		a, err := take(t.Context(), data)
		if err != nil {
			var refused *Refused
			if !errors.As(err, &refused) && !errors.Is(err, errMalformed) && !errors.Is(err, errConflict) {
				t.Fatalf("%v", err)
			}
			return
		}
		text, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(a.File)))
		if err != nil {
			t.Fatal(err)
		}
		// The record alone, read as an archive of its own.
		alone := t.TempDir()
		studio, err := os.ReadFile(filepath.Join(root, "studio.md"))
		if err != nil {
			t.Fatal(err)
		}
		put(t, alone, "studio.md", string(studio))
		put(t, alone, "r.md", string(text))
		notStolen(t, alone)
	})
}

func notStolen(t *testing.T, root string) {
	t.Helper()
	for _, p := range plates(t, root) {
		if p.ID == "stolen" {
			t.Error("an entry wrote another's id")
		}
	}
}

// The QR code on the terminal reads as the address with the code, by an
// independent reader.
func TestTerminalQR(t *testing.T) {
	zbar, err := exec.LookPath("zbarimg")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("zbarimg is not installed")
		}
		t.Skip("zbarimg is not installed")
	}
	const text = "http://192.168.7.20:4172/#pair=ABCD-EFGH"
	code, err := TerminalQR(text)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(regexp.MustCompile(`\x1b\[[0-9;]*m`).ReplaceAllString(code, ""), "\n"), "\n")
	width := 0
	for _, l := range lines {
		width = max(width, len([]rune(l)))
	}
	const scale = 6
	img := image.NewGray(image.Rect(0, 0, width*scale, 2*len(lines)*scale+8*scale))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	for y, l := range lines {
		for x, c := range []rune(l) {
			for half, dark := range []bool{c == '█' || c == '▀', c == '█' || c == '▄'} {
				if !dark {
					continue
				}
				for dy := range scale {
					for dx := range scale {
						img.SetGray(x*scale+dx, (2*y+half)*scale+dy+4*scale, color.Gray{})
					}
				}
			}
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "qr.png")
	if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(zbar, "-q", "--raw", file).Output()
	if err != nil || strings.TrimSpace(string(out)) != text {
		t.Errorf("%q %v", out, err)
	}
}
