package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// How many random archives are built, and from which seed on. CI and whoever
// has an hour set more:
//
//	SANDARAC_PRIVACY=1000 go test ./cmd/sandarac -run TestPrivacy -timeout 0
const (
	privacyEnv     = "SANDARAC_PRIVACY"
	privacySeedEnv = "SANDARAC_PRIVACY_SEED"
	privacyUsual   = 25
)

func numberFrom(t testing.TB, env string, usual int) int {
	t.Helper()
	text := os.Getenv(env)
	if text == "" {
		return usual
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		t.Fatalf("%s: %v", env, err)
	}
	return n
}

// TestPrivacy builds random archives and holds the finished trees against what
// an oracle that shares no code with the program says may be seen: nothing
// leaks, nothing is wrongly hidden, the audit does not stand in the way, and a
// client's link opens that client's plates.
func TestPrivacy(t *testing.T) {
	first := numberFrom(t, privacySeedEnv, 1)
	for seed := first; seed < first+numberFrom(t, privacyEnv, privacyUsual); seed++ {
		t.Run(strconv.Itoa(seed), func(t *testing.T) {
			t.Parallel()
			w := drawWorld(uint64(seed))
			root := t.TempDir()
			w.write(t, root)
			w.buildAndCompare(t, root)
			if t.Failed() {
				return
			}
			if w.chance(0.3) { // the same archive later: consents end, caches are warm
				w.passDays(t, root)
				w.buildAndCompare(t, root)
			}
		})
	}
}

// passDays lets some days pass, and someone take their consent back.
func (w *world) passDays(t *testing.T, root string) {
	n := pick(w, 1, 2, 31, 32)
	w.day = w.day.AddDate(0, 0, n)
	shift := func(p *person) {
		for _, d := range []*int{p.given, p.until, p.withdrawn} {
			if d != nil {
				*d -= n
			}
		}
	}
	for _, p := range w.people {
		shift(p)
	}
	for _, p := range w.plates {
		for _, s := range p.sitters {
			if s.inline != nil {
				shift(s.inline)
			}
		}
	}
	for _, c := range w.clients {
		if c.until != nil {
			*c.until -= n
		}
	}
	if len(w.people) > 0 {
		today := 0
		pick(w, w.people...).withdrawn = &today
	}
	w.trap("built again %d days later", n)
	w.write(t, root)
}

func (w *world) buildAndCompare(t *testing.T, root string) {
	t.Helper()
	out, errOut, code := sandarac(t, "build", "--archive", root, "--today", w.day.Format(time.DateOnly))
	told := func() string {
		return fmt.Sprintf("seed %d, exit code %d\ntraps:\n  %s\n%s%s", w.seed, code, strings.Join(w.traps, "\n  "), out, errOut)
	}
	if !strings.Contains(out, "built ") {
		keepWorld(t, root)
		t.Fatalf("nothing was built\n%s", told())
	}
	public := filepath.Join(root, "public")
	site, err := readSite(public)
	if err != nil {
		t.Fatalf("%v\n%s", err, told())
	}
	for _, fault := range slices.Concat(w.compareVisible(site), w.comparePages(site), w.compareWords(site, root), w.comparePictures(site), w.compareGalleries(t, public, root)) {
		t.Error(fault)
	}
	if t.Failed() {
		t.Log(told())
		keepWorld(t, root)
	}
}

// keepWorld copies the archive of a failure to where it can be looked at.
func keepWorld(t *testing.T, root string) {
	if dir := os.Getenv("SANDARAC_KEEP"); dir != "" {
		at := filepath.Join(dir, filepath.Base(t.Name()))
		if err := os.CopyFS(at, os.DirFS(root)); err != nil {
			t.Log(err)
		}
		t.Logf("kept in %s", at)
	}
}

// compareVisible holds ids and names of pages against the oracle.
func (w *world) compareVisible(site *stranger) (faults []string) {
	known := map[string]bool{}
	for _, p := range w.plates {
		known[p.id] = true
		names, public := site.shown[p.id]
		want := w.judge(p)
		if p.matchesHidden(w) && want == shown {
			want = either
		}
		switch {
		case public && want == hidden:
			faults = append(faults, fmt.Sprintf("plate %q (%s) is public and must not be (%s): %q %q %q %q", p.id, p.file, w.why(p), p.title, p.alt, p.tags, p.light))
		case !public && want == shown:
			faults = append(faults, fmt.Sprintf("plate %q (%s) is hidden and may be seen: %q %q %q %q", p.id, p.file, p.title, p.alt, p.tags, p.light))
		}
		if !public {
			continue
		}
		var may []string
		for _, s := range p.sitters {
			if q := w.sitterOf(s); q != nil && mayBeNamed(q) && strings.TrimSpace(q.name) != "" {
				may = append(may, q.name)
			}
		}
		slices.Sort(names)
		slices.Sort(may)
		if !slices.Equal(slices.Compact(names), slices.Compact(may)) {
			faults = append(faults, fmt.Sprintf("plate %q names %q, and %q agreed to be named", p.id, names, may))
		}
	}
	for id := range site.shown {
		if !known[id] {
			faults = append(faults, fmt.Sprintf("a plate %q is public, and there is none", id))
		}
	}
	return faults
}

