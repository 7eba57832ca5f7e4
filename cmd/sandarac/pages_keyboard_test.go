package main

import (
	"fmt"
	"slices"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"sandarac/cmd/screens/browser"
)

// mostStops bounds a walk over a page with long lists.
const mostStops = 40

// focusJS tells what is wrong with the element that has the focus: that its ring
// does not show, that it lies outside the window, or that something covers it
// (WCAG 2.2, 2.4.7 and 2.4.11). at names it, "" when the walk has left the page.
const focusJS = `(() => {
	const e = document.activeElement;
	if (!e || e === document.body || e === document.documentElement) return { at: '', wrong: [] };
	e.dataset.seen ??= (window.seen = (window.seen ?? 0) + 1);
	const style = getComputedStyle(e), r = e.getBoundingClientRect(), wrong = [];
	if (style.outlineStyle === 'none' || parseFloat(style.outlineWidth) < 2) wrong.push('no ring: ' + style.outline);
	const x = Math.min(Math.max(r.left + r.width / 2, 0), innerWidth - 1), y = Math.min(Math.max(r.top + Math.min(r.height, innerHeight) / 2, 0), innerHeight - 1);
	if (r.width * r.height === 0 || r.bottom < 1 || r.right < 1 || r.top > innerHeight - 1 || r.left > innerWidth - 1) wrong.push('outside the window');
	else if (![...e.getClientRects()].some((b) => [[b.left + b.width / 2, b.top + b.height / 2], [b.left + 3, b.top + 3], [b.right - 3, b.bottom - 3]].some(([x, y]) => {
		const top = document.elementFromPoint(x, y);
		return top && (e.contains(top) || top.contains(e) || top.closest('label')?.control === e);
	})) && r.height < innerHeight) wrong.push('covered');
	return { at: e.dataset.seen + ' ' + e.outerHTML.slice(0, 120), wrong };
})()`

// stopsJS counts what the Tab key should come to.
const stopsJS = `[...(document.querySelector('dialog[open]') ?? document).querySelectorAll('a[href], button, input, select, textarea, summary, [tabindex="0"]')]
	.filter((e) => e.checkVisibility({ visibilityProperty: true, contentVisibilityAuto: true }) && !e.disabled && e.tabIndex >= 0 && e.getClientRects().length > 0 && e.type !== 'radio').length`

// TestKeyboard walks over every kind of page by the Tab key alone: each stop
// shows that it has the focus, none is hidden, and all that can be pressed are
// come to, up to a bound.
func TestKeyboard(t *testing.T) {
	s, roots := needSites(t)
	b := needBrowser(t)
	for _, v := range []browser.View{{Width: 390, Height: 844, Density: 1}, {Width: 1440, Height: 900, Density: 1, Dark: true}} {
		t.Run(fmt.Sprint(v.Width), func(t *testing.T) {
			tab, err := b.Open(v)
			if err != nil {
				t.Fatal(err)
			}
			defer tab.Close()
			for _, p := range s.pages {
				if err := p.Reach(tab, roots[p.Site]); err != nil {
					t.Fatalf("%s, %s: %v", p.Site, p.Name, err)
				}
				stops, err := browser.Eval[int](tab, stopsJS)
				if err != nil {
					t.Fatal(err)
				}
				seen, err := walk(tab, func(wrong string) { t.Errorf("%s, %s: %s", p.Site, p.Name, wrong) })
				if err != nil {
					t.Fatalf("%s, %s: %v", p.Site, p.Name, err)
				}
				if want := min(stops, mostStops); len(seen) < want || want == 0 {
					t.Errorf("%s, %s: the Tab key comes to %d of %d stops", p.Site, p.Name, len(seen), stops)
				}
			}
		})
	}
}

// walk presses Tab until it comes back or has gone far enough, and gives the
// stops, beginning with where the focus is, which no key brought there and which
// is not judged.
func walk(tab *browser.Tab, report func(wrong string)) ([]string, error) {
	var seen []string
	for i := range mostStops + 2 {
		stop, err := browser.Eval[struct {
			At    string
			Wrong []string
		}](tab, focusJS)
		if err != nil {
			return nil, err
		}
		if len(seen) > 0 && (stop.At == "" || slices.Contains(seen, stop.At)) {
			return seen, nil
		}
		if stop.At != "" {
			seen = append(seen, stop.At)
			for _, w := range stop.Wrong {
				if i > 0 {
					report(w + ": " + stop.At)
				}
			}
		}
		if err := tab.Do(chromedp.KeyEvent(kb.Tab)); err != nil {
			return nil, err
		}
	}
	return seen, nil
}

// movingJS names what moves: transitions and animations of any length, and
// scrolling that glides.
const movingJS = `[...document.querySelectorAll('*')].flatMap((e) => ['', '::before', '::after'].map((p) => [e, getComputedStyle(e, p)]))
	.filter(([, s]) => [s.transitionDuration, s.animationDuration].join().split(',').some((d) => parseFloat(d) > 0) || s.scrollBehavior === 'smooth')
	.map(([e]) => e.outerHTML.slice(0, 100))`

// TestReducedMotion: who asks for less motion gets none, and who does not gets
// some, so that the test can see it.
func TestReducedMotion(t *testing.T) {
	s, roots := needSites(t)
	tab, err := needBrowser(t).Open(browser.View{Width: 1440, Height: 900, Density: 1})
	if err != nil {
		t.Fatal(err)
	}
	moving := map[string]int{}
	for _, want := range []string{"reduce", "no-preference"} {
		if _, err := browser.Call(tab, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-reduced-motion", Value: want}}}); err != nil {
			t.Fatal(err)
		}
		for _, p := range s.pages {
			if err := p.Reach(tab, roots[p.Site]); err != nil {
				t.Fatalf("%s, %s: %v", p.Site, p.Name, err)
			}
			found, err := browser.Eval[[]string](tab, movingJS)
			if err != nil {
				t.Fatal(err)
			}
			moving[want] += len(found)
			if want == "reduce" && len(found) > 0 {
				t.Errorf("%s, %s: %d things move, the first is %s", p.Site, p.Name, len(found), found[0])
			}
		}
	}
	if moving["no-preference"] == 0 {
		t.Error("nothing ever moves: the test sees nothing")
	}
}
