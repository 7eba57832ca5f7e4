package gallery

import (
	"archive/zip"
	"bytes"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	cdpbrowser "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/chromedp"
)

// saved presses a button and waits for the file that the browser saves.
func (w *window) saved(dir, selector string) (name string, body []byte) {
	w.t.Helper()
	before, err := os.ReadDir(dir)
	if err != nil {
		w.t.Fatal(err)
	}
	allow := cdpbrowser.SetDownloadBehaviorParams{Behavior: cdpbrowser.SetDownloadBehaviorBehaviorAllow, DownloadPath: dir, BrowserContextID: chromedp.FromContext(w.ctx).BrowserContextID}
	if _, err := chromedp.CallBrowser(w.ctx, cdpbrowser.SetDownloadBehavior, allow); err != nil {
		w.t.Fatal(err)
	}
	eval[int](w, `document.querySelector('`+selector+`').click(), 1`)
	for deadline := time.Now().Add(20 * time.Second); time.Now().Before(deadline); time.Sleep(30 * time.Millisecond) {
		after, err := os.ReadDir(dir)
		if err != nil {
			w.t.Fatal(err)
		}
		for _, e := range after {
			if len(after) > len(before) && !strings.HasSuffix(e.Name(), ".crdownload") && !contains(before, e.Name()) {
				body, err := os.ReadFile(filepath.Join(dir, e.Name()))
				if err == nil && len(body) > 0 {
					return e.Name(), body
				}
			}
		}
	}
	w.t.Fatalf("nothing was saved after pressing %s", selector)
	return "", nil
}

func contains(entries []os.DirEntry, name string) bool {
	for _, e := range entries {
		if e.Name() == name {
			return true
		}
	}
	return false
}

func TestSavesOneScan(t *testing.T) {
	g := testGallery("ines", 2)
	out, links := buildSite(t, 700, g)
	s := serve(t, out)
	w := newWindow(t, phone)
	w.open(at(s, links[0]))
	name, body := w.saved(t.TempDir(), ".leaf:nth-child(2) [data-part=save]")
	_, keys := keysOf(t, g)
	want := openFile(t, out, keys, openList(t, out, g).Plates[1].Views[0].Download.File)
	if name != "ines-b.jpg" || !bytes.Equal(body, want) {
		t.Errorf("saved %s of %d bytes, want ines-b.jpg of %d", name, len(body), len(want))
	}
	w.until(`document.querySelector('.leaf:nth-child(2) [data-part=status]').textContent === 'Saved as ines-b.jpg.'`)
	w.quiet(s.URL)
}

func TestSavesAllAsZIP(t *testing.T) {
	g := testGallery("ines", 3)
	g.Plates[2].ID, g.Plates[2].Masters = "Ærø #3/lock", append(g.Plates[2].Masters, "/masters/back.tif")
	out, links := buildSite(t, 700, g)
	s := serve(t, out)
	w := newWindow(t, phone)
	w.open(at(s, links[0]))
	name, body := w.saved(t.TempDir(), "#save-all")
	if name != "ines-and-the-lock-keepers.zip" {
		t.Errorf("saved as %s", name)
	}
	got := unzip(t, body)
	_, keys := keysOf(t, g)
	count := 0
	for _, p := range openList(t, out, g).Plates {
		for _, v := range p.Views {
			count++
			if want := openFile(t, out, keys, v.Download.File); !bytes.Equal(got[v.Download.SaveAs], want) {
				t.Errorf("%s in the ZIP has %d bytes, want %d", v.Download.SaveAs, len(got[v.Download.SaveAs]), len(want))
			}
		}
	}
	if len(got) != count || got["ærø-3-lock.jpg"] == nil || got["ærø-3-lock-2.jpg"] == nil {
		t.Errorf("the ZIP holds %d files, want %d", len(got), count)
	}
	w.until(`document.getElementById('saving-status').textContent === 'Saved as ines-and-the-lock-keepers.zip.'`)
	w.quiet(s.URL)
}