// matchesHidden says that the same picture is also kept as a plate that may not
// be seen.
func (p *worldPlate) matchesHidden(w *world) bool {
	return len(p.scans) > 0 && p.scans[0].matches != nil && w.judge(p.scans[0].matches) != shown
}

// copied says that the same picture is kept as two plates: then the one is left
// out if the other may not be seen.
func (p *worldPlate) copied() bool { return len(p.scans) > 0 && p.scans[0].matches != nil }

// compareWords looks for everything that may not be read.
func (w *world) compareWords(site *stranger, root string) (faults []string) {
	seen := func(text, what string) {
		if strings.TrimSpace(text) == "" {
			return
		}
		if at := site.sees(text); at != "" {
			faults = append(faults, fmt.Sprintf("%s, %q, can be read in %s", what, text, at))
		}
	}
	open := w.openText(site)
	private := func(text, what string) {
		for _, word := range strings.FieldsFunc(text, func(r rune) bool { return (r < 'a' || r > 'z') && (r < 'A' || r > 'Z') }) {
			if strings.HasPrefix(word, "Q") && len(word) > 9 && !strings.Contains(open, strings.ToLower(word)) {
				seen(word, what)
			}
		}
	}
	private(w.studio.notes, "the studio's notes")
	for _, p := range w.people {
		private(p.notes+" "+p.id, "of a sitter's record")
		private(p.guardian, "the name of a guardian")
	}
	for _, c := range w.clients {
		if c.email != w.studio.email {
			seen(c.email, "the address of a client")
		}
		private(c.notes+" "+c.title+" "+c.message, "of a client's record")
		private(strings.ToUpper(c.id[:1])+c.id[1:], "the id of a client")
	}
	for _, b := range w.batches {
		private(b.notes, "the notes of a batch")
		private(strings.ToUpper(b.id[:1])+b.id[1:], "the id of a batch")
	}
	for _, l := range w.studio.lights {
		private(l, "a light")
	}
	for _, p := range w.plates {
		private(p.notes+" "+p.lightNote+" "+p.own+" "+p.camera, "notes of plate "+p.id)
		private(strings.ReplaceAll(p.file, "q", "Q"), "the file of plate "+p.id)
		for _, s := range p.scans {
			private(s.secret, "metadata of a scan of plate "+p.id)
			private(strings.ReplaceAll(s.file, "q", "Q"), "the file of a scan of plate "+p.id)
		}
		private(strings.Join(append(p.texts(), p.id), " "), "what is said of plate "+p.id)
		for _, s := range p.sitters {
			if s.inline != nil {
				private(s.inline.name+" "+s.inline.guardian, "the name of a sitter of plate "+p.id)
			}
		}
	}
	for _, k := range w.everyone() {
		switch {
		case !w.privateName(k.name) || k.common:
		case runs(k.name) && !strings.Contains(open, k.name):
			seen(k.name, "the name of someone")
		default:
			private(k.name, "the name of someone")
		}
	}
	seen(exifDate[:10], "the day of scanning")
	seen(root, "the archive's folder")
	secret, err := os.ReadFile(filepath.Join(root, ".sandarac", "secret"))
	if err != nil {
		faults = append(faults, err.Error())
	} else {
		seen(string(bytes.TrimSpace(secret)), "the archive's secret")
	}
	return faults
}

// openText is all that may be read: the studio's own, its texts for pages, and
// what plates that are public say.
func (w *world) openText(site *stranger) string {
	s := w.studio
	open := []string{s.name, s.url, s.email, s.credit, s.copyright}
	for _, p := range w.plates {
		names, public := site.shown[p.id]
		if !public {
			continue
		}
		open = append(append(append(open, names...), p.texts()...), p.id)
		if s.recipes {
			open = append(open, p.collodion, p.varnish, p.lens)
		}
	}
	for _, p := range w.pages {
		if site.sees(p.token) != "" {
			open = append(open, p.text)
		}
	}
	return strings.ToLower(strings.Join(open, " | "))
}

