// Package browser drives one Chromium for looking at finished pages: tabs of a
// given size and colour scheme, screenshots, paper, and values of expressions.
// It is for development and tests; the program itself never starts a browser.
package browser

import (
	"context"
	"errors"
	"fmt"
	"os/exec"
	"slices"

	"github.com/chromedp/chromedp"
)

// names are what Chromium is called on different systems.
var names = []string{"chromium", "chromium-browser", "google-chrome", "chrome"}

// ErrMissing says that no Chromium is on PATH.
var ErrMissing = errors.New("no Chromium is on PATH; Debian has it in the package chromium")

// Path is where Chromium is, or ErrMissing.
func Path() (string, error) {
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path, nil
		}
	}
	return "", ErrMissing
}

// Browser is a running Chromium.
type Browser struct {
	ctx  context.Context
	stop func()
}

// Start starts a Chromium that ends with the context or with Close.
func Start(ctx context.Context) (*Browser, error) {
	path, err := Path()
	if err != nil {
		return nil, err
	}
	options := append(slices.Clone(chromedp.DefaultExecAllocatorOptions[:]),
		chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("hide-scrollbars", true),
		// The same letters and edges wherever the pictures are taken.
		chromedp.Flag("force-color-profile", "srgb"),
		chromedp.Flag("font-render-hinting", "none"),
	)
	allocator, stopAllocator := chromedp.NewExecAllocator(ctx, options...)
	tab, stopBrowser := chromedp.NewContext(allocator)
	if err := chromedp.Do(tab); err != nil {
		stopAllocator()
		return nil, fmt.Errorf("starting %s: %w", path, err)
	}
	return &Browser{tab, func() { stopBrowser(); stopAllocator() }}, nil
}

// Close ends the browser.
func (b *Browser) Close() { b.stop() }
