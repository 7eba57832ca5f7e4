package portfolio

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"sandarac/cmd/screens/browser"
	"sandarac/cmd/screens/outside"
)

// Outside checkers, at the versions these tests were written with.
const (
	axeCore      = "axe-core@4.14.1"
	htmlValidate = "html-validate@10.17.0"
	iiifParser   = "@iiif/parser@2.2.10"
	deepZoom     = "openseadragon@5.0.1"
)

// TestPagesAreValidHTML asks html-validate, with its standard rules but two of
// style: how void elements end, and spaces at line ends.
func TestPagesAreValidHTML(t *testing.T) {
	dir := outside.NeedNPM(t, htmlValidate)
	site := testSite(34)
	_, out := buildSite(t, site, testSets(t, site, ""), Options{})
	config := filepath.Join(dir, "portfolio.json")
	rules := `{"root":true,"extends":["html-validate:standard"],"rules":{"void-style":"off","no-trailing-whitespace":"off","long-title":"off"}}`
	if err := os.WriteFile(config, []byte(rules), 0o644); err != nil {
		t.Fatal(err)
	}
	args := []string{filepath.Join(dir, "node_modules", "html-validate", "bin", "html-validate.mjs"), "--config", config, "--formatter", "text"}
	for _, p := range readPages(t, out) {
		args = append(args, filepath.Join(out, filepath.FromSlash(p.name)))
	}
	check := exec.Command("node", args...)
	check.Dir = dir
	if report, err := check.CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, report)
	}
}

// TestManifestsReadElsewhere gives every manifest to @iiif/parser, a reader that
// viewers use: its strict upgrade must find nothing to warn of and nothing to
// change, and it must know each listed size as one that the service answers.
func TestManifestsReadElsewhere(t *testing.T) {
	dir := outside.NeedNPM(t, iiifParser)
	site := testSite(len(hostile) + 4)
	staged, stage := stageSite(t, site, testSets(t, site, ""), Options{})
	script := filepath.Join(dir, "read.mjs")
	if err := os.WriteFile(script, []byte(readManifests), 0o644); err != nil {
		t.Fatal(err)
	}
	args := []string{script, filepath.Join(stage, "static"), site.Studio.URL + "/"}
	for _, folder := range staged.Paths {
		args = append(args, folder)
	}
	read := exec.Command("node", args...)
	read.Dir = dir
	if report, err := read.CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, report)
	}
}

const readManifests = `
import fs from "node:fs";
import assert from "node:assert/strict";
import { presentation3StrictUpgrade } from "@iiif/parser/strict";
import { imageServiceSupportsRequest, parseImageServiceRequest } from "@iiif/parser/image-3";
const [root, url, ...folders] = process.argv.slice(2);
const read = (path) => JSON.parse(fs.readFileSync(root + "/" + path, "utf8"));
for (const folder of folders) {
  const manifest = read(folder + "manifest.json");
  const state = { warnings: [] };
  assert.deepEqual(presentation3StrictUpgrade(structuredClone(manifest), state), manifest);
  assert.deepEqual(state.warnings, []);
  const body = manifest.items[0].items[0].items[0].body;
  const info = read(body.service[0].id.slice(url.length) + "/info.json");
  for (const { width, height } of info.sizes) {
    const address = info.id + "/full/" + width + "," + height + "/0/default.jpg";
    const [known, why] = imageServiceSupportsRequest(info, parseImageServiceRequest(address));
    assert.ok(known, address + ": " + why);
  }
}
`

// TestAMuseumsViewerOpensAPlate lets OpenSeadragon, the image viewer inside most
// IIIF viewers, open a plate from nothing but its manifest, and draw it whole
// and close.
func TestAMuseumsViewerOpensAPlate(t *testing.T) {
	library := filepath.Join(outside.NeedNPM(t, deepZoom), "node_modules", "openseadragon", "build", "openseadragon", "openseadragon.min.js")
	outside.Need(t, "chromium")
	mux := http.NewServeMux()
	server := httptest.NewServer(mux)
	defer server.Close()
	site := testSite(4)
	site.Studio.URL = server.URL + "/on/tin/"
	staged, out := buildSite(t, site, testSets(t, site, t.TempDir()), Options{})
	mux.Handle("/on/tin/", http.StripPrefix("/on/tin/", http.FileServer(http.Dir(out))))
	mux.HandleFunc("/library.js", func(w http.ResponseWriter, r *http.Request) { http.ServeFile(w, r, library) })
	mux.HandleFunc("/{$}", func(w http.ResponseWriter, _ *http.Request) {
		fmt.Fprint(w, `<!doctype html><title>A viewer</title><style>#v { width: 600px; height: 600px }</style><div id="v"></div><script src="library.js"></script>`)
	})
	b, err := browser.Start(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	tab, err := b.Open(browser.View{Width: 800, Height: 800, Density: 1})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range site.Plates {
		if err := tab.Go(server.URL + "/"); err != nil {
			t.Fatal(err)
		}
		said, err := browser.Eval[string](tab, fmt.Sprintf(openManifest, staged.Paths[p.ID]))
		if err != nil || said != "as large as its canvas, from two sizes or more" {
			t.Errorf("plate %s: %s, %v", p.ID, said, err)
		}
	}
	for _, fault := range tab.Faults() {
		t.Error(fault)
	}
}

const openManifest = `(async () => {
	const manifest = await (await fetch("/on/tin/%smanifest.json")).json();
	const canvas = manifest.items[0], picture = canvas.items[0].items[0].body;
	const viewer = OpenSeadragon({ element: document.getElementById("v"), tileSources: picture.service[0].id + "/info.json", showNavigationControl: false, animationTime: 0 });
	const sizes = new Set();
	viewer.addHandler("tile-loaded", (event) => sizes.add(event.tile.getUrl()));
	await new Promise((done, failed) => { viewer.addOnceHandler("open", done); viewer.addOnceHandler("open-failed", (e) => failed(new Error(e.message))); });
	const image = viewer.world.getItemAt(0), { x, y } = image.getContentSize();
	if (x !== canvas.width || y !== canvas.height) return x + " by " + y;
	const drawn = () => new Promise((done) => image.getFullyLoaded() ? done() : image.addOnceHandler("fully-loaded-change", done));
	await drawn();
	viewer.viewport.zoomTo(viewer.viewport.getMaxZoom(), null, true);
	await new Promise((r) => setTimeout(r, 200));
	await drawn();
	const ours = [...sizes].every((u) => u.startsWith(picture.service[0].id + "/full/"));
	return ours && sizes.size > 1 ? "as large as its canvas, from two sizes or more" : [...sizes].join();
})()`
