package gallery

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"image"
	"image/jpeg"
	"io/fs"
	"math"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/image/draw"

	"sandarac/archive/consent"
	"sandarac/archive/hugo"
	"sandarac/archive/picture"
	"sandarac/archive/record"
	"sandarac/archive/seal"
)

// templatesDir holds the page's template, scripts and style.
var templatesDir = os.DirFS("../../templates")

func testSecret(t testing.TB) seal.Secret {
	t.Helper()
	s, err := seal.SecretFrom([]byte("an archive secret of 32 bytes ..")[:32])
	if err != nil {
		t.Fatal(err)
	}
	return s
}

var london = time.FixedZone("BST", 3600)

// testGallery is a client's gallery of n plates, the last of them fresh.
func testGallery(client string, n int) consent.Gallery {
	g := consent.Gallery{
		ClientID: client, Title: "Ines and the lock keepers", Generation: 1, Downloads: "full", State: "open",
		Message:    "Five plates from the two mornings at Wexcombe Lock.\nThank you for holding so still.",
		StudioName: "The Amber Barge", StudioURL: "https://amberbarge.example/", StudioEmail: "ask@amberbarge.example",
		Credit: "The Amber Barge", Zone: london, Until: record.Date{Year: 2099, Month: 9, Day: 30},
		Care: []string{"Bring a plate back any time: we look at it for nothing."},
	}
	for i := range n {
		g.Plates = append(g.Plates, testPlate(client, i))
	}
	return g
}

func testPlate(client string, i int) consent.GalleryPlate {
	kinds := []struct {
		title, support, format string
		w, h                   float64
	}{
		{"Ines at the balance beam", "tin", "half", 108, 140},
		{"Mr Okafor, lock keeper", "glass", "quarter", 83, 108},
		{"The two sisters", "tin", "quarter", 83, 108},
		{"Hands and windlass", "aluminium", "sixth", 70, 83},
		{"The lock, early", "tin", "half", 108, 140},
	}
	k := kinds[i%len(kinds)]
	made := time.Date(2026, 6, 13+i/3, 10+i, 12, 0, 0, london)
	return consent.GalleryPlate{
		ID: client + "-" + string(rune('a'+i)), Title: k.title, Alt: k.title + ", seen from the towpath", Made: made, Support: k.support,
		Format:    record.Format{Slug: k.format, Name: k.format + " plate", WidthMM: k.w, HeightMM: k.h},
		Varnished: made.Add(4 * time.Hour), CureHours: 24, Public: i == 1, Masters: []string{"/masters/" + client + "-" + string(rune('a'+i)) + ".tif"},
	}
}

// testSets encodes pictures for the jobs as picture would: one scene a master,
// its size by the last letter of the name.
func testSets(t testing.TB, jobs []picture.Job, masterWidth int) []picture.Set {
	t.Helper()
	dir := t.TempDir()
	var sets []picture.Set
	for i, job := range jobs {
		w, h := masterWidth, masterWidth*5/4
		if strings.HasSuffix(job.Master, "-e.tif") {
			w, h = masterWidth*5/4, masterWidth
		}
		set := picture.Set{Master: job.Master}
		for o, out := range job.Outputs {
			width := out.Width
			if width == 0 || width > w {
				width = w
			}
			height := width * h / w
			if o > 0 && set.Files[o-1].Width == width {
				f := set.Files[o-1]
				f.Output = out
				set.Files = append(set.Files, f)
				continue
			}
			body := encoded(t, width, height, i, out.Quality)
			path := filepath.Join(dir, string(rune('a'+i))+"-"+string(rune('a'+o))+".jpg")
			if err := os.WriteFile(path, body, 0o444); err != nil {
				t.Fatal(err)
			}
			set.Files = append(set.Files, picture.File{Output: out, Path: path, Width: width, Height: height, Bytes: int64(len(body)), SHA256: sha256.Sum256(body)})
		}
		sets = append(sets, set)
	}
	return sets
}

// drawn keeps what encoded has made: many tests want the same pictures.
var drawn = map[[4]int][]byte{}

func encoded(t testing.TB, width, height, seed, quality int) []byte {
	t.Helper()
	key := [4]int{width, height, seed, quality}
	if drawn[key] == nil {
		var body bytes.Buffer
		if err := jpeg.Encode(&body, scene(width, height, uint64(seed)), &jpeg.Options{Quality: quality}); err != nil {
			t.Fatal(err)
		}
		drawn[key] = body.Bytes()
	}
	return drawn[key]
}

