package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	"golang.org/x/net/html"

	"sandarac/archive/bench"
	"sandarac/cmd/screens/browser"
)

const hostileDay = "2026-06-15"

const hostileStudio = "---\nstudio: Reed Street Rooms\nurl: https://plates.example/\ncredit: Ilse Tarn\n---\n"

// bounded runs the command with an end: what hangs fails.
func bounded(t *testing.T, args ...string) (out, errOut string, code int) {
	t.Helper()
	ctx, stop := context.WithTimeout(context.Background(), 3*time.Minute)
	defer stop()
	var o, e bytes.Buffer
	code = run(ctx, args, &o, &e)
	if ctx.Err() != nil {
		t.Fatalf("%v does not end\n%s\n%s", args, &o, &e)
	}
	return o.String(), e.String(), code
}

// soundPlate writes a plate that can be published.
func soundPlate(t *testing.T, root, id string, seed int) {
	t.Helper()
	put(t, root, id+".md", "---\nplate: "+id+"\nmade: 2026-05-02\noutcome: keeper\nsitters: []\ntitle: Sound reeds\nalt: Reeds.\n---\n")
	put(t, root, id+".jpg", string(drawScan(325, 425, 100, seed)))
}

// TestHostileRecords: every file that is damaged or meant badly is named by
// check, nothing panics or hangs, and the rest is built.
func TestHostileRecords(t *testing.T) {
	root := t.TempDir()
	put(t, root, "studio.md", hostileStudio)
	soundPlate(t, root, "sound", 1)
	want := map[string]bool{} // files that must be named
	for i, file := range hostileFiles(t) {
		body, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		name := filepath.Base(file)
		put(t, root, name, string(body))
		put(t, root, strings.TrimSuffix(name, ".md")+".jpg", string(drawScan(325, 425, 100, 100+i)))
		want[name] = true
	}
	for name := range hostileLarge(t, root) {
		want[name] = true
	}
	for _, name := range hostileKinds(t, root) {
		want[name] = true
	}
	out, errOut, code := bounded(t, "check", "--json", "--archive", root, "--today", hostileDay)
	if code != exitFaults {
		t.Errorf("check: exit code %d\n%s", code, errOut)
	}
	var told struct {
		Findings []struct{ Severity, File, Code, Message, Remedy string }
	}
	if err := json.Unmarshal([]byte(out), &told); err != nil {
		t.Fatal(err)
	}
	for _, f := range told.Findings {
		if f.Severity != "remark" {
			delete(want, f.File)
		}
		if f.Remedy == "" || f.Message == "" {
			t.Errorf("%s: %s has no words", f.File, f.Code)
		}
	}
	for name := range want {
		t.Errorf("check says nothing of %q", name)
	}
	plainOutput(t, "check --json", out)
	out, errOut, _ = bounded(t, "check", "--remarks", "--archive", root, "--today", hostileDay)
	plainOutput(t, "check", out+errOut)
	out, errOut, code = bounded(t, "build", "--archive", root, "--today", hostileDay)
	plainOutput(t, "build", out+errOut)
	if code != exitFaults || !strings.Contains(out, "built ") {
		t.Fatalf("build: exit code %d\n%s\n%s", code, out, errOut)
	}
	site, err := readSite(filepath.Join(root, "public"))
	if err != nil {
		t.Fatal(err)
	}
	if _, ok := site.shown["sound"]; !ok || len(site.shown) != 1 {
		t.Errorf("public: %q, want the sound plate alone", site.shown)
	}
	if at := site.sees("root:x:"); at != "" {
		t.Errorf("a file from outside stands in %s", at)
	}
}

func hostileFiles(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob("../../testdata/hostile/*.md")
	if err != nil || len(files) < 20 {
		t.Fatalf("%d hostile files, %v", len(files), err)
	}
	return slices.DeleteFunc(files, func(f string) bool { return filepath.Base(f) == "README.md" })
}

