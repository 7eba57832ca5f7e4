package gallery

import (
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"sandarac/archive/consent"
)

func TestTroublesAtTheDoor(t *testing.T) {
	out, links := buildSite(t, 500, testGallery("ines", 1), testGallery("other", 1), testGallery("gone", 1))
	remove(t, filepath.Join(sealedFolder(out, links[2]), "list.bin"))
	s := serve(t, out)
	w := newWindow(t, phone)
	link := at(s, links[0])
	bare, key, _ := strings.Cut(link, "#")
	_, otherKey, _ := strings.Cut(links[1].URL, "#")
	for _, c := range []struct{ name, address, want string }{
		{"no key", bare, "This link has lost its end"},
		{"an empty key", bare + "#", "This link has lost its end"},
		{"a cut key", bare + "#" + key[:15], "This link is cut short: 15 of the 22 characters"},
		{"a key with a letter too many", bare + "#" + key + "x", "there are 23 characters"},
		{"a key with a sign that is none", bare + "#" + key[:21] + "é", "This link is not as it was sent"},
		{"another gallery's key", bare + "#" + otherKey, "This link does not open the gallery at this address"},
		{"a gallery that is gone", at(s, links[2]), "There is no gallery at this address any more."},
	} {
		t.Run(c.name, func(t *testing.T) {
			w.t = t
			got := w.trouble(c.address)
			if !strings.Contains(got, c.want) {
				t.Errorf("the door says %q, want %q", got, c.want)
			}
			if strings.Count(got, ".") < 2 {
				t.Errorf("the door does not say what to do: %q", got)
			}
			if page := eval[string](w, `document.body.innerText`); strings.Contains(page, "Ines") || strings.Contains(page, "keepers") {
				t.Errorf("the page tells of the gallery:\n%s", page)
			}
		})
	}
	w.t = t
	// A link as mail programs leave it still opens.
	w.open(bare + "#" + key + ".")
	w.quiet(s.URL)
}

// TestTroublesOfTheHost: what a host does wrong, or an attacker who owns it.
func TestTroublesOfTheHost(t *testing.T) {
	old := testGallery("ines", 2)
	oldOut, oldLinks := buildSite(t, 500, old)
	g := testGallery("ines", 2)
	g.Generation = 2
	out, links := buildSite(t, 500, g, testGallery("other", 2))
	folder := sealedFolder(out, links[0])
	read := func(path string) []byte {
		t.Helper()
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	list := read(filepath.Join(folder, "list.bin"))
	first := pictureFiles(t, out, g)[0] // the picture that the page shows first
	for _, c := range []struct {
		name, file string
		answer     func() []byte // nil: not found
		want       string
	}{
		{"a list of another gallery", "list.bin", func() []byte { return read(filepath.Join(sealedFolder(out, links[1]), "list.bin")) }, "This link does not open"},
		{"a list of an older generation", "list.bin", func() []byte { return read(filepath.Join(sealedFolder(oldOut, oldLinks[0]), "list.bin")) }, "This link does not open"},
		{"a list with a flipped bit", "list.bin", func() []byte { b := append([]byte(nil), list...); b[9000] ^= 4; return b }, "This link does not open"},
		{"a list cut short", "list.bin", func() []byte { return list[:5000] }, "This link does not open"},
		{"an empty list", "list.bin", func() []byte { return []byte{} }, "This link does not open"},
		{"a page in place of the list", "list.bin", func() []byte { return []byte("<!doctype html><title>welcome</title>") }, "There is no gallery"},
		{"a missing picture", first, nil, "This file is missing at the host."},
		{"a page in place of a picture", first, func() []byte { return []byte("<!doctype html>") }, "This file is missing at the host."},
		{"a picture with a flipped bit", first, func() []byte { b := read(filepath.Join(folder, first)); b[100] ^= 1; return b }, "was damaged or exchanged"},
		{"a picture cut short", first, func() []byte { b := read(filepath.Join(folder, first)); return b[:len(b)-1] }, "was damaged or exchanged"},
		{"a picture with a tail", first, func() []byte { return append(read(filepath.Join(folder, first)), 0) }, "was damaged or exchanged"},
		{"another picture of the gallery", first, func() []byte { return read(filepath.Join(folder, pictureFiles(t, out, g)[1])) }, "was damaged or exchanged"},
		{"a picture of another gallery", first, func() []byte {
			return read(filepath.Join(sealedFolder(out, links[1]), pictureFiles(t, out, testGallery("other", 2))[0]))
		}, "was damaged or exchanged"},
		{"a picture of an older generation", first, func() []byte {
			return read(filepath.Join(sealedFolder(oldOut, oldLinks[0]), pictureFiles(t, oldOut, old)[0]))
		}, "was damaged or exchanged"},
	} {
		t.Run(c.name, func(t *testing.T) {
			inner := http.StripPrefix("/studio", http.FileServer(http.Dir(out)))
			s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
				switch {
				case !strings.HasSuffix(r.URL.Path, "/"+c.file):
					inner.ServeHTTP(w, r)
				case c.answer == nil:
					http.NotFound(w, r)
				default:
					_, _ = w.Write(c.answer())
				}
			}))
			defer s.Close()
			w := newWindow(t, phone)
			w.goTo(at(s, links[0]))
			if c.file == "list.bin" {
				if got := w.trouble(at(s, links[0])); !strings.Contains(got, c.want) {
					t.Errorf("the door says %q, want %q", got, c.want)
				}
				return
			}
			w.until(`document.querySelector('[data-part=trouble]:not([hidden])') !== null`)
			if got := w.text(".leaf [data-part=trouble]"); !strings.Contains(got, c.want) {
				t.Errorf("the plate says %q, want %q", got, c.want)
			}
			if eval[bool](w, `document.querySelector('[data-part=picture]').naturalWidth > 0`) {
				t.Error("the picture is shown all the same")
			}
			w.quiet(s.URL)
		})
	}
}

