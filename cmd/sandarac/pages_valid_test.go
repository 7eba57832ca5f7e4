package main

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"sandarac/cmd/screens/kind"
	"sandarac/cmd/screens/outside"
)

// The outside readers of what the pages are made of, at the versions these tests
// were written with.
const (
	htmlValidate = "html-validate@10.17.0"
	jsonLD       = "jsonld@9.0.0"
	schemaTypes  = "schema-dts@2.1.0" // the vocabulary of schema.org, as types
	typeChecker  = "typescript@5.9.3"
	sitemapXSD   = "sitemap@9.0.1" // holds the schema of the Sitemaps protocol
	xmllint      = "xmllint-wasm@5.3.0"
)

// node runs a script of ours among packages, and gives what it writes.
func node(t *testing.T, dir, script string, args ...string) []byte {
	t.Helper()
	file, err := os.CreateTemp(dir, "test-*.mjs")
	if err != nil {
		t.Fatal(err)
	}
	defer os.Remove(file.Name())
	if _, err := file.WriteString(script); err != nil {
		t.Fatal(err)
	}
	if err := file.Close(); err != nil {
		t.Fatal(err)
	}
	run := exec.Command(outside.Need(t, "node"), append([]string{file.Name()}, args...)...)
	run.Dir = dir
	var errOut bytes.Buffer
	run.Stderr = &errOut
	out, err := run.Output()
	if err != nil {
		t.Errorf("%v\n%s\n%s", err, out, errOut.Bytes())
	}
	return out
}

// TestPagesAreValidHTML asks html-validate about a page of every kind of both
// sites, with its standard rules but for how void elements end, spaces at line
// ends and the length of titles, which are people's.
func TestPagesAreValidHTML(t *testing.T) {
	dir := outside.NeedNPM(t, htmlValidate)
	s, _ := needSites(t)
	config := filepath.Join(t.TempDir(), "rules.json")
	rules := `{"root": true, "extends": ["html-validate:standard"], "rules": {"void-style": "off", "no-trailing-whitespace": "off", "long-title": "off"}}`
	if err := os.WriteFile(config, []byte(rules), 0o644); err != nil {
		t.Fatal(err)
	}
	args := []string{filepath.Join(dir, "node_modules", "html-validate", "bin", "html-validate.mjs"), "--config", config, "--formatter", "text"}
	seen := map[string]bool{}
	for _, p := range s.pages {
		name, _, _ := strings.Cut(p.Path, "#")
		name, _, _ = strings.Cut(name, "?")
		if name == "" || strings.HasSuffix(name, "/") {
			name += "index.html"
		}
		name = filepath.Join(s.dirs[p.Site], filepath.FromSlash(name))
		if !seen[name] {
			seen[name] = true
			args = append(args, name)
		}
	}
	if len(seen) < 20 {
		t.Fatalf("only %d pages were found", len(seen))
	}
	check := exec.Command(outside.Need(t, "node"), args...)
	check.Dir = dir
	if report, err := check.CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, report)
	}
}

// structuredData gives the JSON-LD of every page of the portfolio, by page.
func structuredData(t *testing.T, s *sites) map[string][]json.RawMessage {
	t.Helper()
	out := map[string][]json.RawMessage{}
	walkFiles(t, s.dirs[kind.Portfolio], func(name string, content []byte) {
		if !strings.HasSuffix(name, ".html") {
			return
		}
		doc, err := html.Parse(bytes.NewReader(content))
		if err != nil {
			t.Fatal(err)
		}
		for n := range doc.Descendants() {
			if n.Type == html.ElementNode && n.Data == "script" && strings.Contains(attributes(n), "application/ld+json") {
				out[name] = append(out[name], json.RawMessage(n.FirstChild.Data))
			}
		}
	})
	return out
}

func attributes(n *html.Node) string {
	var b strings.Builder
	for _, a := range n.Attr {
		b.WriteString(a.Key + "=" + a.Val + " ")
	}
	return b.String()
}

// TestStructuredData gives all JSON-LD of the portfolio to two outside readers:
// jsonld expands it in safe mode, where nothing may be dropped, and the
// TypeScript compiler holds it to schema.org's vocabulary as schema-dts types
// it, properties and their ranges alike.
func TestStructuredData(t *testing.T) {
	dir := outside.NeedNPM(t, jsonLD, schemaTypes, typeChecker)
	s, _ := needSites(t)
	data := structuredData(t, s)
	for _, page := range []string{"index.html", "catalogue/index.html"} {
		if len(data[page]) == 0 {
			t.Errorf("%s has no structured data", page)
		}
	}
	if len(data) < len(expectedPublic) {
		t.Fatalf("only %d pages have structured data", len(data))
	}
	file := filepath.Join(t.TempDir(), "data.json")
	body, err := json.Marshal(data)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, body, 0o644); err != nil {
		t.Fatal(err)
	}
	node(t, dir, readStructuredData, file, t.TempDir())
}

