package gallery

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// stage is the state of the viewer.
type stage struct {
	Open  bool    `json:"open"`
	Title string  `json:"title"`
	Alt   string  `json:"alt"`
	W     float64 `json:"w"` // of the picture on the page, CSS pixels
	Mid   float64 `json:"mid"`
	Real  int     `json:"real"` // of the file shown, pixels
	Focus string  `json:"focus"`
}

func (w *window) stage() stage {
	w.t.Helper()
	return eval[stage](w, `(() => {
		const p = document.getElementById('viewer-picture'), box = p.getBoundingClientRect();
		return { open: document.getElementById('viewer').open, title: document.getElementById('viewer-title').textContent, alt: p.alt,
			w: box.width, mid: box.left + box.width / 2, real: p.naturalWidth, focus: document.activeElement.id || document.activeElement.dataset.part || document.activeElement.tagName };
	})()`)
}

// shown waits until a picture of at least so many pixels is on the stage.
func (w *window) shown(title string, pixels int) stage {
	w.t.Helper()
	w.until(fmt.Sprintf(`document.getElementById('viewer-title').textContent.startsWith(%q) && !document.getElementById('viewer-picture').hidden && document.getElementById('viewer-picture').naturalWidth >= %d`, title, pixels))
	return w.stage()
}

func TestViewerByKeyboard(t *testing.T) {
	out, links := buildSite(t, 2400, testGallery("ines", 3))
	s := serve(t, out)
	w := newWindow(t, desk)
	w.open(at(s, links[0]))
	for range 40 { // by Tab to the second plate
		w.keys(kb.Tab)
		if eval[bool](w, `document.activeElement === document.querySelector('.leaf:nth-child(2) [data-part=open]')`) {
			break
		}
	}
	if !eval[bool](w, `document.activeElement.matches('.leaf:nth-child(2) .plate:focus-visible') && getComputedStyle(document.activeElement).outlineStyle !== 'none'`) {
		t.Fatal("the second plate cannot be reached, or does not show the focus")
	}
	w.keys(kb.Enter)
	whole := w.shown("Mr Okafor, lock keeper (2 of 3)", 480)
	if !whole.Open || whole.Focus != "viewer-stage" || whole.Alt != "Mr Okafor, lock keeper, seen from the towpath" {
		t.Errorf("opened: %+v", whole)
	}
	w.keys(kb.ArrowRight)
	w.shown("The two sisters (3 of 3)", 480)
	w.keys(kb.ArrowRight) // there is no fourth
	w.keys(kb.ArrowLeft)
	w.shown("Mr Okafor, lock keeper (2 of 3)", 480)
	w.keys("+++++")
	near := w.shown("Mr Okafor", 2400)
	if ratio := near.W / whole.W; math.Abs(ratio-math.Pow(1.5, 5)) > 0.05 {
		t.Errorf("five times closer is %.2f times, want 1.5^5 = 7.59", ratio)
	}
	w.keys(kb.ArrowRight) // moves the picture now
	if moved := w.stage(); math.Abs(moved.Mid-near.Mid+0.2*1440) > 2 || !strings.HasPrefix(moved.Title, "Mr Okafor") {
		t.Errorf("an arrow moved the picture from %.0f to %.0f", near.Mid, moved.Mid)
	}
	w.keys("0")
	if again := w.stage(); math.Abs(again.W-whole.W) > 1 {
		t.Errorf("whole again: %.0f wide, was %.0f", again.W, whole.W)
	}
	// Single characters do nothing while a button has the focus (WCAG 2.1.4).
	eval[int](w, `document.getElementById('viewer-on').focus(), 1`)
	w.keys("+")
	if same := w.stage(); math.Abs(same.W-whole.W) > 1 {
		t.Error("a plus on a button zoomed")
	}
	w.keys(kb.PageDown)
	w.shown("The two sisters (3 of 3)", 480)
	w.keys(kb.Escape)
	// Closed, the focus is on the plate last seen.
	w.until(`!document.getElementById('viewer').open && document.activeElement === document.querySelector('.leaf:nth-child(3) [data-part=open]')`)
	if held := eval[int](w, `heldURLs()`); held != 0 {
		t.Errorf("%d object URLs were never revoked", held)
	}
	w.quiet(s.URL)
}

func TestViewerByButtons(t *testing.T) {
	out, links := buildSite(t, 2400, testGallery("ines", 2))
	s := serve(t, out)
	w := newWindow(t, desk)
	w.open(at(s, links[0]))
	click := func(id string) { w.t.Helper(); w.do(chromedp.Click(chromedp.CSS("#" + id))) }
	click("look")
	whole := w.shown("Ines at the balance beam (1 of 2)", 480)
	if name := eval[string](w, `document.getElementById('viewer-back').getAttribute('aria-disabled')`); name != "true" {
		t.Error("there is a picture before the first")
	}
	click("viewer-larger")
	if near := w.stage(); math.Abs(near.W/whole.W-1.5) > 0.01 {
		t.Errorf("closer is %.2f times", near.W/whole.W)
	}
	click("viewer-smaller")
	click("viewer-larger")
	click("viewer-whole")
	if again := w.stage(); math.Abs(again.W-whole.W) > 1 {
		t.Errorf("whole again: %.0f wide, was %.0f", again.W, whole.W)
	}
	click("viewer-full")
	w.until(`document.fullscreenElement?.id === 'viewer-room'`)
	click("viewer-full")
	w.until(`document.fullscreenElement === null`)
	click("viewer-on")
	w.shown("Mr Okafor, lock keeper (2 of 2)", 480)
	if bar := eval[float64](w, `document.getElementById('viewer-bar').getBoundingClientRect().width`); bar < 30 || bar > 121 {
		t.Errorf("the scale bar is %.0f pixels long", bar)
	}
	// 83 × 108 mm: the bar's length is that of its millimetres on the plate.
	scale := eval[float64](w, `parseFloat(document.getElementById('viewer-mm').textContent) / document.getElementById('viewer-bar').getBoundingClientRect().width * document.getElementById('viewer-picture').getBoundingClientRect().height`)
	if math.Abs(scale-108) > 3 {
		t.Errorf("by the scale bar the plate is %.1f mm high, want 108", scale)
	}
	for _, b := range eval[[]string](w, `[...document.querySelectorAll('.viewer-tools button')].map((b) => b.getAttribute('aria-label') + Math.min(b.offsetWidth, b.offsetHeight))`) {
		if b[0] < 'A' || !strings.HasSuffix(b, "46") {
			t.Errorf("a button without a name, or too small: %s", b)
		}
	}
	click("viewer-close")
	w.until(`!document.getElementById('viewer').open`)
	w.quiet(s.URL)
}

