package search

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/jpeg"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// The policy of the public site, as a header so that it covers everything.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'self'"

// site serves the test page, the scripts and an index, and keeps a list of
// what was asked for.
type site struct {
	*httptest.Server
	mu     sync.Mutex
	asked  []string
	broken bool          // every file of the index but the directory is missing
	delay  time.Duration // before each of them
}

func startSite(t testing.TB, docs []Doc) *site {
	t.Helper()
	index := write(t, docs, Options{})
	s := &site{}
	mux := http.NewServeMux()
	page, err := os.ReadFile("testdata/catalogue.html")
	if err != nil {
		t.Fatal(err)
	}
	mux.HandleFunc("/sub/catalogue/", func(w http.ResponseWriter, r *http.Request) {
		if strings.HasPrefix(r.URL.RawQuery, "folded") { // the filters, as on a phone
			w.Write([]byte(strings.NewReplacer("<fieldset>", "<details><summary>Filters</summary><fieldset>", "</fieldset>", "</fieldset></details>",
				"<label>Year", "<label hidden>Year", "<label>Tags", "<label hidden>Tags").Replace(string(page))))
			return
		}
		w.Write(page)
	})
	mux.HandleFunc("/sub/large/", func(w http.ResponseWriter, _ *http.Request) {
		w.Write(bytes.Replace(page, []byte(`data-page-size="20"`), nil, 1))
	})
	mux.Handle("/sub/js/", http.StripPrefix("/sub/js/", scripts("../../templates/shared/js")))
	mux.Handle("/sub/index/", http.StripPrefix("/sub/index/", http.FileServer(http.Dir(index))))
	mux.HandleFunc("/sub/catalogue.css", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/css")
		fmt.Fprint(w, "img{height:auto;max-width:100%}[hidden]{display:none!important}")
	})
	mux.HandleFunc("/sub/img/", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "image/jpeg")
		jpeg.Encode(w, image.NewGray(image.Rect(0, 0, 8, 10)), nil)
	})
	mux.HandleFunc("/sub/plates/", func(w http.ResponseWriter, _ *http.Request) {
		fmt.Fprint(w, "<!doctype html><title>A plate</title><h1>A plate</h1>")
	})
	s.Server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.mu.Lock()
		s.asked = append(s.asked, r.URL.Path)
		broken, delay := s.broken, s.delay
		s.mu.Unlock()
		w.Header().Set("Content-Security-Policy", policy)
		if broken && strings.HasSuffix(r.URL.Path, ".bin") {
			http.NotFound(w, r)
			return
		}
		if strings.HasSuffix(r.URL.Path, ".bin") {
			time.Sleep(delay)
		}
		mux.ServeHTTP(w, r)
	}))
	t.Cleanup(s.Close)
	return s
}

// scripts serves modules with their type, which not every machine's table has.
func scripts(dir string) http.Handler {
	files := http.FileServer(http.Dir(dir))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/javascript")
		files.ServeHTTP(w, r)
	})
}

func (s *site) page() string { return s.URL + "/sub/catalogue/" }

// askedFor counts the requests so far whose path has the text.
func (s *site) askedFor(text string) int {
	s.mu.Lock()
	defer s.mu.Unlock()
	n := 0
	for _, path := range s.asked {
		if strings.Contains(path, text) {
			n++
		}
	}
	return n
}

func (s *site) breakIndex(broken bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.broken = broken
}

func (s *site) slowDown(delay time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.delay = delay
}

// tab is a browser's tab; each step fails the test at once with its name.
type tab struct {
	t   testing.TB
	ctx context.Context
}

// openBrowser starts Chromium. In CI it must be there.
func openBrowser(t testing.TB) *tab {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("chromium is not installed; the catalogue cannot be tested")
		}
		t.Skip("chromium is not installed")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.WindowSize(1000, 800))
	ctx, stopBrowser := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, closeTab := chromedp.NewContext(ctx)
	b := &tab{t, ctx}
	b.do("starting the browser")
	messages, done := chromedp.Console(ctx), make(chan struct{})
	go func() {
		defer close(done)
		for m, err := range messages {
			if err != nil {
				return
			}
			if m.IsException() || m.Source == "security" || m.Source == "" && m.Type == "error" {
				t.Errorf("the page complains: %v", m)
			}
		}
	}()
	t.Cleanup(func() {
		closeTab()
		<-done
		stopBrowser()
	})
	return b
}

func (b *tab) do(what string, steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	ctx, cancel := b.ctx, context.CancelFunc(func() {})
	if len(steps) > 0 { // the first call starts the browser and must not carry a limit
		ctx, cancel = context.WithTimeout(b.ctx, time.Minute)
	}
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		b.t.Fatalf("%s: %v", what, err)
	}
}

// load opens an address and waits until the script listens.
func (b *tab) load(address string) {
	b.t.Helper()
	b.do("loading "+address, chromedp.Navigate(address), chromedp.WaitReady(chromedp.CSS("form[data-ready]")))
}

// eval gives an expression's value as text.
func (b *tab) eval(expression string) string {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, time.Minute)
	defer cancel()
	value, err := chromedp.Run(ctx, chromedp.Evaluate[string]("String("+expression+")"))
	if err != nil {
		b.t.Fatalf("%s: %v", expression, err)
	}
	return value
}

// want waits until an expression has a value.
func (b *tab) want(expression, value string) {
	b.t.Helper()
	got := ""
	for end := time.Now().Add(15 * time.Second); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		if got = b.eval(expression); got == value {
			return
		}
	}
	b.t.Errorf("%s is %q, want %q", expression, got, value)
}

func (b *tab) keys(what, keys string) {
	b.t.Helper()
	b.do(what, chromedp.KeyEvent(keys))
}

const (
	status  = "document.querySelector('[data-status]').textContent"
	address = "location.search"
	focused = "document.activeElement.name || document.activeElement.id || document.activeElement.tagName"
	cards   = "document.querySelectorAll('[data-results]:not([hidden]) > li').length"
	list    = "!document.querySelector('[data-static]').hidden"
	more    = "!document.querySelector('[data-more]').hidden"
	words   = "document.querySelector('[name=q]').value"
)

// count is the text beside a checkbox.
func count(value string) string {
	return fmt.Sprintf("document.querySelector('[value=%s]').labels[0].querySelector('[data-count]').textContent", value)
}

// sentence is what the page says for a number of plates.
func sentence(n int) string {
	switch n {
	case 0:
		return "No plate matches."
	case 1:
		return "1 plate matches."
	}
	return fmt.Sprintf("%d plates match.", n)
}

func focusWords(b *tab) {
	b.t.Helper()
	b.do("focusing the words", chromedp.Focus(chromedp.CSS("[name=q]")))
}

const tabKey, space, enter = kb.Tab, " ", kb.Enter

func navigate(address string) chromedp.Action[chromedp.Void] {
	return chromedp.Navigate(address)
}

func evaluate(expression string) chromedp.Action[chromedp.Void] {
	return chromedp.Evaluate[chromedp.Void](expression)
}

// await gives the text that a promise of the page comes to.
func (b *tab) await(expression string) string {
	b.t.Helper()
	value, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatalf("%.60s: %v", expression, err)
	}
	return value
}
