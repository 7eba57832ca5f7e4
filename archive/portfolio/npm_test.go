package portfolio

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"sandarac/cmd/screens/outside"
)

// Outside checkers, at the versions these tests were written with.
const (
	axeCore      = "axe-core@4.14.1"
	htmlValidate = "html-validate@10.17.0"
	iiifParser   = "@iiif/parser@2.2.10"
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
