package main

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/emulation"

	"sandarac/cmd/screens/browser"
	"sandarac/cmd/screens/kind"
	"sandarac/cmd/screens/outside"
)

// axeCore checks accessibility; the version is the one these tests were written
// with.
const axeCore = "axe-core@4.14.1"

// axeRun gives what axe finds on the page as it stands, a line each.
const axeRun = `axe.run(document, { resultTypes: ['violations'] }).then((r) => r.violations.flatMap((v) =>
	v.nodes.map((n) => v.id + ': ' + v.help + ': ' + n.html.slice(0, 160) + ' ' + n.failureSummary.replace(/\s+/g, ' '))))`

// pageLooks holds what every page must keep in every view: nothing to scroll
// sideways (WCAG 2.2, 1.4.10), and nothing from another host.
const pageLooks = `(() => {
	const wide = document.documentElement.scrollWidth - document.documentElement.clientWidth;
	const abroad = performance.getEntriesByType('resource').map((r) => r.name).filter((n) => !n.startsWith('blob:') && new URL(n).origin !== location.origin);
	return [...(wide > 0 ? ['scrolls sideways by ' + wide + ' pixels'] : []), ...abroad.map((n) => 'asks elsewhere for ' + n)];
})()`

// TestAccess walks through every kind of page of both sites, and every state, in
// both colour schemes, at a desk and at 400 % of a window 1280 pixels wide, which
// leaves 320: axe finds nothing, nothing scrolls sideways, nothing fails, nothing
// is asked of another host.
func TestAccess(t *testing.T) {
	axe, err := os.ReadFile(filepath.Join(outside.NeedNPM(t, axeCore), "node_modules", "axe-core", "axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	s, roots := needSites(t)
	b := needBrowser(t)
	for _, v := range []browser.View{
		{Width: 320, Height: 256, Density: 4}, {Width: 320, Height: 256, Density: 4, Dark: true},
		{Width: 1280, Height: 1024, Density: 1}, {Width: 1280, Height: 1024, Density: 1, Dark: true},
	} {
		t.Run(fmt.Sprintf("%d-%s", v.Width, v.Scheme()), func(t *testing.T) {
			t.Parallel()
			tab, err := b.Open(v)
			if err != nil {
				t.Fatal(err)
			}
			defer tab.Close()
			for _, p := range s.pages {
				found, err := accessOf(tab, p, roots[p.Site], string(axe))
				if err != nil {
					t.Fatalf("%s, %s: %v", p.Site, p.Name, err)
				}
				for _, f := range append(found, tab.Faults()...) {
					t.Errorf("%s, %s: %s", p.Site, p.Name, f)
				}
			}
		})
	}
}

// accessOf brings a page into its state and gives what is wrong with it.
func accessOf(tab *browser.Tab, p kind.Page, root, axe string) ([]string, error) {
	if err := p.Reach(tab, root); err != nil {
		return nil, err
	}
	looks, err := browser.Eval[[]string](tab, pageLooks)
	if err != nil {
		return nil, err
	}
	if _, err := browser.Eval[int](tab, axe+"; 1"); err != nil {
		return nil, err
	}
	found, err := browser.Eval[[]string](tab, axeRun)
	return append(looks, found...), err
}

// TestWithoutJavaScript reads the pages with scripts switched off: what they are
// for is there, and what needs scripts says so.
func TestWithoutJavaScript(t *testing.T) {
	s, roots := needSites(t)
	tab, err := needBrowser(t).Open(browser.View{Width: 390, Height: 844, Density: 2, Phone: true})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := browser.Call(tab, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		t.Fatal(err)
	}
	// Text that can be read, and what must be true of a kind of page.
	const readable = `document.querySelector('h1').checkVisibility() && document.querySelector('main').innerText.trim().length > 20`
	lists := `['years', 'formats', 'supports', 'lights', 'tags'].every((l) => document.querySelector('main a[href*="' + l + '/"]')?.checkVisibility())`
	holds := map[string]string{
		"home":              `document.querySelectorAll('main a[href*="plates/"] img').length > 5 && ` + lists,
		"section-catalogue": fmt.Sprintf(`document.querySelectorAll('[data-static] a[href*="plates/"] img').length === %d && document.querySelector('noscript').innerText.includes('JavaScript') && `, len(expectedPublic)) + lists,
		"page-plates-tin":   `document.querySelector('.plate-large a').href.endsWith('.jpg') && !document.querySelector('[data-share], [data-copy], [data-viewer-button]').checkVisibility()`,
		"gallery":           `document.querySelector('#door noscript').innerText.includes('JavaScript')`,
	}
	for _, p := range s.pages {
		if p.When != "" && p.Name != "gallery" {
			continue
		}
		if err := tab.Go(roots[p.Site] + p.Path); err != nil {
			t.Fatal(err)
		}
		for _, must := range []string{readable, holds[p.Name]} {
			if must == "" {
				continue
			}
			if ok, err := browser.Eval[bool](tab, must); err != nil || !ok {
				t.Errorf("%s, %s without scripts: %s is %v, %v", p.Site, p.Name, must, ok, err)
			}
		}
		delete(holds, p.Name)
	}
	for name := range holds {
		t.Errorf("no page of kind %s", name)
	}
}