// comparePictures finds of which scan every published picture is.
func (w *world) comparePictures(site *stranger) (faults []string) {
	faces := map[string]bool{}
	for name, img := range site.pictures {
		plates, scans := w.owner(img)
		ok := false
		for i, p := range plates {
			if _, public := site.shown[p.id]; public && scans[i] == p.scans[0] {
				ok, faces[p.id] = true, true
			}
		}
		if !ok {
			var of []string
			for _, p := range plates {
				of = append(of, p.id)
			}
			faults = append(faults, fmt.Sprintf("%s is a picture of %q, which may not be seen", name, of))
		}
	}
	for id := range site.shown {
		if !faces[id] {
			faults = append(faults, fmt.Sprintf("plate %q is public without its picture", id))
		}
	}
	return faults
}

// compareGalleries opens every gallery by its link.
func (w *world) compareGalleries(t *testing.T, public, root string) (faults []string) {
	out, errOut, code := sandarac(t, "galleries", "--json", "--archive", root, "--today", w.day.Format(time.DateOnly))
	var links struct {
		Galleries []struct{ Client, URL, State, Passphrase string }
	}
	if err := json.Unmarshal([]byte(out), &links); err != nil || code != exitDone {
		return []string{fmt.Sprintf("galleries --json: exit code %d, %v\n%s", code, err, errOut)}
	}
	want := w.galleryPlates()
	folders, _ := os.ReadDir(filepath.Join(public, "g"))
	if len(folders) != len(want) && !slices.ContainsFunc(w.plates, (*worldPlate).copied) {
		faults = append(faults, fmt.Sprintf("%d galleries, want %d", len(folders), len(want)))
	}
	for _, l := range links.Galleries {
		ids, open := want[l.Client]
		if (l.State == "open") != open && !w.cutOnly(l.Client) {
			faults = append(faults, fmt.Sprintf("the gallery of client %s is %s, want open %v", l.Client, l.State, open))
		}
		delete(want, l.Client)
		if open {
			faults = append(faults, w.compareGallery(public, l.Client, l.URL, l.Passphrase, ids)...)
		}
	}
	for id := range want {
		faults = append(faults, fmt.Sprintf("client %s has no link", id))
	}
	return faults
}

// cutOnly says that a client has plates whose scans only decoding shows to be
// damaged: galleries, which decodes nothing, takes them for whole.
func (w *world) cutOnly(client string) bool {
	return slices.ContainsFunc(w.plates, func(p *worldPlate) bool { return p.client == client && p.broken == "scan cut" })
}

// allCopied says that of each of these plates the picture is kept as another
// plate, too.
func (w *world) allCopied(ids []string) bool {
	return !slices.ContainsFunc(w.plates, func(p *worldPlate) bool { return slices.Contains(ids, p.id) && !p.copied() })
}

func (w *world) compareGallery(public, client, link, passphrase string, want []string) (faults []string) {
	g, err := openGallery(public, link, passphrase)
	if errors.Is(err, fs.ErrNotExist) && w.allCopied(want) {
		return nil // with nothing in it, it is not made
	}
	if err != nil {
		return []string{fmt.Sprintf("the gallery of client %s: %v", client, err)}
	}
	for _, p := range w.plates {
		if has := slices.Contains(g.ids, p.id); has != slices.Contains(want, p.id) && !p.copied() {
			faults = append(faults, fmt.Sprintf("the gallery of client %s: holds plate %q: %v (%s)", client, p.id, has, w.why(p)))
		}
	}
	for id, pictures := range g.pictures {
		for _, img := range pictures {
			if plates, _ := w.owner(img); !slices.ContainsFunc(plates, func(p *worldPlate) bool { return p.id == id }) {
				faults = append(faults, fmt.Sprintf("the gallery of client %s has a picture that is not of plate %s", client, id))
			}
		}
	}
	for _, p := range w.plates {
		secrets := []string{p.own, p.notes, p.file}
		if p.client != client {
			secrets = append(secrets, p.titled, p.altTok)
		}
		for _, s := range p.scans {
			secrets = append(secrets, s.secret)
		}
		for _, text := range secrets {
			if text != "" && len(text) > 8 && strings.Contains(g.text, strings.ToLower(text)) && !w.saidToClient(client, text) {
				faults = append(faults, fmt.Sprintf("the gallery of client %s holds %q of plate %s", client, text, p.id))
			}
		}
	}
	return faults
}

// saidToClient says whether a text stands in what the client's own plates say.
func (w *world) saidToClient(client, text string) bool {
	text = strings.ToLower(text)
	for _, p := range w.plates {
		if p.client == client && strings.Contains(strings.ToLower(strings.Join(append(p.texts(), p.id), " | ")), text) {
			return true
		}
	}
	return false
}

// why says in a word what stands against a plate.
func (w *world) why(p *worldPlate) string {
	switch {
	case p.broken != "":
		return "broken: " + p.broken
	case !w.sound(p):
		return "not sound"
	}
	return fmt.Sprintf("outcome %q, purpose %q, sitters %+v", p.outcome, p.purpose, p.sitters)
}
