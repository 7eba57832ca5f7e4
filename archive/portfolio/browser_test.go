package portfolio

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"sandarac/cmd/screens/outside"
)

// walk is a browser's tab on a finished site, served under a path that is not
// the one it was built for.
type walk struct {
	t    *testing.T
	ctx  context.Context
	root string // address of the site's root

	mu     sync.Mutex
	asked  []string
	wrongs []string
}

func startWalk(t *testing.T, out string) *walk {
	t.Helper()
	program := outside.Need(t, "chromium")
	mux := http.NewServeMux()
	mux.Handle("/elsewhere/x/", http.StripPrefix("/elsewhere/x/", http.FileServer(http.Dir(out))))
	server := httptest.NewServer(mux)
	t.Cleanup(server.Close)
	w := &walk{t: t, root: server.URL + "/elsewhere/x/"}
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
	if _, err := chromedp.Call(ctx, network.Enable, network.EnableParams{}); err != nil {
		t.Fatal(err)
	}
	return w
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

// window sets the size of the window and the visitor's colour scheme.
func (w *walk) window(width int64, scheme string) {
	w.t.Helper()
	if _, err := chromedp.Call(w.ctx, emulation.SetDeviceMetricsOverride,
		emulation.SetDeviceMetricsOverrideParams{Width: width, Height: 844, DeviceScaleFactor: 1}); err != nil {
		w.t.Fatal(err)
	}
	if _, err := chromedp.Call(w.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}, {Name: "prefers-reduced-motion", Value: "reduce"}},
	}); err != nil {
		w.t.Fatal(err)
	}
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

