package bench

import (
	"context"
	"fmt"
	"net"
	"net/http"
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
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
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
	)
	allocator, stopAllocator := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, stopBrowser := chromedp.NewContext(allocator)
	browser.ctx, browser.stop = ctx, func() { stopBrowser(); stopAllocator() }
	browser.err = chromedp.Do(ctx)
}

// handheld is a browser window with what happened in it, and how often it was
// tapped.
type handheld struct {
	t    *testing.T
	ctx  context.Context
	taps int

	mu       sync.Mutex
	requests []string
	faults   []string
}

// size of a window in CSS pixels.
type size struct {
	width, height int64
}

var (
	phone  = size{390, 844}
	tablet = size{820, 1180}
)

// newHandheld opens a private window with a touch screen.
func newHandheld(t *testing.T, s size) *handheld {
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
	d := &handheld{t: t, ctx: ctx}
	if err := chromedp.Listen(ctx, d.see); err != nil {
		t.Fatal(err)
	}
	d.ctx, cancel = context.WithTimeout(ctx, 3*time.Minute)
	t.Cleanup(cancel)
	call(d, network.Enable, network.EnableParams{})
	call(d, log.Enable, cdp.Empty{})
	call(d, runtime.Enable, cdp.Empty{})
	call(d, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: s.width, Height: s.height, DeviceScaleFactor: 2, Mobile: true})
	call(d, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: true, MaxTouchPoints: 5})
	call(d, emulation.SetTimezoneOverride, emulation.SetTimezoneOverrideParams{TimezoneID: "Europe/Dublin"})
	return d
}

func (d *handheld) see(event any) {
	d.mu.Lock()
	defer d.mu.Unlock()
	switch e := event.(type) {
	case *network.EventRequestWillBeSent:
		d.requests = append(d.requests, e.Request.URL)
	case *runtime.EventExceptionThrown:
		d.faults = append(d.faults, fmt.Sprintf("%s %s:%d", e.ExceptionDetails.Text, e.ExceptionDetails.URL, e.ExceptionDetails.LineNumber))
		if x := e.ExceptionDetails.Exception; x != nil {
			d.faults = append(d.faults, x.Description)
		}
	case *runtime.EventConsoleAPICalled:
		if e.Type == runtime.ConsoleAPICalledTypeError {
			for _, arg := range e.Args {
				d.faults = append(d.faults, "console: "+arg.Description)
			}
		}
	case *log.EventEntryAdded:
		if e.Entry.Level == log.EntryLevelError && e.Entry.Source != log.EntrySourceNetwork {
			d.faults = append(d.faults, e.Entry.Text)
		}
	}
}

// call sends a command of the DevTools protocol.
func call[P, R any](d *handheld, command cdp.Command[P, R], params P) R {
	d.t.Helper()
	out, err := chromedp.Call(d.ctx, command, params)
	if err != nil {
		d.t.Fatal(err)
	}
	return out
}

// eval runs an expression, awaiting promises.
func eval[T any](d *handheld, expression string) T {
	d.t.Helper()
	out, err := chromedp.Run(d.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		d.t.Fatalf("%s: %v", expression, err)
	}
	return out
}

// text is the text of an element as a reader finds it.
func (d *handheld) text(selector string) string {
	d.t.Helper()
	return strings.TrimSpace(eval[string](d, fmt.Sprintf(`document.querySelector(%q)?.innerText ?? '(no such element)'`, selector)))
}

// until waits for an expression to be true.
func (d *handheld) until(expression string) {
	d.t.Helper()
	var err error
	for deadline := time.Now().Add(40 * time.Second); time.Now().Before(deadline); time.Sleep(25 * time.Millisecond) {
		var is bool
		if is, err = chromedp.Run(d.ctx, chromedp.Evaluate[bool](expression)); is {
			return
		}
	}
	said := eval[string](d, `(document.querySelector('dialog[open]') ?? document.body).innerText.slice(0, 900)`)
	d.mu.Lock()
	defer d.mu.Unlock()
	d.t.Fatalf("never came true: %s: %v\nfaults: %v\nthe page says:\n%s", expression, err, d.faults, said)
}

// open opens the form and waits until it is ready.
func (d *handheld) open(address string) {
	d.t.Helper()
	if err := chromedp.Do(d.ctx, chromedp.Navigate("about:blank"), chromedp.Navigate(address)); err != nil {
		d.t.Fatal(err)
	}
	d.until(`document.body?.dataset.ready === 'true'`)
}