// unzip reads a ZIP with the standard library, checksums included.
func unzip(t *testing.T, body []byte) map[string][]byte {
	t.Helper()
	r, err := zip.NewReader(bytes.NewReader(body), int64(len(body)))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]byte{}
	for _, f := range r.File {
		if f.NonUTF8 || f.Method != zip.Store || f.Modified.Year() != 2026 {
			t.Errorf("%s: method %d, modified %v, not UTF-8 %v", f.Name, f.Method, f.Modified, f.NonUTF8)
		}
		in, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		if out[f.Name], err = io.ReadAll(in); err != nil {
			t.Errorf("%s: %v", f.Name, err)
		}
	}
	return out
}

func TestWhatCannotBeSavedIsTold(t *testing.T) {
	g := testGallery("ines", 3)
	out, links := buildSite(t, 500, g)
	l := openList(t, out, g)
	remove(t, filepath.Join(sealedFolder(out, links[0]), l.Plates[1].Views[0].Download.File))
	s := serve(t, out)
	w := newWindow(t, phone)
	w.open(at(s, links[0]))
	_, body := w.saved(t.TempDir(), "#save-all")
	if got := unzip(t, body); len(got) != 2 || got["ines-b.jpg"] != nil {
		t.Errorf("the ZIP holds %d files", len(got))
	}
	w.until(`document.getElementById('saving-stop').hidden`)
	if got := w.text("#saving-status"); !strings.HasPrefix(got, "Saved 2 of 3 scans. Not saved: Mr Okafor, lock keeper: This file is missing") {
		t.Errorf("it is told that %q", got)
	}
}

func TestSavingCanBeStopped(t *testing.T) {
	out, links := buildSite(t, 500, testGallery("ines", 2))
	release := make(chan struct{})
	inner := http.StripPrefix("/studio", http.FileServer(http.Dir(out)))
	hold := false
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if hold && strings.HasSuffix(r.URL.Path, ".bin") {
			<-release
		}
		inner.ServeHTTP(w, r)
	}))
	defer s.Close()
	defer close(release)
	w := newWindow(t, phone)
	w.open(at(s, links[0]))
	w.scrollToAll()
	hold = true
	eval[int](w, `caches && performance.clearResourceTimings(), document.getElementById('save-all').click(), document.getElementById('saving-stop').click(), 1`)
	w.until(`document.getElementById('saving-status').textContent === 'Stopped; nothing was saved.'`)
	if !eval[bool](w, `document.activeElement.id === 'save-all' && !document.getElementById('save-all').disabled`) {
		t.Error("the button cannot be pressed again, or has not the focus")
	}
}

func TestCalendar(t *testing.T) {
	g := testGallery("ines", 3)
	ready := time.Now().Add(5 * time.Hour).Truncate(time.Second)
	for i := range 2 {
		g.Plates[i].Varnished = ready.Add(-24 * time.Hour)
	}
	g.Plates[0].Title = "Ines; a long, long title that does not fit on one line of a calendar file, é\nat all"
	out, links := buildSite(t, 500, g)
	s := serve(t, out)
	w := newWindow(t, phone)
	w.open(at(s, links[0]))
	name, body := w.saved(t.TempDir(), "#calendar")
	if name != "plates.ics" {
		t.Errorf("saved as %s", name)
	}
	for _, line := range strings.Split(strings.TrimSuffix(string(body), "\r\n"), "\r\n") {
		if len(line) > 75 || strings.ContainsAny(line, "\r\n") {
			t.Errorf("line of %d octets (RFC 5545, section 3.1, allows 75): %q", len(line), line)
		}
	}
	text := strings.ReplaceAll(string(body), "\r\n ", "")
	for _, want := range []string{
		"BEGIN:VCALENDAR\r\nVERSION:2.0\r\n", "\r\nDTSTART:" + ready.UTC().Format("20060102T150405Z") + "\r\nDURATION:PT15M\r\n",
		"\r\nSUMMARY:Your plates may be handled\r\n", `Ines\; a long\, long title that does not fit on one line of a calendar file\, é\nat all\, Mr Okafor\, lock keeper`,
		"\r\nDTSTART;VALUE=DATE:20990930\r\nDTEND;VALUE=DATE:20991001\r\n", "\r\nEND:VCALENDAR\r\n",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the calendar lacks %q:\n%s", want, text)
		}
	}
	if n := len(regexp.MustCompile(`(?m)^UID:\S+\r$`).FindAllString(text, -1)); n != 2 || strings.Count(text, "BEGIN:VEVENT") != 2 {
		t.Errorf("%d events with an id, want 2", n)
	}
	w.quiet(s.URL)
}