// touch puts fingers at points, or lifts them all.
func (w *window) touch(kind input.DispatchTouchEventType, points ...float64) {
	w.t.Helper()
	var fingers []*input.TouchPoint
	for i := 0; i+1 < len(points); i += 2 {
		id := float64(i)
		fingers = append(fingers, &input.TouchPoint{X: points[i], Y: points[i+1], ID: &id})
	}
	call(w, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: fingers})
}

func TestViewerByTouch(t *testing.T) {
	out, links := buildSite(t, 2400, testGallery("ines", 3))
	s := serve(t, out)
	w := newWindow(t, phone)
	w.open(at(s, links[0]))
	eval[int](w, `document.getElementById('look').click(), 1`)
	whole := w.shown("Ines at the balance beam (1 of 3)", 480)
	swipe := func(from, to float64) {
		w.t.Helper()
		w.touch(input.DispatchTouchEventTypeTouchStart, from, 400)
		for i := 1.0; i <= 5; i++ {
			w.touch(input.DispatchTouchEventTypeTouchMove, from+(to-from)*i/5, 402)
		}
		w.touch(input.DispatchTouchEventTypeTouchEnd)
	}
	swipe(320, 80)
	w.shown("Mr Okafor, lock keeper (2 of 3)", 480)
	swipe(80, 320)
	w.shown("Ines at the balance beam (1 of 3)", 480)
	swipe(200, 220) // too short to mean anything
	if still := w.stage(); !strings.HasPrefix(still.Title, "Ines") || math.Abs(still.W-whole.W) > 1 {
		t.Errorf("a short swipe led to %+v", still)
	}
	// A pinch from 80 to 320 pixels apart.
	w.touch(input.DispatchTouchEventTypeTouchStart, 155, 300, 235, 300)
	for i := 1.0; i <= 6; i++ {
		w.touch(input.DispatchTouchEventTypeTouchMove, 155-20*i, 300, 235+20*i, 300)
	}
	w.touch(input.DispatchTouchEventTypeTouchEnd)
	near := w.shown("Ines", 1500)
	if ratio := near.W / whole.W; math.Abs(ratio-4) > 0.2 {
		t.Errorf("a pinch to four times the distance zoomed %.2f times", ratio)
	}
	swipe(200, 120) // moves the picture now
	if moved := w.stage(); math.Abs(moved.Mid-near.Mid+80) > 4 || !strings.HasPrefix(moved.Title, "Ines") {
		t.Errorf("a drag of 80 pixels moved the picture from %.0f to %.0f", near.Mid, moved.Mid)
	}
	tap := func() {
		w.touch(input.DispatchTouchEventTypeTouchStart, 200, 300)
		w.touch(input.DispatchTouchEventTypeTouchEnd)
	}
	tap()
	tap()
	if again := w.stage(); math.Abs(again.W-whole.W) > 1 {
		t.Errorf("after a double tap the picture is %.0f wide, want the whole at %.0f", again.W, whole.W)
	}
	w.quiet(s.URL)
}

func TestViewerByWheel(t *testing.T) {
	out, links := buildSite(t, 1600, testGallery("ines", 1))
	s := serve(t, out)
	w := newWindow(t, desk)
	w.open(at(s, links[0]))
	eval[int](w, `document.getElementById('look').click(), 1`)
	whole := w.shown("Ines", 480)
	wheel := func(x, y, delta float64) {
		w.t.Helper()
		// The protocol wants both deltas, and the library leaves out a zero.
		call(w, input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: input.DispatchMouseEventTypeMouseWheel, X: x, Y: y, DeltaX: 1e-9, DeltaY: delta})
	}
	// The point under the mouse stays where it is, up and down; sideways the
	// picture is still narrower than the window and stays in its middle.
	place := func(y float64) float64 {
		return eval[float64](w, fmt.Sprintf(`(() => { const b = document.getElementById('viewer-picture').getBoundingClientRect(); return (%f - b.top) / b.height; })()`, y))
	}
	x, y := whole.Mid, 250.0
	before := place(y)
	wheel(x, y, -300)
	w.until(fmt.Sprintf(`document.getElementById('viewer-picture').getBoundingClientRect().width > %f`, whole.W+1))
	if after := place(y); math.Abs(before-after) > 0.01 {
		t.Errorf("the point under the mouse went from %.3f to %.3f of the picture's height", before, after)
	}
	wheel(x, y, 3000)
	w.until(fmt.Sprintf(`Math.abs(document.getElementById('viewer-picture').getBoundingClientRect().width - %f) < 1`, whole.W))
	w.quiet(s.URL)
}
