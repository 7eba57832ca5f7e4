package gallery

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// browser is the one Chromium of the tests; every test has a window of its own.
var browser struct {
	once sync.Once
	ctx  context.Context
	stop func()
	err  error
}

func TestMain(m *testing.M) {
	code := m.Run()
	if browser.stop != nil {
		browser.stop()
	}
	os.Exit(code)
}

func startBrowser() {
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		browser.err = fmt.Errorf("no Chromium on PATH")
		return
	}
	options := append(slices.Clone(chromedp.DefaultExecAllocatorOptions[:]),
		chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.Flag("disable-background-networking", true),
		// A name that is not loopback, for the test of an insecure context.
		chromedp.Flag("host-resolver-rules", "MAP insecure.test 127.0.0.1"),
	)
	allocator, stopAllocator := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, stopBrowser := chromedp.NewContext(allocator)
	browser.ctx, browser.stop = ctx, func() { stopBrowser(); stopAllocator() }
	browser.err = chromedp.Do(ctx)
}

// window is a browser window with what happened in it.
type window struct {
	t   *testing.T
	ctx context.Context

	mu       sync.Mutex
	requests []string
	faults   []string // exceptions and errors of the console
}

// size of a window in CSS pixels.
type size struct {
	width, height int64
	scale         float64
	phone         bool
}

var (
	phone = size{390, 844, 3, true}
	desk  = size{1440, 900, 1, false}
)

// newWindow opens a private window that times out, and watches it.
func newWindow(t *testing.T, s size) *window {
	t.Helper()
	browser.once.Do(startBrowser)
	if browser.err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal(browser.err)
		}
		t.Skip(browser.err)
	}
	ctx, cancel := chromedp.NewContext(browser.ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	w := &window{t: t, ctx: ctx}
	if err := chromedp.Listen(ctx, w.see); err != nil {
		t.Fatal(err)
	}
	w.ctx, cancel = context.WithTimeout(ctx, 90*time.Second)
	t.Cleanup(cancel)
	call(w, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: countURLs})
	call(w, network.Enable, network.EnableParams{})
	call(w, log.Enable, cdp.Empty{})
	call(w, runtime.Enable, cdp.Empty{})
	call(w, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: s.width, Height: s.height, DeviceScaleFactor: s.scale, Mobile: s.phone})
	call(w, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: s.phone, MaxTouchPoints: 5})
	call(w, emulation.SetTimezoneOverride, emulation.SetTimezoneOverrideParams{TimezoneID: "Europe/London"})
	return w
}

// countURLs keeps count of the object URLs that a page holds.
const countURLs = `{
	const make = URL.createObjectURL, drop = URL.revokeObjectURL, held = new Set();
	URL.createObjectURL = (b) => { const u = make.call(URL, b); held.add(u); return u; };
	URL.revokeObjectURL = (u) => { held.delete(u); drop.call(URL, u); };
	globalThis.heldURLs = () => held.size;
}`

// see notes what happens in the window.
func (w *window) see(event any) {
	w.mu.Lock()
	defer w.mu.Unlock()
	switch e := event.(type) {
	case *network.EventRequestWillBeSent:
		w.requests = append(w.requests, e.Request.URL)
	case *runtime.EventExceptionThrown:
		w.faults = append(w.faults, fmt.Sprintf("%s %s:%d", e.ExceptionDetails.Text, e.ExceptionDetails.URL, e.ExceptionDetails.LineNumber))
		if x := e.ExceptionDetails.Exception; x != nil {
			w.faults = append(w.faults, x.Description)
		}
	case *runtime.EventConsoleAPICalled:
		if e.Type == runtime.ConsoleAPICalledTypeError {
			for _, arg := range e.Args {
				w.faults = append(w.faults, "console: "+arg.Description)
			}
		}
	case *log.EventEntryAdded:
		if e.Entry.Level == log.EntryLevelError && e.Entry.Source != log.EntrySourceNetwork {
			w.faults = append(w.faults, e.Entry.Text)
		}
	}
}

// call sends a command of the DevTools protocol.
func call[P, R any](w *window, command cdp.Command[P, R], params P) R {
	w.t.Helper()
	out, err := chromedp.Call(w.ctx, command, params)
	if err != nil {
		w.t.Fatal(err)
	}
	return out
}

func (w *window) do(actions ...chromedp.Action[chromedp.Void]) {
	w.t.Helper()
	if err := chromedp.Do(w.ctx, actions...); err != nil {
		w.t.Fatal(err)
	}
}

// eval runs an expression, awaiting promises.
func eval[T any](w *window, expression string) T {
	w.t.Helper()
	out, err := chromedp.Run(w.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		w.t.Fatal(err)
	}
	return out
}

// text is the text of an element as a reader finds it.
func (w *window) text(selector string) string {
	w.t.Helper()
	return strings.TrimSpace(eval[string](w, fmt.Sprintf(`document.querySelector(%q)?.innerText ?? '(no such element)'`, selector)))
}

// until waits for an expression to be true. A page that is just being replaced
// by another fails the expression once and is asked again.
func (w *window) until(expression string) {
	w.t.Helper()
	var err error
	for deadline := time.Now().Add(20 * time.Second); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		var is bool
		if is, err = chromedp.Run(w.ctx, chromedp.Evaluate[bool](expression)); is {
			return
		}
	}
	page := eval[string](w, `document.querySelector('dialog[open], #door:not([hidden])')?.innerText ?? document.body.innerText.slice(0, 600)`)
	w.mu.Lock()
	defer w.mu.Unlock()
	w.t.Fatalf("never came true: %s: %v\nfaults: %v\nthe page says:\n%s", expression, err, w.faults, page)
}

// goTo loads an address afresh, also one that differs only in its fragment.
func (w *window) goTo(address string) {
	w.t.Helper()
	w.do(chromedp.Navigate("about:blank"), chromedp.Navigate(address))
}

// open opens a gallery and waits until it is whole.
func (w *window) open(address string) {
	w.t.Helper()
	w.goTo(address)
	w.until(`document.documentElement.dataset.ready !== undefined`)
	w.until(`document.querySelector('[data-part=open][data-shown]') !== null`)
}

// trouble opens an address and gives the sentence that the door says.
func (w *window) trouble(address string) string {
	w.t.Helper()
	w.goTo(address)
	w.until(`!document.getElementById('door-trouble').hidden`)
	return w.text("#door-trouble")
}

// keys types into whatever has the focus.
func (w *window) keys(text string) {
	w.t.Helper()
	w.do(chromedp.KeyEvent(text))
}

// throttle makes the line slow: a delay per answer, and bytes a second.
func (w *window) throttle(latency time.Duration, bytesPerSecond float64) {
	w.t.Helper()
	call(w, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{MatchedNetworkConditions: []*network.Conditions{{
		Latency: float64(latency.Milliseconds()), DownloadThroughput: bytesPerSecond, UploadThroughput: bytesPerSecond,
	}}})
}

// quiet fails the test if a script failed, the policy was broken, or anything
// was asked of another host.
func (w *window) quiet(origin string) {
	w.t.Helper()
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, f := range w.faults {
		w.t.Errorf("in the browser: %s", f)
	}
	for _, r := range w.requests {
		if strings.HasPrefix(r, "blob:") || r == "about:blank" {
			continue
		}
		u, err := url.Parse(r)
		if err != nil || u.Scheme+"://"+u.Host != origin {
			w.t.Errorf("request off the origin: %s", r)
		}
	}
	if len(w.requests) == 0 {
		w.t.Error("no request was seen at all")
	}
}
