package benchbook

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// needed ends the test when a program is missing: as a failure in CI.
func needed(t *testing.T, program string) string {
	t.Helper()
	path, err := exec.LookPath(program)
	if err == nil {
		return path
	}
	if os.Getenv("CI") == "true" {
		t.Fatalf("%s is not installed", program)
	}
	t.Skipf("%s is not installed", program)
	return ""
}

// walk is a browser's tab on a finished site, served under a path that is not
// the one it was built for.
type walk struct {
	t    *testing.T
	ctx  context.Context
	root string

	mu     sync.Mutex
	asked  []string
	wrongs []string
}

func startWalk(t *testing.T, out string) *walk {
	t.Helper()
	program := needed(t, "chromium")
	mux := http.NewServeMux()
	mux.Handle("/some/where/", http.StripPrefix("/some/where/", http.FileServer(http.Dir(out))))
	server := httptest.NewServer(mux)
	t.Cleanup(server.Close)
	w := &walk{t: t, root: server.URL + "/some/where/"}
	ctx, stop := chromedp.NewContext(context.Background(),
		chromedp.WithAllocatorOptions(chromedp.ExecPath(program), chromedp.NoSandbox),
		chromedp.WithListener(func(ev any) {
			if e, ok := ev.(*network.EventRequestWillBeSent); ok {
				w.mu.Lock()
				w.asked = append(w.asked, e.Request.URL)
				w.mu.Unlock()
			}
		}))
	w.ctx = ctx
	w.do("starting the browser")
	messages, done := chromedp.Console(ctx), make(chan struct{})
	go func() {
		defer close(done)
		for m, err := range messages {
			if err != nil {
				return
			}
			if m.IsException() || m.Source == "security" || m.Source == "network" || m.Source == "" && m.Type == "error" {
				w.mu.Lock()
				w.wrongs = append(w.wrongs, fmt.Sprint(m))
				w.mu.Unlock()
			}
		}
	}()
	t.Cleanup(func() { stop(); <-done })
	call(w, network.Enable, network.EnableParams{})
	return w
}

func call[P, R any](w *walk, method cdp.Command[P, R], params P) R {
	w.t.Helper()
	out, err := chromedp.Call(w.ctx, method, params)
	if err != nil {
		w.t.Fatal(err)
	}
	return out
}

func (w *walk) do(what string, steps ...chromedp.Action[chromedp.Void]) {
	w.t.Helper()
	ctx, cancel := w.ctx, context.CancelFunc(func() {})
	if len(steps) > 0 { // the first call starts the browser and must not carry a limit
		ctx, cancel = context.WithTimeout(w.ctx, time.Minute)
	}
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		w.t.Fatalf("%s: %v", what, err)
	}
}

// window sets the width of the window and the reader's colour scheme.
func (w *walk) window(width int64, scheme string) {
	w.t.Helper()
	call(w, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: width, Height: 844, DeviceScaleFactor: 1})
	call(w, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}, {Name: "prefers-reduced-motion", Value: "reduce"}},
	})
}

func (w *walk) open(path string) {
	w.t.Helper()
	w.do("opening "+path, chromedp.Navigate(w.root+path))
}

// eval gives an expression's value as text; a promise is waited for.
func (w *walk) eval(expression string) string {
	w.t.Helper()
	ctx, cancel := context.WithTimeout(w.ctx, time.Minute)
	defer cancel()
	value, err := chromedp.Run(ctx, chromedp.Evaluate[string]("(async () => String(await ("+expression+")))()", chromedp.EvalAwaitPromise))
	if err != nil {
		w.t.Fatalf("%.200s: %v", expression, err)
	}
	return value
}

// want waits until an expression has a value.
func (w *walk) want(expression, value string) {
	w.t.Helper()
	got := ""
	for end := time.Now().Add(15 * time.Second); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		if got = w.eval(expression); got == value {
			return
		}
	}
	w.t.Errorf("%s is %q, want %q", expression, got, value)
}

// settled holds what the whole walk must keep: nothing was asked of anyone
// else, and no page complained.
func (w *walk) settled() {
	w.t.Helper()
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, address := range w.asked {
		if !strings.HasPrefix(address, w.root) && !strings.HasPrefix(address, "data:") && !strings.HasSuffix(address, "/favicon.ico") {
			w.t.Errorf("asked elsewhere: %s", address)
		}
	}
	for _, wrong := range w.wrongs {
		w.t.Errorf("a page complains: %s", wrong)
	}
}