func (w *walk) keys(keys string) {
	w.t.Helper()
	w.do("keys", chromedp.KeyEvent(keys))
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

// kinds are an address of each kind of page.
func kinds(staged Staged, id string) map[string]string {
	return map[string]string{
		"front": "", "catalogue": "catalogue/", "catalogue page 2": "catalogue/page/2/", "plate": staged.Paths[id],
		"size": "formats/whole/", "tags": "tags/", "sitters": "before-you-come/",
	}
}

// TestAccess runs axe-core on each kind of page, at three widths and in both
// colour schemes: WCAG 2.2 A and AA, and its best practices. 320 pixels is
// also what 400 % zoom leaves of a screen of 1280 (WCAG 1.4.10).
func TestAccess(t *testing.T) {
	dir := outside.NeedNPM(t, axeCore)
	axe, err := os.ReadFile(filepath.Join(dir, "node_modules", "axe-core", "axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	site := testSite(45)
	staged, out := buildSite(t, site, testSets(t, site, t.TempDir()), Options{})
	w := startWalk(t, out)
	for name, path := range kinds(staged, site.Plates[14].ID) {
		for _, width := range []int64{320, 390, 1440} {
			for _, scheme := range []string{"light", "dark"} {
				w.window(width, scheme)
				w.open(path)
				where := fmt.Sprintf("%s at %d px, %s", name, width, scheme)
				if got := w.eval("document.documentElement.scrollWidth <= innerWidth"); got != "true" {
					t.Errorf("%s: wider than the window by %s", where, w.eval("document.documentElement.scrollWidth - innerWidth"))
				}
				w.do("axe", chromedp.Action[chromedp.Void](func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
					_, err := chromedp.Evaluate[any](string(axe)+";0")(ctx, tab)
					return chromedp.Void{}, err
				}))
				report := w.eval(`axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]})
					.then(r => JSON.stringify(r.violations.map(v => ({id: v.id, help: v.help, nodes: v.nodes.slice(0, 3).map(n => n.html.slice(0, 200) + " " + n.failureSummary)}))))`)
				var violations []struct {
					ID, Help string
					Nodes    []string
				}
				if err := json.Unmarshal([]byte(report), &violations); err != nil {
					t.Fatal(err)
				}
				for _, v := range violations {
					t.Errorf("%s: %s (%s): %s", where, v.ID, v.Help, strings.Join(v.Nodes, " | "))
				}
			}
		}
	}
	w.settled()
}

// TestPlatePage walks a plate's page by keyboard: into the close view, larger,
// about, out, with focus back where it was.
func TestPlatePage(t *testing.T) {
	site := testSite(12)
	staged, out := buildSite(t, site, testSets(t, site, t.TempDir()), Options{})
	w := startWalk(t, out)
	w.window(1000, "light")
	w.open(staged.Paths[site.Plates[11].ID])
	w.want(`document.querySelector("[data-viewer-button]").hidden`, "false")
	w.eval(`document.querySelector("[data-viewer-button]").focus()`)
	w.keys(kb.Enter)
	w.want(`document.querySelector("dialog").open`, "true")
	w.want(`document.querySelector(".viewer-picture").naturalWidth`, "904")
	w.want(`document.querySelector("dialog").contains(document.activeElement)`, "true")
	scale := func() string { return w.eval(`document.querySelector("[data-viewer-scale]").value`) }
	whole := scale()
	w.keys("+")
	w.keys("+")
	if larger := scale(); larger == whole {
		t.Errorf("the key + leaves the scale at %s", larger)
	}
	before := w.eval(`document.querySelector(".viewer-picture").style.transform`)
	w.keys(kb.ArrowDown)
	if after := w.eval(`document.querySelector(".viewer-picture").style.transform`); after == before {
		t.Errorf("the arrow key does not move the picture: %s", after)
	}
	w.keys("0")
	w.want(`document.querySelector("[data-viewer-scale]").value`, whole)
	w.keys(kb.Escape)
	w.want(`document.querySelector("dialog").open`, "false")
	w.want(`document.activeElement.hasAttribute("data-viewer-button")`, "true")
	w.settled()
}

// TestWheelAndPinch enlarges by wheel and by two fingers.
func TestWheelAndPinch(t *testing.T) {
	site := testSite(12)
	staged, out := buildSite(t, site, testSets(t, site, t.TempDir()), Options{})
	w := startWalk(t, out)
	w.window(800, "light")
	w.open(staged.Paths[site.Plates[11].ID])
	w.want(`document.querySelector("[data-viewer-button]").hidden`, "false")
	w.eval(`document.querySelector("[data-viewer-open]").click()`)
	w.want(`document.querySelector("dialog").open`, "true")
	scale := `parseInt(document.querySelector("[data-viewer-scale]").value)`
	whole := w.eval(scale)
	w.eval(`document.querySelector("[data-viewer-stage]").dispatchEvent(new WheelEvent("wheel", {deltaY: -600, clientX: 300, clientY: 300, cancelable: true}))`)
	if larger := w.eval(scale + " > " + whole); larger != "true" {
		t.Errorf("the wheel does not enlarge: %s", w.eval(scale))
	}
	w.eval(`document.querySelector("[data-viewer-zoom=fit]").click()`)
	w.want(scale, whole)
	w.eval(`(() => {
		const stage = document.querySelector("[data-viewer-stage]");
		stage.setPointerCapture = () => {};
		const send = (type, id, x) => stage.dispatchEvent(new PointerEvent(type, {pointerId: id, clientX: x, clientY: 300, button: 0}));
		send("pointerdown", 1, 380); send("pointerdown", 2, 420);
		send("pointermove", 1, 300); send("pointermove", 2, 500);
		send("pointerup", 1, 300); send("pointerup", 2, 500);
	})()`)
	if larger := w.eval(scale + " > " + whole); larger != "true" {
		t.Errorf("two fingers do not enlarge: %s", w.eval(scale))
	}
	w.settled()
}

// TestCatalogue asks the catalogue by words and filters, as a visitor would.
func TestCatalogue(t *testing.T) {
	site := testSite(45)
	_, out := buildSite(t, site, testSets(t, site, t.TempDir()), Options{})
	w := startWalk(t, out)
	w.window(1200, "light")
	w.open("catalogue/")
	w.want(`document.querySelector("form[data-catalogue]").hasAttribute("data-ready")`, "true")
	w.eval(`document.querySelector("#q").focus()`)
	w.keys("person 44")
	const shown = `[...document.querySelectorAll("[data-results] .caption-title")].map(n => n.textContent).join("; ")`
	w.want(shown, "Person 44 at a bench")
	w.want(`document.querySelector("[data-status]").textContent.trim()`, "1 plate")
	w.want(`new URLSearchParams(location.search).get("q")`, "person 44")
	w.want(`new URL(document.querySelector("[data-results] a").href).pathname.startsWith("/elsewhere/x/plates/")`, "true")
	w.want(`document.querySelector("[data-results] .stand").dataset.support`, site.Plates[44].Support)
	w.want(`document.querySelector("[data-results] img").decode().then(() => "shown")`, "shown")

	w.open("catalogue/?format=whole&support=tin")
	w.want(`document.querySelector("[data-status]").textContent.trim()`, "4 plates")
	// A plate found and a plate listed look alike: same size on the page.
	size := `Math.round(document.querySelector("[data-results] .plate")?.getBoundingClientRect().width)`
	w.want(size, fmt.Sprint(math.Round(165.1*catalogueScale)))
	w.eval(`document.querySelector("form[data-catalogue] [type=reset]").click()`)
	w.want(`document.querySelector("[data-status]").textContent.trim()`, "45 plates")
	w.settled()
}

// TestPicturesAreAsLargeAsShown: at double density no picture has over one and
// a half times the pixels it is shown with; the smallest file is always allowed.
func TestPicturesAreAsLargeAsShown(t *testing.T) {
	site := testSite(20)
	staged, out := buildSite(t, site, testSets(t, site, t.TempDir()), Options{})
	w := startWalk(t, out)
	for _, width := range []int64{390, 1440} {
		w.window(width, "light")
		if _, err := chromedp.Call(w.ctx, emulation.SetDeviceMetricsOverride,
			emulation.SetDeviceMetricsOverrideParams{Width: width, Height: 844, DeviceScaleFactor: 2}); err != nil {
			t.Fatal(err)
		}
		for name, path := range kinds(staged, site.Plates[14].ID) {
			if name == "catalogue page 2" {
				continue // there is one page of twenty
			}
			w.open(path)
			report := w.eval(`(async () => {
				for (let y = 0; y < document.documentElement.scrollHeight; y += 500) { scrollTo(0, y); await new Promise(r => setTimeout(r, 80)); }
				return JSON.stringify([...document.images].filter(i => i.currentSrc && i.complete && i.clientWidth > 0).map(i =>
					({file: Number(/full\/(\d+),/.exec(i.currentSrc)[1]), shown: i.getBoundingClientRect().width, src: i.currentSrc})));
			})()`)
			var pictures []struct {
				File, Shown float64
				Src         string
			}
			if err := json.Unmarshal([]byte(report), &pictures); err != nil {
				t.Fatal(err)
			}
			if len(pictures) == 0 && name != "sitters" && name != "tags" {
				t.Errorf("%s at %d px: no pictures", name, width)
			}
			for _, p := range pictures {
				if p.File > 1.5*2*p.Shown && p.File > float64(Widths[0]) {
					t.Errorf("%s at %d px: a file of %.0f pixels is shown %.0f wide", name, width, p.File, p.Shown)
				}
			}
		}
	}
	w.settled()
}