const readStructuredData = `
import fs from 'node:fs';
import path from 'node:path';
import jsonld from 'jsonld';
import ts from 'typescript';
const [file, work] = process.argv.slice(2);
const pages = JSON.parse(fs.readFileSync(file, 'utf8'));
// schema.org's own context maps every term into its vocabulary; which terms there are is the types' business.
const documentLoader = async (url) => ({ documentUrl: url, document: { '@context': { '@vocab': 'https://schema.org/' } } });
const faults = [], lines = [], names = [], types = new Set();
for (const [name, all] of Object.entries(pages)) {
  for (const data of all) {
    try {
      const out = await jsonld.expand(data, { documentLoader, safe: true });
      if (out.length !== 1 || !out[0]['@type']?.every((t) => t.startsWith('https://schema.org/'))) throw new Error('does not expand to one thing of schema.org');
    } catch (e) {
      faults.push(name + ': ' + e.message);
    }
    const { '@context': context, ...rest } = data;
    if (context !== 'https://schema.org') faults.push(name + ': context ' + context);
    let type, value = rest;
    if (Array.isArray(data['@type'])) {
      // A thing of several types has the properties of all of them.
      for (const t of data['@type']) types.add(t + 'Leaf');
      type = data['@type'].map((t) => "Omit<" + t + "Leaf, '@type'>").join(' & ');
      ({ '@type': {}, ...value } = rest);
    } else {
      types.add(type = data['@type'] + 'Leaf');
    }
    names.push(name);
    lines.push('export const d' + lines.length + ': ' + type + ' = ' + JSON.stringify(value) + ';');
  }
}
const source = path.join(work, 'data.ts');
fs.writeFileSync(source, "import type { " + [...types].join(', ') + " } from 'schema-dts';\n" + lines.join('\n'));
const program = ts.createProgram([source], { strict: true, noEmit: true, skipLibCheck: true, types: [], moduleResolution: ts.ModuleResolutionKind.Bundler,
  module: ts.ModuleKind.ESNext, baseUrl: process.cwd(), paths: { 'schema-dts': ['node_modules/schema-dts'] } });
for (const d of ts.getPreEmitDiagnostics(program)) {
  const line = d.file ? d.file.getLineAndCharacterOfPosition(d.start).line - 1 : -1;
  faults.push((names[line] ?? '') + ': ' + ts.flattenDiagnosticMessageText(d.messageText, ' '));
}
if (faults.length > 0) { console.error(faults.join('\n')); process.exit(1); }
`

// TestFeed gives the feed to Ruby's RSS library, which validates Atom by the
// rules of RFC 4287, and compares what it read with what is published.
func TestFeed(t *testing.T) {
	s, _ := needSites(t)
	ruby := outside.Need(t, "ruby")
	const read = `require "rss"
feed = RSS::Parser.parse(File.read(ARGV[0]), validate: true, ignore_unknown_element: false)
feed.entries.each { |e| puts [e.id.content, e.link.href, e.updated.content.utc.iso8601].join(" ") }`
	out, err := exec.Command(ruby, "-e", read, filepath.Join(s.dirs[kind.Portfolio], "feed.xml")).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	entries := strings.Split(strings.TrimSpace(string(out)), "\n")
	if len(entries) != min(30, len(expectedPublic)) {
		t.Errorf("%d entries, want %d", len(entries), len(expectedPublic))
	}
	last := "9"
	for _, e := range entries {
		f := strings.Fields(e)
		folder := strings.TrimPrefix(f[1], "https://osmunda-plates.example/")
		if _, err := os.Stat(filepath.Join(s.dirs[kind.Portfolio], filepath.FromSlash(folder), "index.html")); err != nil || f[0] != f[1] {
			t.Errorf("entry %s leads nowhere: %v", e, err)
		}
		if f[2] > last {
			t.Errorf("entry %s is newer than the one before it, %s", e, last)
		}
		last = f[2]
	}
}

// TestSitemap holds the sitemap to the schema of the Sitemaps protocol, as the
// package sitemap carries it, by xmllint; and to the pages there are.
func TestSitemap(t *testing.T) {
	dir := outside.NeedNPM(t, sitemapXSD, xmllint)
	s, _ := needSites(t)
	public := s.dirs[kind.Portfolio]
	urls := node(t, dir, readSitemap, filepath.Join(public, "sitemap.xml"))
	listed := map[string]bool{}
	for _, u := range strings.Fields(string(urls)) {
		listed[u] = true
	}
	err := fs.WalkDir(os.DirFS(public), ".", func(name string, d fs.DirEntry, err error) error {
		folder, isPage := strings.CutSuffix(name, "index.html")
		if err != nil || !isPage {
			return err
		}
		url := "https://osmunda-plates.example/" + folder
		if private := strings.HasPrefix(name, "g/"); listed[url] == private {
			t.Errorf("%s: in the sitemap %v, a gallery %v", name, listed[url], private)
		}
		delete(listed, url)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for u := range listed {
		t.Errorf("%s is in the sitemap and is no page", u)
	}
}

const readSitemap = `
import fs from 'node:fs';
import { validateXML } from 'xmllint-wasm';
const contents = fs.readFileSync(process.argv[2], 'utf8');
const schema = fs.readFileSync('node_modules/sitemap/schema/sitemap.xsd', 'utf8');
const check = (text) => validateXML({ xml: [{ fileName: 'sitemap.xml', contents: text }], schema: [schema] });
const { valid, errors } = await check(contents);
if (!valid) { console.error(errors.map((e) => e.message).join('\n')); process.exit(1); }
if ((await check(contents.replace('<loc>', '<place>').replace('</loc>', '</place>'))).valid) { console.error('the validator takes anything'); process.exit(1); }
for (const [, url] of contents.matchAll(/<loc>([^<]+)<\/loc>/g)) console.log(url);
`