// shoot leaves a picture of the whole page in the folder that
// SANDARAC_SCREENSHOTS names, to be looked at.
func (w *walk) shoot(name string) {
	w.t.Helper()
	dir := os.Getenv("SANDARAC_SCREENSHOTS")
	if dir == "" {
		return
	}
	body, err := chromedp.Run(w.ctx, chromedp.FullScreenshot(80))
	if err != nil {
		w.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, name+".jpg"), body, 0o644); err != nil {
		w.t.Fatal(err)
	}
}

// print gives the page as a PDF on A4, as the reader's own print command would
// from a dark screen.
func (w *walk) print(path string) []byte {
	w.t.Helper()
	w.window(1200, "dark")
	w.open(path)
	w.eval("Promise.all([...document.images].map((i) => { i.loading = \"eager\"; return i.decode(); }))")
	own := true
	out := call(w, cdppage.PrintToPDF, cdppage.PrintToPDFParams{PaperWidth: 210 / 25.4, PaperHeight: 297 / 25.4, PreferCSSPageSize: &own})
	return out.Data
}

// kinds are an address of each kind of page of the demo archive's bench book.
var kinds = map[string]string{
	"front": "", "plates": "plates/", "plate": "plates/26-006/", "flawed plate": "plates/26-054/", "plate without scan": "plates/26-060/",
	"batches": "batches/", "collodion": "batches/collodion-26-5/", "bath": "batches/bath-heron/", "cyanide": "batches/fixer-26-cyan/",
	"clients": "clients-list/", "client": "clients/fennick-family/", "consents": "consents/", "check": "check/",
	"records": "learned/", "groups": "learned/collodion/", "months": "learned/month/", "pairs": "learned/month-pairs/", "exposure": "learned/exposure/",
	"keepers": "learned/keepers/", "ageing": "learned/ageing/", "baths": "learned/baths/", "flaws": "learned/flaws/", "flaw": "learned/flaw-fog/",
	"papers": "papers/", "cards": "papers/client-fennick-family-cards/", "labels": "papers/client-fennick-family-labels/", "bottles": "papers/bottles/",
	"day sheet": "papers/day-sheet/", "bench card": "papers/mix-fixer-26-cyan/", "exposure table": "papers/exposure-collodion-26-5/",
}

// looks are the windows a page is opened in; axe takes a second a page.
var looks = []struct {
	width  int64
	scheme string
	axe    bool
}{{320, "light", true}, {1440, "dark", true}, {390, "light", false}, {390, "dark", false}, {1440, "light", false}}