// pictureFiles are the files of a gallery in the order in which the page needs
// them: the first plate's from small to large, then the next plate's.
func pictureFiles(t testing.TB, out string, g consent.Gallery) (names []string) {
	t.Helper()
	for _, p := range openList(t, out, g).Plates {
		for _, v := range p.Views {
			for _, s := range v.Pictures {
				names = append(names, s.File)
			}
		}
	}
	return names
}

func TestAPictureCanBeTriedAgain(t *testing.T) {
	out, links := buildSite(t, 500, testGallery("ines", 1))
	broken := true
	inner := http.StripPrefix("/studio", http.FileServer(http.Dir(out)))
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if broken && strings.HasSuffix(r.URL.Path, ".bin") && !strings.HasSuffix(r.URL.Path, "list.bin") {
			http.Error(w, "busy", http.StatusServiceUnavailable)
			return
		}
		inner.ServeHTTP(w, r)
	}))
	defer s.Close()
	w := newWindow(t, phone)
	w.goTo(at(s, links[0]))
	w.until(`document.querySelector('[data-part=trouble]:not([hidden])') !== null`)
	if got := w.text("[data-part=trouble-text]"); !strings.Contains(got, "the connection failed") {
		t.Errorf("the plate says %q", got)
	}
	broken = false
	eval[int](w, `document.querySelector('[data-part=again]').click(), 1`)
	w.until(`document.querySelector('[data-part=open][data-shown]') !== null`)
	if eval[bool](w, `!document.querySelector('[data-part=trouble]').hidden`) {
		t.Error("the trouble is still told")
	}
}

// TestAStaleListIsFetchedAgain: a cache gives an older list whose pictures have
// new names by now.
func TestAStaleListIsFetchedAgain(t *testing.T) {
	g := testGallery("ines", 1)
	oldOut, links := buildSite(t, 500, g)
	out, _ := buildSite(t, 540, g)
	lists := 0
	inner := http.StripPrefix("/studio", http.FileServer(http.Dir(out)))
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasSuffix(r.URL.Path, "/list.bin") {
			w.Header().Set("Cache-Control", "max-age=600")
			if lists++; lists == 1 {
				http.ServeFile(w, r, filepath.Join(sealedFolder(oldOut, links[0]), "list.bin"))
				return
			}
		}
		inner.ServeHTTP(w, r)
	}))
	defer s.Close()
	w := newWindow(t, phone)
	w.open(at(s, links[0]))
	if got := eval[int](w, `document.querySelector('[data-part=picture]').naturalWidth`); got != 540 {
		t.Errorf("the picture shown is %d pixels wide, want the new one's 540", got)
	}
}

func TestInsecureContext(t *testing.T) {
	out, links := buildSite(t, 500, testGallery("ines", 1))
	s := serve(t, out)
	_, port, err := net.SplitHostPort(s.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	w := newWindow(t, phone)
	got := w.trouble(strings.Replace(at(s, links[0]), s.URL, "http://insecure.test:"+port, 1))
	if !strings.Contains(got, "unprotected connection") || !strings.Contains(got, "https://") {
		t.Errorf("the door says %q", got)
	}
	w.quiet("http://insecure.test:" + port)
}

func TestFileAddress(t *testing.T) {
	out, links := buildSite(t, 500, testGallery("ines", 1))
	w := newWindow(t, phone)
	got := w.trouble("file://" + filepath.Join(sealedFolder(out, links[0]), "index.html") + "#abc")
	if !strings.Contains(got, "opened from a file on this device") || !strings.Contains(got, "https") {
		t.Errorf("the door says %q", got)
	}
}

func TestWithoutJavaScript(t *testing.T) {
	out, links := buildSite(t, 500, testGallery("ines", 1))
	s := serve(t, out)
	w := newWindow(t, phone)
	call(w, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	w.do(chromedp.Navigate(at(s, links[0])))
	got, err := chromedp.Run(w.ctx, chromedp.Text(chromedp.CSS("#door noscript")))
	if err != nil || !strings.Contains(got, "JavaScript, which is switched off") {
		t.Errorf("the page says %q, %v", got, err)
	}
	w.quiet(s.URL)
}