// tap touches the middle of an element, after bringing it into view as a finger
// would by scrolling, and counts. It fails if the target is smaller than a wet
// thumb needs, or if something else lies over it.
func (d *handheld) tap(selector string) {
	d.t.Helper()
	d.until(fmt.Sprintf(`(() => { const e = document.querySelector(%q); return e !== null && e.getClientRects().length > 0 && !e.disabled; })()`, selector))
	box := eval[struct {
		X, Y, W, H float64
		Hit        bool
	}](d, fmt.Sprintf(`(() => {
		const e = document.querySelector(%q);
		let r = e.getBoundingClientRect();
		if (r.top < 60 || r.bottom > innerHeight - 80) e.scrollIntoView({block: 'center', behavior: 'instant'});
		r = e.getBoundingClientRect();
		const x = r.left + r.width / 2, y = r.top + r.height / 2, at = document.elementFromPoint(x, y);
		return {X: x, Y: y, W: r.width, H: r.height, Hit: e === at || e.contains(at)};
	})()`, selector))
	if !box.Hit {
		d.t.Fatalf("something lies over %s", selector)
	}
	if box.H < 44 || box.W < 44 {
		d.t.Errorf("%s is %.0f × %.0f px, too small for a wet thumb", selector, box.W, box.H)
	}
	point := []*input.TouchPoint{{X: box.X, Y: box.Y}}
	call(d, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: input.DispatchTouchEventTypeTouchStart, TouchPoints: point})
	call(d, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: input.DispatchTouchEventTypeTouchEnd, TouchPoints: []*input.TouchPoint{}})
	d.taps++
}

// fill types into a field.
func (d *handheld) fill(selector, text string) {
	d.t.Helper()
	eval[bool](d, fmt.Sprintf(`(() => { const e = document.querySelector(%q); e.focus(); e.value = %q; e.dispatchEvent(new Event('input', {bubbles: true})); return true; })()`, selector, text))
}

// offline pulls the network, or puts it back.
func (d *handheld) offline(off bool) {
	d.t.Helper()
	conditions := []*network.Conditions{}
	if off {
		conditions = append(conditions, &network.Conditions{Offline: true, DownloadThroughput: -1, UploadThroughput: -1})
	}
	call(d, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{EmulateOfflineServiceWorker: &off, MatchedNetworkConditions: conditions})
	call(d, network.OverrideNetworkState, network.OverrideNetworkStateParams{Offline: off, DownloadThroughput: -1, UploadThroughput: -1})
}

// quiet fails the test if a script failed, the policy was broken, or anything
// was asked of another host.
func (d *handheld) quiet(origin string) {
	d.t.Helper()
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, f := range d.faults {
		d.t.Errorf("in the browser: %s", f)
	}
	for _, r := range d.requests {
		if strings.HasPrefix(r, "blob:") || r == "about:blank" {
			continue
		}
		if u, err := url.Parse(r); err != nil || u.Scheme+"://"+u.Host != strings.TrimSuffix(origin, "/") {
			d.t.Errorf("request off the origin: %s", r)
		}
	}
	if len(d.requests) == 0 {
		d.t.Error("no request was seen at all")
	}
}

// formServer serves the form of an archive; it can be stopped and started again
// at the same address.
type formServer struct {
	t    *testing.T
	root string
	url  string
	urls []string
	form *Form
	stop context.CancelFunc
	done chan error
}

func serveForm(t *testing.T, root string, prepare func(*Form)) *formServer {
	t.Helper()
	s := &formServer{t: t, root: root}
	s.start(0, prepare)
	t.Cleanup(s.halt)
	return s
}

func (s *formServer) start(port int, prepare func(*Form)) {
	s.t.Helper()
	s.form = &Form{Root: s.root, Port: port}
	if prepare != nil {
		prepare(s.form)
	}
	ctx, stop := context.WithCancel(context.Background())
	urls, err := s.form.Listen(ctx)
	if err != nil {
		s.t.Fatal(err)
	}
	s.url, s.urls, s.stop, s.done = urls[0], urls, stop, make(chan error, 1)
	go func() { s.done <- s.form.Serve(ctx) }()
}

// halt stops the server as Ctrl-C would.
func (s *formServer) halt() {
	if s.stop == nil {
		return
	}
	s.stop()
	s.stop = nil
	if err := <-s.done; err != nil {
		s.t.Error(err)
	}
}

// again starts it at the address it had.
func (s *formServer) again() {
	s.t.Helper()
	_, port, err := net.SplitHostPort(strings.TrimSuffix(strings.TrimPrefix(s.url, "http://"), "/"))
	if err != nil {
		s.t.Fatal(err)
	}
	n := 0
	fmt.Sscan(port, &n)
	s.start(n, nil)
}

// get asks the server for something outside of a browser.
func get(t *testing.T, url string) (int, http.Header, string) {
	t.Helper()
	res, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	var b strings.Builder
	buf := make([]byte, 1<<16)
	for {
		n, err := res.Body.Read(buf)
		b.Write(buf[:n])
		if err != nil {
			break
		}
	}
	return res.StatusCode, res.Header, b.String()
}