// scene draws a head and shoulders in the tones of a plate, with the ragged
// edge of the pour, and grain at the full size.
func scene(w, h int, seed uint64) image.Image {
	random := rand.New(rand.NewPCG(seed, 8))
	const coarse = 160
	soft := image.NewGray(image.Rect(0, 0, coarse, coarse*h/w))
	cx, turn := 0.46+0.08*random.Float64(), 0.1*random.Float64()
	blob := func(x, y, cx, cy, rx, ry float64) float64 {
		d := math.Hypot((x-cx)/rx, (y-cy)/ry)
		return 1 / (1 + math.Exp(14*(d-1)))
	}
	for i := range soft.Pix {
		x, y := float64(i%coarse)/coarse, float64(i/coarse)/float64(soft.Rect.Dy())
		light := 0.62 + 0.38*math.Sin(3.1*(x-turn))
		v := 0.17 + 0.1*math.Sin(5*x+2*turn)*y + 0.16*blob(x, y, cx, 1.02, 0.46, 0.42) + 0.5*light*blob(x, y, cx, 0.42, 0.17, 0.2)
		v -= 0.3 * blob(x, y, cx, 0.26, 0.19, 0.1)
		edge := math.Min(math.Min(x, 1-x), math.Min(y, 1-y))
		v *= 1 - 0.75*math.Exp(-edge*38*(1+0.4*math.Sin(31*x+17*y)))
		soft.Pix[i] = uint8(255 * math.Min(math.Max(v, 0.04), 0.93))
	}
	img := image.NewGray(image.Rect(0, 0, w, h))
	draw.ApproxBiLinear.Scale(img, img.Rect, soft, soft.Rect, draw.Src, nil)
	for i := range img.Pix {
		img.Pix[i] += uint8(random.Uint32() & 7)
	}
	return img
}

// renderPage lets the real Hugo render the gallery page into a finished tree.
func renderPage(t testing.TB, out string) { t.Helper(); renderPageIn(t, out, "en") }

func renderPageIn(t testing.TB, out, language string) {
	t.Helper()
	ctx := context.Background()
	project := t.TempDir()
	if err := write(project, "i18n/"+language+".toml", nil); err != nil {
		t.Fatal(err)
	}
	if err := Stage(ctx, project, templatesDir); err != nil {
		t.Fatal(err)
	}
	config, err := hugo.Config(hugo.Settings{
		BaseURL: "https://amberbarge.example/", Title: "t", Locale: language,
		DisableKinds: []string{"home", "section", "taxonomy", "term", "rss", "sitemap", "404"},
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(project, "hugo.json"), config, 0o644); err != nil {
		t.Fatal(err)
	}
	program, err := hugo.Find(ctx, hugo.Options{})
	if err != nil {
		t.Fatal(err)
	}
	site := hugo.Site{Source: project, Config: filepath.Join(project, "hugo.json"), Destination: out, Cache: t.TempDir()}
	if err := hugo.Run(ctx, program, site); err != nil {
		t.Fatal(err)
	}
}

// buildSite makes a finished tree with the galleries, and tells their links.
func buildSite(t testing.TB, masterWidth int, galleries ...consent.Gallery) (out string, links []Link) {
	t.Helper()
	out = t.TempDir()
	renderPage(t, out)
	sets := testSets(t, Jobs(galleries, picture.Rights{}), masterWidth)
	done, err := Seal(context.Background(), out, "", galleries, sets, testSecret(t))
	if err != nil {
		t.Fatal(err)
	}
	if len(done.Left) > 0 {
		t.Fatalf("plates left out: %v", done.Left)
	}
	links, err = Links(galleries, testSecret(t), "https://amberbarge.example/")
	if err != nil {
		t.Fatal(err)
	}
	return out, links
}

// serve serves the tree below a sub-path, as a static host does.
func serve(t testing.TB, out string) *httptest.Server {
	t.Helper()
	files := http.StripPrefix("/studio", http.FileServer(http.Dir(out)))
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasSuffix(r.URL.Path, ".mjs") {
			w.Header().Set("Content-Type", "text/javascript")
		}
		files.ServeHTTP(w, r)
	}))
	t.Cleanup(s.Close)
	return s
}

// at moves a link to the test's host.
func at(s *httptest.Server, link Link) string {
	return s.URL + "/studio" + strings.TrimPrefix(link.URL, "https://amberbarge.example")
}

// tree reads a finished tree: path to content.
func tree(t testing.TB, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		body, err := os.ReadFile(path)
		rel, _ := filepath.Rel(dir, path)
		out[filepath.ToSlash(rel)] = string(body)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// keysOf are the keys of a gallery, with its passphrase if it has one.
func keysOf(t testing.TB, g consent.Gallery) (open, locked seal.Gallery) {
	t.Helper()
	open, err := seal.NewGallery(testSecret(t), g.ClientID, g.Generation)
	if err != nil {
		t.Fatal(err)
	}
	if !g.PassphraseRequired {
		return open, open
	}
	phrase, err := seal.Passphrase(testSecret(t), g.ClientID, g.Generation)
	if err != nil {
		t.Fatal(err)
	}
	if locked, err = open.Locked(phrase); err != nil {
		t.Fatal(err)
	}
	return open, locked
}

// openFile opens a sealed file of a finished tree.
func openFile(t testing.TB, out string, keys seal.Gallery, name string) []byte {
	t.Helper()
	f, err := os.Open(filepath.Join(out, Folder, keys.Name(), name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	body, err := keys.Open(f, name, 64<<20)
	if err != nil {
		t.Fatal(err)
	}
	return body
}

// openList opens the list of a gallery, behind its passphrase if it has one.
func openList(t testing.TB, out string, g consent.Gallery) (l list) {
	t.Helper()
	open, locked := keysOf(t, g)
	if err := json.Unmarshal(openFile(t, out, open, listName), &l); err != nil {
		t.Fatal(err)
	}
	if l.Locked != nil {
		name := l.Locked.List
		l = list{}
		if err := json.Unmarshal(openFile(t, out, locked, name), &l); err != nil {
			t.Fatal(err)
		}
	}
	return l
}

func sha256Hex(s string) string {
	sum := sha256.Sum256([]byte(s))
	return hex.EncodeToString(sum[:])
}