// TestAccess runs axe-core on each kind of page, narrow and wide, light and
// dark: WCAG 2.2 A and AA, and its best practices. 320 pixels is also what
// 400 % zoom leaves of a screen of 1280 (WCAG 1.4.10).
func TestAccess(t *testing.T) {
	axe, err := os.ReadFile(filepath.Join(npmPackage(t, axeCore), "node_modules", "axe-core", "axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	_, out := demoSite(t)
	w := startWalk(t, out)
	for _, name := range sortedKeys(kinds) {
		for _, look := range looks {
			w.window(look.width, look.scheme)
			w.open(kinds[name])
			where := fmt.Sprintf("%s at %d px, %s", name, look.width, look.scheme)
			if got := w.eval("document.documentElement.scrollWidth <= innerWidth"); got != "true" {
				t.Errorf("%s: wider than the window by %s", where, w.eval("document.documentElement.scrollWidth - innerWidth"))
			}
			if look.axe {
				w.axe(string(axe), where)
			} else {
				w.shoot(fmt.Sprintf("%s-%d-%s", name, look.width, look.scheme))
			}
		}
	}
	w.settled()
}

func (w *walk) axe(script, where string) {
	w.t.Helper()
	w.do("axe", chromedp.Action[chromedp.Void](func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := chromedp.Evaluate[any](script+";0")(ctx, tab)
		return chromedp.Void{}, err
	}))
	report := w.eval(`axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]})
		.then(r => JSON.stringify(r.violations.map(v => ({id: v.id, help: v.help, nodes: v.nodes.slice(0, 3).map(n => n.html.slice(0, 200) + " " + n.failureSummary)}))))`)
	var violations []struct {
		ID, Help string
		Nodes    []string
	}
	if err := json.Unmarshal([]byte(report), &violations); err != nil {
		w.t.Fatal(err)
	}
	for _, v := range violations {
		w.t.Errorf("%s: %s (%s): %s", where, v.ID, v.Help, strings.Join(v.Nodes, " | "))
	}
}

// TestPlates asks the list of plates by words and filters, as a photographer
// would, and looks closely at a scan by keyboard.
func TestPlates(t *testing.T) {
	in, out := demoSite(t)
	w := startWalk(t, out)
	w.window(1200, "light")
	w.open("plates/")
	w.want(`document.querySelector("form[data-catalogue]").hasAttribute("data-ready")`, "true")
	w.eval(`document.querySelector("#q").focus()`)
	w.do("typing", chromedp.KeyEvent("skep cloth")) // words of the notes of 26-006
	const shown = `[...document.querySelectorAll("[data-results] .frame-title")].map(n => n.textContent.split(" ")[0]).join(" ")`
	w.want(shown, "26-006")
	scrapped := 0
	for _, p := range in.Archive.Plates {
		if p.Outcome == "scrapped" || p.Outcome == "remake" {
			scrapped++
		}
	}
	w.open("plates/?outcome=scrapped&outcome=remake")
	w.want(`document.querySelector("[data-status]").textContent.trim()`, fmt.Sprintf("%d plates match.", scrapped))
	w.want(`document.querySelector('[name=outcome][value=remake]').checked`, "true")
	w.open("plates/?batch=fixer-26-cyan&flaw=fog")
	w.want(`document.querySelector("[name=flaw]").value`, "fog")
	w.want(`document.querySelector("[data-results] a") === null || new URL(document.querySelector("[data-results] a").href).pathname.startsWith("/some/where/plates/")`, "true")

	w.open("plates/26-006/")
	w.want(`document.querySelector("[data-viewer-open] img").decode().then(() => "shown")`, "shown")
	w.eval(`document.querySelector("[data-viewer-open]").focus()`)
	w.do("opening the close view", chromedp.KeyEvent(kb.Enter))
	w.want(`document.querySelector("dialog").open`, "true")
	scale := w.eval(`document.querySelector("[data-viewer-scale]").value`)
	w.do("larger", chromedp.KeyEvent("+"))
	if larger := w.eval(`document.querySelector("[data-viewer-scale]").value`); larger == scale {
		t.Errorf("the key + leaves the scale at %s", larger)
	}
	w.do("out again", chromedp.KeyEvent(kb.Escape))
	w.want(`document.querySelector("dialog").open`, "false")
	w.want(`document.activeElement.hasAttribute("data-viewer-open")`, "true")
	w.settled()
}

// TestWithoutScript reads the book with scripts off: every page is reached by
// links alone.
func TestWithoutScript(t *testing.T) {
	in, out := demoSite(t)
	w := startWalk(t, out)
	call(w, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	seen := map[string]bool{"": true}
	for queue := []string{""}; len(queue) > 0; queue = queue[1:] {
		body, err := os.ReadFile(filepath.Join(out, filepath.FromSlash(queue[0]), "index.html"))
		if err != nil {
			t.Fatal(err)
		}
		for _, to := range links(string(body), queue[0]) {
			if !seen[to] {
				seen[to] = true
				queue = append(queue, to)
			}
		}
	}
	s := newStage(in, "")
	for _, p := range in.Archive.Plates {
		if !seen[s.platePath(p)] {
			t.Errorf("no link leads to plate %s", p.ID)
		}
	}
	for id := range in.Archive.Batches {
		if !seen[s.batchPath(id)] {
			t.Errorf("no link leads to batch %s", id)
		}
	}
	for name, path := range kinds {
		if !seen[path] {
			t.Errorf("no link leads to %s (%s)", name, path)
		}
	}
	w.window(1000, "light")
	w.open("plates/")
	w.want(`document.querySelector("form[data-catalogue]").hasAttribute("data-ready")`, "false")
	w.want(`document.querySelector("[data-static] .frame-title").checkVisibility()`, "true")
	w.want(`document.querySelector("noscript p").checkVisibility()`, "true")
}