// hostileLarge writes records that are too large.
func hostileLarge(t *testing.T, root string) map[string]bool {
	t.Helper()
	keys := func(n int) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, "x_%07d: %d\n", i, i)
		}
		return b.String()
	}
	files := map[string]string{
		"ten-megabytes.md":  "---\nplate: h-10mb\nmade: 2026-05-01\n" + keys(600_000) + "---\n",
		"one-megabyte.md":   "---\nplate: h-1mb\nmade: 2026-05-01\n" + keys(60_000) + "---\n",
		"one-line.md":       "---\nplate: h-line\nmade: 2026-05-01\ntitle: " + strings.Repeat("reeds ", 60_000) + "\n---\n",
		"only-dashes.md":    strings.Repeat("---\n", 300_000),
		"brackets.md":       "---\n" + strings.Repeat("[{", 50_000) + "\n---\n",
		"empty-lines.md":    strings.Repeat("\n", 2_000_000) + "---\nplate: h-lines\n---\n",
		"open-json.md":      "{\n\"plate\": \"h-json\",\n" + strings.Repeat("\"x_a\": {\n", 2_000),
		"toml-tables.md":    "+++\nplate = 'h-toml'\nmade = 2026-05-01\n" + strings.Repeat("[a.b.c.d]\n", 5_000) + "+++\n",
		"many-sitters.md":   "---\nplate: h-many\nmade: 2026-05-01\noutcome: keeper\nsitters: [" + strings.Repeat("{sitter: nobody}, ", 5_000) + "]\n---\n",
		"long-key.md":       "---\nplate: h-key\nmade: 2026-05-01\n" + strings.Repeat("k", 100_000) + ": 1\n---\n",
		"many-tags.md":      "---\nplate: h-tags\nmade: 2026-05-01\noutcome: keeper\nsitters: []\ntags: [" + strings.Repeat("reeds, ", 300) + "]\n---\n",
		"quote-in-quote.md": "---\nplate: h-quotes\nmade: 2026-05-01\ntitle: " + strings.Repeat(`"\`, 50_000) + "\n---\n",
	}
	out := map[string]bool{}
	for name, body := range files {
		put(t, root, name, body)
		out[name] = true
	}
	// A scan beside it makes a file without front matter a fault, not a note.
	put(t, root, "only-dashes.jpg", string(drawScan(325, 425, 100, 91)))
	return out
}

// plainOutput fails when what the command prints could steer a terminal.
func plainOutput(t *testing.T, command, out string) {
	t.Helper()
	if i := strings.IndexFunc(out, func(r rune) bool {
		return unicode.IsControl(r) && r != '\n' || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069
	}); i >= 0 {
		t.Errorf("%s prints the control character %U: %q", command, []rune(out[i:])[0], out[max(0, i-60):min(len(out), i+20)])
	}
}

// payloads are the texts that go into every field.
func payloads(t *testing.T) []string {
	t.Helper()
	body, err := os.ReadFile("../../testdata/hostile/texts.txt")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(body)), "\n")
	return append(lines, strings.TrimSpace(strings.Repeat("long title ", 1000)), strings.Repeat("unbroken", 1250))
}

// hostileTexts is an archive with the payloads in every text field of every kind
// of record.
func hostileTexts(t *testing.T, root string) (plates []string) {
	t.Helper()
	all := strings.Join(payloads(t)[:20], " ")
	q := quote
	put(t, root, "studio.md", recordText("yaml", []entry{
		{"studio", "Studio " + all}, {"url", "https://plates.example/"}, {"email", "a'b\"<i>@plates.example"}, {"credit", "Credit " + all}, {"copyright", "© " + all},
		{"poison_centre", all}, {"care", payloads(t)[:20]}, {"lenses", [][]entry{{{"id", "petzval"}, {"focal_mm", 210}}}}}, all))
	for i, p := range payloads(t) {
		id := fmt.Sprintf("hx17-%02d", i)
		plates = append(plates, id)
		tags := []string{p, "tag of " + p}
		for n := range 90 * (1 - min(i, 1)) {
			tags = append(tags, fmt.Sprintf("tag %d", n))
		}
		put(t, root, id+".md", recordText("yaml", []entry{
			{"plate", id}, {"made", raw("2026-05-02T10:20:00")}, {"support", "tin"}, {"format", "quarter"}, {"batches", []entry{{"collodion", fmt.Sprintf("cx17-%02d", i)}}},
			{"lens", "petzval"}, {"camera", p}, {"exposure", []entry{{"seconds", 8}, {"stop", 4}}}, {"light", []entry{{"kind", p}, {"ev100", 10}, {"note", p}}}, {"outcome", "keeper"},
			{"sitters", [][]entry{{{"sitter", "ada"}}, {{"name", "Inline " + p}, {"consent", []entry{{"portfolio", true}, {"name", true}, {"given", raw("2026-01-01")}}}}}},
			{"client", "quill"}, {"title", p}, {"alt", p}, {"tags", tags}, {"x_own", p}}, p+"\n\n# "+p+"\n\n- "+p))
		put(t, root, id+".jpg", string(drawScan(325, 425, 100, 200+i)))
		put(t, root, "batches/"+id+".md", "---\nbatch: "+fmt.Sprintf("cx17-%02d", i)+"\nkind: collodion\nmixed: 2026-04-01\nvolume_ml: 500\nparts: [{substance: "+q(p)+", grams: 4}]\nlog: [{date: 2026-04-02, action: "+q(p)+", note: "+q(p)+"}]\n---\n\n"+p+"\n")
	}
	put(t, root, "ada.md", recordText("yaml", []entry{{"sitter", "ada"}, {"name", "Ada " + all}, {"guardian", "Bel " + all},
		{"consent", []entry{{"portfolio", true}, {"name", true}, {"given", raw("2026-01-01")}}}}, all))
	put(t, root, "quill.md", recordText("yaml", []entry{{"client", "quill"}, {"name", "Dov " + all}, {"email", "dov@plates.example"},
		{"gallery", []entry{{"title", all}, {"message", all}}}}, all))
	return plates
}

// TestHostileTexts: texts that are harmful as anything else stand on the pages as
// text: in the markup, and in a browser.
func TestHostileTexts(t *testing.T) {
	root := t.TempDir()
	plates := hostileTexts(t, root)
	out, errOut, code := bounded(t, "build", "--archive", root, "--today", hostileDay)
	if !strings.Contains(out, "built ") {
		t.Fatalf("exit code %d\n%s\n%s", code, out, errOut)
	}
	plainOutput(t, "build", out+errOut)
	public := filepath.Join(root, "public")
	site, err := readSite(public)
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range payloads(t) {
		if _, ok := site.shown[plates[i]]; !ok {
			t.Errorf("%s is not published, with %.60q", plates[i], p)
		}
	}
	titles := map[string]bool{}
	for _, dir := range []string{public, filepath.Join(root, "bench-book")} {
		walkFiles(t, dir, func(name string, content []byte) {
			if strings.HasSuffix(name, ".html") {
				for _, fault := range append(pageFaults(content, titles), policyFaults(content)...) {
					t.Errorf("%s: %s", name, fault)
				}
			}
		})
	}
	for _, p := range payloads(t) {
		if !titles[strings.Join(strings.Fields(p), " ")] {
			t.Errorf("no page has the title %.80q as it is written", p)
		}
	}
	if at := site.sees("root:x:"); at != "" {
		t.Errorf("a file from outside stands in %s", at)
	}
	spreadsheet(t, root)
	inBrowser(t, root)
}

// pageFaults says what in a page could run or load, and notes its headings.
func pageFaults(page []byte, headings map[string]bool) (faults []string) {
	doc, err := html.Parse(bytes.NewReader(page))
	if err != nil {
		return []string{err.Error()}
	}
	for n := range doc.Descendants() {
		if n.Type != html.ElementNode {
			continue
		}
		at := map[string]string{}
		for _, a := range n.Attr {
			at[a.Key] = a.Val
			value := strings.ToLower(strings.Join(strings.Fields(a.Val), ""))
			switch {
			case strings.HasPrefix(a.Key, "on"), a.Key == "style", a.Key == "srcdoc":
				faults = append(faults, fmt.Sprintf("<%s %s=%.60q>", n.Data, a.Key, a.Val))
			case slices.Contains([]string{"href", "src", "action", "formaction", "data", "poster"}, a.Key):
				if strings.HasPrefix(value, "javascript:") || strings.HasPrefix(value, "vbscript:") || strings.HasPrefix(value, "data:text") || strings.Contains(value, "//evil.example") {
					faults = append(faults, fmt.Sprintf("<%s %s=%.60q>", n.Data, a.Key, a.Val))
				}
			}
		}
		switch n.Data {
		case "script":
			if strings.HasSuffix(at["type"], "json") {
				if n.FirstChild == nil || !json.Valid([]byte(n.FirstChild.Data)) {
					faults = append(faults, "data that is no JSON")
				}
			} else if n.FirstChild != nil || at["src"] == "" {
				faults = append(faults, "a script that stands in the page")
			}
		case "iframe", "object", "embed", "base", "style":
			faults = append(faults, "<"+n.Data+">")
		case "form":
			if strings.Contains(at["action"], ":") || strings.HasPrefix(at["action"], "//") {
				faults = append(faults, "a form that is sent to "+at["action"])
			}
		case "h1":
			headings[strings.Join(strings.Fields(textOf(n)), " ")] = true
		}
	}
	return faults
}

// policyFaults says where a page is not as strict as it must be: before anything
// can load stands a policy that allows nothing inline and no other host, and the
// page tells nobody where its visitors came from.
func policyFaults(page []byte) (faults []string) {
	z := html.NewTokenizer(bytes.NewReader(page))
	policy, referrer, early := "", "", ""
	for z.Next() != html.ErrorToken {
		token := z.Token()
		if token.Type != html.StartTagToken && token.Type != html.SelfClosingTagToken {
			continue
		}
		at := map[string]string{}
		for _, a := range token.Attr {
			at[a.Key] = a.Val
		}
		if policy == "" && !slices.Contains([]string{"html", "head", "meta", "title"}, token.Data) {
			early = token.Data
		}
		if token.Data == "meta" && at["http-equiv"] == "Content-Security-Policy" {
			policy = at["content"]
		}
		if token.Data == "meta" && at["name"] == "referrer" {
			referrer = at["content"]
		}
	}
	if early != "" {
		faults = append(faults, fmt.Sprintf("<%s> comes before the policy", early))
	}
	allowed := map[string]bool{"'none'": true, "'self'": true, "blob:": true}
	rules := map[string]bool{}
	for rule := range strings.SplitSeq(policy, ";") {
		words := strings.Fields(rule)
		if len(words) == 0 {
			continue
		}
		rules[words[0]+" "+words[1]] = true
		for _, w := range words[1:] {
			if !allowed[w] || w == "blob:" && words[0] != "img-src" {
				faults = append(faults, "the policy allows "+strings.TrimSpace(rule))
			}
		}
	}
	for _, want := range []string{"default-src 'none'", "script-src 'self'", "base-uri 'none'"} {
		if !rules[want] {
			faults = append(faults, fmt.Sprintf("the policy is %q, without %s", policy, want))
		}
	}
	if referrer != "no-referrer" {
		faults = append(faults, fmt.Sprintf("the referrer policy is %q", referrer))
	}
	return faults
}

func textOf(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data)
		}
	}
	return b.String()
}

// spreadsheet looks for cells that a spreadsheet would calculate.
func spreadsheet(t *testing.T, root string) {
	t.Helper()
	out, errOut, code := bounded(t, "log", "--export", "-", "--archive", root, "--today", hostileDay)
	if code != exitDone {
		t.Fatalf("log --export: exit code %d\n%s", code, errOut)
	}
	rows, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(out, "\ufeff"))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < len(payloads(t)) {
		t.Fatalf("%d rows", len(rows))
	}
	for _, row := range rows {
		for _, cell := range row {
			if cell != "" && strings.ContainsRune("=+-@\t\r", rune(cell[0])) {
				t.Errorf("a cell that a spreadsheet calculates: %.60q", cell)
			}
		}
	}
}

// inBrowser opens the pages of both sites: nothing that a record says runs.
func inBrowser(t *testing.T, root string) {
	t.Helper()
	b := needBrowser(t)
	tab, err := b.Open(browser.View{Width: 900, Height: 1200, Density: 1})
	if err != nil {
		t.Fatal(err)
	}
	defer tab.Close()
	for _, site := range []string{"public", "bench-book"} {
		dir := filepath.Join(root, site)
		server := httptest.NewServer(bench.Files(dir, "/"))
		defer server.Close()
		visited := 0
		walkFiles(t, dir, func(name string, _ []byte) {
			path, isPage := strings.CutSuffix(name, "index.html")
			if !isPage || strings.HasPrefix(path, "tags/tag-") && path != "tags/tag-7/" {
				return
			}
			visited++
			if err := tab.Go(server.URL + "/" + path); err != nil {
				t.Errorf("%s: %v", path, err)
				return
			}
			pwned, err := browser.Eval[bool](tab, `window.pwned !== undefined`)
			if err != nil || pwned {
				t.Errorf("%s: something ran (%v)", path, err)
			}
			for _, fault := range tab.Faults() {
				t.Errorf("%s: %s", path, fault)
			}
		})
		if visited < 20 {
			t.Errorf("only %d pages of %s were opened", visited, site)
		}
		if site == "public" {
			galleryInBrowser(t, tab, server.URL, root)
		}
	}
}

// galleryInBrowser opens the client's gallery by its link.
func galleryInBrowser(t *testing.T, tab *browser.Tab, server, root string) {
	t.Helper()
	out, _, _ := bounded(t, "galleries", "--json", "--archive", root, "--today", hostileDay)
	var links struct{ Galleries []struct{ URL string } }
	if err := json.Unmarshal([]byte(out), &links); err != nil || len(links.Galleries) != 1 {
		t.Fatalf("%v\n%s", err, out)
	}
	address := server + "/" + strings.TrimPrefix(links.Galleries[0].URL, "https://plates.example/")
	if err := errors.Join(tab.Go(address), tab.Until(`document.querySelector('[data-part=open][data-shown]') !== null`)); err != nil {
		t.Fatalf("the gallery does not open: %v", err)
	}
	text, err := browser.Eval[string](tab, `document.body.innerText`)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(text, "</script><script>window.pwned=1;alert(1)</script>") {
		t.Errorf("the gallery does not say what the record says: %.400q", text)
	}
	if pwned, err := browser.Eval[bool](tab, `window.pwned !== undefined`); err != nil || pwned {
		t.Errorf("something ran in the gallery (%v)", err)
	}
	for _, fault := range tab.Faults() {
		t.Errorf("in the gallery: %s", fault)
	}
}
