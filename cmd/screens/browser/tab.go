package browser

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// View is how a page is looked at: the window in CSS pixels, device pixels to
// each, whether it is a phone, and the colour scheme asked for.
type View struct {
	Width, Height int64
	Density       float64
	Phone, Dark   bool
}

// Scheme is the view's colour scheme as style sheets name it.
func (v View) Scheme() string {
	if v.Dark {
		return "dark"
	}
	return "light"
}

// Tab is a private window of its own.
type Tab struct {
	ctx    context.Context
	cancel func()

	mu     sync.Mutex
	faults []string
}

// limit bounds each thing that a tab is asked to do.
const limit = time.Minute

// Open opens a window. Motion is reduced, so that nothing is caught halfway.
func (b *Browser) Open(v View) (*Tab, error) {
	ctx, cancel := chromedp.NewContext(b.ctx, chromedp.WithNewBrowserContext())
	t := &Tab{ctx: ctx, cancel: cancel}
	if err := errors.Join(chromedp.Listen(ctx, t.see), t.set(v)); err != nil {
		cancel()
		return nil, fmt.Errorf("opening a window: %w", err)
	}
	return t, nil
}

func (t *Tab) set(v View) error {
	if err := chromedp.Do(t.ctx); err != nil { // starts it, and must carry no limit
		return err
	}
	media := []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: v.Scheme()}, {Name: "prefers-reduced-motion", Value: "reduce"}}
	_, err := Call(t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: media})
	if err == nil {
		_, err = Call(t, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: v.Width, Height: v.Height, DeviceScaleFactor: v.Density, Mobile: v.Phone})
	}
	if err == nil {
		_, err = Call(t, log.Enable, cdp.Empty{})
	}
	if err == nil {
		_, err = Call(t, runtime.Enable, cdp.Empty{})
	}
	if err == nil && v.Phone {
		_, err = Call(t, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: true, MaxTouchPoints: 5})
	}
	return err
}

// see notes what goes wrong in the window: scripts that fail, and what the
// browser itself reports, such as a break of the page's policy.
func (t *Tab) see(event any) {
	said := ""
	switch e := event.(type) {
	case *runtime.EventExceptionThrown:
		said = e.ExceptionDetails.Text
		if x := e.ExceptionDetails.Exception; x != nil {
			said += " " + x.Description
		}
	case *runtime.EventConsoleAPICalled:
		if e.Type == runtime.ConsoleAPICalledTypeError {
			said = "an error on the console"
			for _, arg := range e.Args {
				said += " " + arg.Description
			}
		}
	case *log.EventEntryAdded:
		if e.Entry.Level == log.EntryLevelError && !strings.Contains(e.Entry.Text, "status of 404") {
			said = e.Entry.Text + " " + e.Entry.URL
		}
	}
	if said != "" {
		t.mu.Lock()
		t.faults = append(t.faults, said)
		t.mu.Unlock()
	}
}

// Faults gives what went wrong since it was last asked. That a page is missing
// is none.
func (t *Tab) Faults() []string {
	t.mu.Lock()
	defer t.mu.Unlock()
	out := t.faults
	t.faults = nil
	return out
}

// Close closes the window.
func (t *Tab) Close() { t.cancel() }

// Call sends a command of the DevTools protocol.
func Call[P, R any](t *Tab, command cdp.Command[P, R], params P) (R, error) {
	ctx, cancel := context.WithTimeout(t.ctx, limit)
	defer cancel()
	return chromedp.Call(ctx, command, params)
}

// Do runs actions of chromedp.
func (t *Tab) Do(actions ...chromedp.Action[chromedp.Void]) error {
	ctx, cancel := context.WithTimeout(t.ctx, limit)
	defer cancel()
	return chromedp.Do(ctx, actions...)
}

// Go loads an address afresh, also one that differs only in its fragment, and
// waits for its pictures in sight and its fonts.
func (t *Tab) Go(address string) error {
	if err := t.Do(chromedp.Navigate("about:blank"), chromedp.Navigate(address)); err != nil {
		return fmt.Errorf("loading %s: %w", address, err)
	}
	return nil
}

// Eval gives the value of an expression, awaiting promises.
func Eval[T any](t *Tab, expression string) (T, error) {
	ctx, cancel := context.WithTimeout(t.ctx, limit)
	defer cancel()
	value, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		return value, fmt.Errorf("%.120s: %w", expression, err)
	}
	return value, nil
}

// Until waits for an expression to be true. A page that is just being replaced
// by another fails the expression once and is asked again.
func (t *Tab) Until(expression string) error {
	var err error
	for deadline := time.Now().Add(limit); time.Now().Before(deadline); time.Sleep(30 * time.Millisecond) {
		var is bool
		if is, err = Eval[bool](t, "!!("+expression+")"); is {
			return nil
		}
	}
	return fmt.Errorf("never came true: %s: %w", expression, err)
}

// settle goes down the page a window at a time, so that pictures that load when
// they come in sight do, waits for them, and goes back.
const settle = `(async () => {
	const up = scrollY, ready = (img) => img.complete || !img.getAttribute('src');
	const inSight = (img) => { const b = img.getBoundingClientRect(); return b.width > 0 && b.bottom > 0 && b.top < innerHeight; };
	const pause = (ms) => new Promise((r) => setTimeout(r, ms));
	for (let y = 0; ; y += innerHeight) {
		scrollTo({ top: y, behavior: 'instant' });
		await pause(30);
		for (let n = 0; n < 200 && [...document.images].some((img) => inSight(img) && !ready(img)); n++) await pause(20);
		if (y + innerHeight >= document.documentElement.scrollHeight) break;
	}
	scrollTo({ top: up, behavior: 'instant' });
	await Promise.all([...document.images].filter((img) => img.complete && img.currentSrc).map((img) => img.decode().catch(() => {})));
	await document.fonts.ready;
	await pause(60);
	return true;
})()`

// Settle waits until the page looks as it will: pictures, also those further
// down, and fonts.
func (t *Tab) Settle() error {
	_, err := Eval[bool](t, settle)
	return err
}

// jpegQuality of a picture of a page: grain shows, and files stay small.
var jpegQuality int64 = 90

// Screenshot is the whole page, or the window only, as a JPEG.
func (t *Tab) Screenshot(whole bool) ([]byte, error) {
	ctx, cancel := context.WithTimeout(t.ctx, limit)
	defer cancel()
	shot, err := chromedp.Call(ctx, page.CaptureScreenshot, page.CaptureScreenshotParams{
		Format: page.CaptureScreenshotFormatJpeg, Quality: &jpegQuality, CaptureBeyondViewport: &whole,
	})
	if err != nil {
		return nil, fmt.Errorf("taking a picture: %w", err)
	}
	return shot.Data, nil
}

// A4 in inches, as the protocol counts paper.
const a4Wide, a4High = 210 / 25.4, 297 / 25.4

// Paper prints the page as a PDF of A4 sheets, with the page's own margins and
// grounds, so that a ground meant for a screen is seen.
func (t *Tab) Paper() ([]byte, error) {
	ctx, cancel := context.WithTimeout(t.ctx, limit)
	defer cancel()
	return chromedp.Run(ctx, chromedp.PrintToPDF(func(p *page.PrintToPDFParams) {
		yes := true
		p.PaperWidth, p.PaperHeight, p.PreferCSSPageSize, p.PrintBackground = a4Wide, a4High, &yes, &yes
	}))
}
