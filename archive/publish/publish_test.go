package publish

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// TestMain is also the process that is killed while it publishes.
func TestMain(m *testing.M) {
	pause = time.Millisecond
	if job := os.Getenv("PUBLISH_TEST_JOB"); job != "" {
		dir, address, _ := strings.Cut(job, "\t")
		fmt.Println("ready")
		if _, err := Publish(context.Background(), dir, address, Options{Parallel: 3}); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// places are the kinds of place a site can be published to: an address, and what
// it holds.
func places(t *testing.T) map[string]func(t *testing.T) (string, func() map[string]string) {
	return map[string]func(t *testing.T) (string, func() map[string]string){
		"s3": func(t *testing.T) (string, func() map[string]string) {
			s := newStore(t)
			return s.address(""), func() map[string]string { return s.holds("") }
		},
		"s3 with a prefix": func(t *testing.T) (string, func() map[string]string) {
			s := newStore(t)
			return s.address("studio/site"), func() map[string]string { return s.holds("studio/site/") }
		},
		"azure with a prefix": func(t *testing.T) (string, func() map[string]string) {
			a := newAzure(t)
			return a.address("site"), func() map[string]string { return a.holds("site/") }
		},
		"a folder": func(t *testing.T) (string, func() map[string]string) {
			dir := filepath.Join(t.TempDir(), "www", "site")
			return dir, func() map[string]string { return folderHolds(t, dir) }
		},
		"file://": func(t *testing.T) (string, func() map[string]string) {
			dir := filepath.Join(t.TempDir(), "www")
			return "file://" + filepath.ToSlash(dir), func() map[string]string { return folderHolds(t, dir) }
		},
	}
}

func TestPublish(t *testing.T) {
	for name, place := range places(t) {
		t.Run(name, func(t *testing.T) {
			address, holds := place(t)
			one, two := build(t, 1), build(t, 2)
			dry := mustPublish(t, one, address, Options{DryRun: true})
			if len(holds()) > 0 {
				t.Error("a dry run wrote something")
			}
			r := mustPublish(t, one, address, Options{})
			if !same(holds(), siteFiles(1)) || len(r.Sent) != len(siteFiles(1)) || r.Same != 0 || !slices.Equal(r.Sent, dry.Sent) {
				t.Errorf("first: %+v, dry %+v", r, dry)
			}
			if r := mustPublish(t, one, address, Options{}); len(r.Sent)+len(r.Removed) > 0 || r.Bytes != 0 || r.Same != len(siteFiles(1)) {
				t.Errorf("again: %+v", r)
			}
			var sent int64
			r = mustPublish(t, two, address, Options{Progress: func(done, total int64) {
				if sent = max(sent, done); done > total {
					t.Errorf("%d of %d", done, total)
				}
			}})
			if !same(holds(), siteFiles(2)) || slices.Contains(r.Sent, "robots.txt") || len(r.Removed) == 0 || sent != r.Bytes {
				t.Errorf("second: %+v", r)
			}
			mustPublish(t, one, address, Options{})
			if !same(holds(), siteFiles(1)) {
				t.Error("back: not the old site")
			}
		})
	}
}

// Pages come after what they show, the front page last, removals at the end.
func TestOrder(t *testing.T) {
	s := newStore(t)
	mustPublish(t, build(t, 1), s.address(""), Options{})
	s.set(nil)
	mustPublish(t, build(t, 2), s.address(""), Options{})
	at := func(what string) int {
		i := slices.IndexFunc(s.seen, func(line string) bool { return strings.HasPrefix(line, what) })
		if i < 0 {
			t.Fatalf("%s is not in %q", what, s.seen)
		}
		return i
	}
	order := []string{"PUT catalogue/t0-2.bin", "PUT catalogue/directory.json", "PUT plates/only-2/index.html", "PUT plates/0/index.html", "PUT index.html", "DELETE plates/only-1/index.html", "DELETE catalogue/t0-1.bin"}
	for i := 1; i < len(order); i++ {
		if at(order[i-1]) > at(order[i]) {
			t.Errorf("%s comes after %s:\n%s", order[i-1], order[i], strings.Join(s.seen, "\n"))
		}
	}
}

func TestHeadersOfObjects(t *testing.T) {
	s := newStore(t)
	mustPublish(t, build(t, 1), s.address(""), Options{})
	const forGood = "public, max-age=31536000, immutable"
	for name, want := range map[string][2]string{
		"index.html": {"text/html; charset=utf-8", "no-cache"}, "catalogue/directory.json": {"application/json", "no-cache"},
		"catalogue/t0-1.bin": {"application/octet-stream", "no-cache"}, "sitemap.xml": {"application/xml", "no-cache"}, "_headers": {"text/plain; charset=utf-8", "no-cache"},
	} {
		h := s.headers[name]
		if got := [2]string{h.Get("Content-Type"), h.Get("Cache-Control")}; got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
		if h.Get("X-Amz-Content-Sha256") == "UNSIGNED-PAYLOAD" || h.Get("Content-Encoding") != "" {
			t.Errorf("%s: headers %v", name, h)
		}
	}
	for name := range siteFiles(1) {
		if strings.HasPrefix(name, "img/") && s.headers[name].Get("Cache-Control") != forGood {
			t.Errorf("%s: %v", name, s.headers[name])
		}
	}
	// A type is served as it was sent.
	resp, err := http.Get(s.server.URL + "/" + bucket + "/index.html")
	if err != nil {
		t.Fatal(err)
	}
	resp.Body.Close()
	if got := resp.Header.Get("Content-Type"); got != "text/html; charset=utf-8" {
		t.Errorf("served as %q", got)
	}
}

func TestReadHeaders(t *testing.T) {
	path := filepath.Join(t.TempDir(), "_headers")
	text := "# comment\n/studio/*\n  Referrer-Policy: no-referrer\n  Cache-Control: no-cache\n/studio/iiif/*\n  ! Cache-Control\n  Cache-Control: public, max-age=31536000, immutable\n/studio/one.txt\n  cache-control: max-age=60\n/studio/index/*.bin\n  ! Cache-Control\n  Cache-Control: immutable\n/studio/g/:gallery/*.bin\n  ! Cache-Control\n  Cache-Control: immutable\n/studio/g/:gallery/list.bin\n  ! Cache-Control\n  Cache-Control: no-cache\n/elsewhere/*\n  Cache-Control: max-age=1\n"
	os.WriteFile(path, []byte(text), 0o644)
	h, err := readHeaders(path)
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{
		"index.html": "no-cache", "iiif/x/full/max/0/default.jpg": "public, max-age=31536000, immutable", "one.txt": "no-cache, max-age=60", "one.txt2": "no-cache", "elsewhere/x": "no-cache",
		"index/t0-1.bin": "immutable", "index/directory.json": "no-cache", "indexAbin": "no-cache", "g/abc/k7.bin": "immutable", "g/abc/list.bin": "no-cache", "g/list.bin": "no-cache",
	} {
		if got := h.of(name); got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
	if h, err := readHeaders(path + "x"); err != nil || h.of("a") != cautious {
		t.Errorf("without the file: %v, %q", err, h.of("a"))
	}
}

func TestRefuses(t *testing.T) {
	ctx := context.Background()
	s := newStore(t)
	plain := t.TempDir()
	os.WriteFile(filepath.Join(plain, "secret.md"), []byte("x"), 0o644)
	if _, err := Publish(ctx, plain, s.address(""), Options{}); !errors.Is(err, ErrNotASite) {
		t.Errorf("a folder that is no site: %v", err)
	}
	site := build(t, 1)
	for _, address := range []string{"", " ", "ftp://x/y", "s3://", "s3:///x", "s3://user:word@bucket/x", "gs://x"} {
		if _, err := Publish(ctx, site, address, Options{}); err == nil || strings.Contains(err.Error(), "word") {
			t.Errorf("%q: %v", address, err)
		}
	}
	foreign := t.TempDir()
	os.WriteFile(filepath.Join(foreign, "thesis.doc"), []byte("x"), 0o644)
	if _, err := Publish(ctx, site, foreign, Options{}); !errors.Is(err, ErrForeign) || !strings.Contains(err.Error(), "thesis.doc") {
		t.Errorf("a place with other things: %v", err)
	}
	if got := folderHolds(t, foreign); len(got) != 1 {
		t.Errorf("it was written to: %v", got)
	}
	mustPublish(t, site, foreign, Options{Adopt: true})
	if !same(folderHolds(t, foreign), siteFiles(1)) {
		t.Error("taken over: not the site")
	}
	if err := os.Symlink("/etc/passwd", filepath.Join(site, "x.html")); err != nil {
		t.Fatal(err)
	}
	if _, err := Publish(ctx, site, s.address(""), Options{}); err == nil || !strings.Contains(err.Error(), "link") {
		t.Errorf("a link: %v", err)
	}
}

// What a bucket beside the prefix holds is not touched.
func TestPrefixIsAWall(t *testing.T) {
	s := newStore(t)
	mustPublish(t, build(t, 1), s.address("one"), Options{})
	mustPublish(t, build(t, 2), s.address("one-more"), Options{})
	mustPublish(t, build(t, 3), s.address("one"), Options{})
	if !same(s.holds("one/"), siteFiles(3)) || !same(s.holds("one-more/"), siteFiles(2)) {
		t.Error("one site reached into the other")
	}
}

// Large objects are sent in parts and have no MD5; they are known again all the same.
func TestLargeObject(t *testing.T) {
	s := newStore(t)
	dir := build(t, 1)
	big := make([]byte, 20<<20)
	rand.NewChaCha8([32]byte{1}).Read(big)
	os.WriteFile(filepath.Join(dir, "g", "x", "big.bin"), big, 0o644)
	mustPublish(t, dir, s.address(""), Options{})
	if r := mustPublish(t, dir, s.address(""), Options{}); len(r.Sent) > 0 {
		t.Errorf("sent again: %+v", r)
	}
	if s.holds("")["g/x/big.bin"] != string(big) {
		t.Error("not what was sent")
	}
	big[7] ^= 1
	os.WriteFile(filepath.Join(dir, "g", "x", "big.bin"), big, 0o644)
	if r := mustPublish(t, dir, s.address(""), Options{}); !slices.Equal(r.Sent, []string{"g/x/big.bin"}) {
		t.Errorf("changed: %+v", r)
	}
}

// With a store that fails or dawdles at one call in three, in every way at once, the site
// arrives whole.
func TestFaults(t *testing.T) {
	for seed := range uint64(2) {
		s := newStore(t)
		random := rand.New(rand.NewPCG(seed, 1))
		mustPublish(t, build(t, 1), s.address(""), Options{})
		s.set(func(r *http.Request) string {
			return []string{"503", "reset", "slow", "", "", "", "", "", ""}[random.IntN(9)]
		})
		mustPublish(t, build(t, 2), s.address(""), Options{Tries: 20})
		s.set(nil)
		if !same(s.holds(""), siteFiles(2)) {
			t.Errorf("seed %d: not the new site", seed)
		}
	}
}

// A store that stays away ends it, with words; a refusal is not tried again.
func TestGivesUp(t *testing.T) {
	s := newStore(t)
	site := build(t, 1)
	s.set(func(r *http.Request) string {
		if r.Method == http.MethodPut && strings.HasSuffix(r.URL.Path, "robots.txt") {
			return "503"
		}
		return ""
	})
	_, err := Publish(context.Background(), site, s.address(""), Options{Tries: 2})
	if err == nil || !strings.Contains(err.Error(), "robots.txt") || !strings.Contains(err.Error(), "try 2") || !strings.Contains(err.Error(), "goes on from here") {
		t.Errorf("got %v", err)
	}
	s.set(func(r *http.Request) string {
		if r.Method == http.MethodPut {
			return "stop"
		}
		return ""
	})
	before := s.calls.Load()
	if _, err := Publish(context.Background(), site, s.address(""), Options{}); err == nil || !strings.Contains(err.Error(), "try 1") {
		t.Errorf("refused: %v", err)
	}
	if n := s.calls.Load() - before; n > 12 {
		t.Errorf("a refusal was tried %d times", n)
	}
	for _, text := range []string{"test", "AWS_SECRET"} {
		if err != nil && strings.Contains(err.Error(), "Credential="+text) {
			t.Errorf("a key is told: %v", err)
		}
	}
}

// A host that takes a call and never answers it is given up and asked again; one
// that is not there, or does not know the bucket, is told in one line.
func TestHostsThatDoNotAnswer(t *testing.T) {
	was := leastWait
	defer func() { leastWait = was }()
	leastWait = time.Second
	s := newStore(t)
	hung := 0
	s.set(func(r *http.Request) string {
		if r.Method == http.MethodPut && strings.HasSuffix(r.URL.Path, "/robots.txt") && hung < 2 {
			hung++
			return "hang"
		}
		return ""
	})
	mustPublish(t, build(t, 1), s.address(""), Options{Tries: 20})
	if hung != 2 || !same(s.holds(""), siteFiles(1)) {
		t.Errorf("hung %d times; not the site", hung)
	}
	missing := strings.Replace(s.address(""), bucket, "no-such-bucket", 1)
	gone := httptest.NewServer(http.NotFoundHandler())
	gone.Close()
	for address, says := range map[string]string{
		missing: "the name of the bucket",
		fmt.Sprintf("s3://%s?endpoint=%s&region=us-east-1&use_path_style=true", bucket, gone.URL): "refused",
	} {
		_, err := Publish(context.Background(), build(t, 1), address, Options{Tries: 2})
		if err == nil || !strings.Contains(err.Error(), says) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v", address, err)
		}
	}
	t.Setenv("AWS_ACCESS_KEY_ID", "")
	t.Setenv("AWS_SECRET_ACCESS_KEY", "")
	if _, err := Publish(context.Background(), build(t, 1), s.address(""), Options{}); err == nil || !strings.Contains(err.Error(), "there are no keys") || !strings.Contains(err.Error(), "try 1") {
		t.Errorf("without keys: %v", err)
	}
}

// Interrupted at any call, visitors see whole pages, and the next run ends it.
func TestInterruptedAtEachCall(t *testing.T) {
	site := build(t, 2)
	for stop := 1; ; stop++ {
		s := newStore(t)
		mustPublish(t, build(t, 1), s.address(""), Options{})
		ctx, cancel := context.WithCancel(context.Background())
		n := 0
		s.set(func(r *http.Request) string {
			if n++; n == stop {
				cancel()
			}
			return ""
		})
		_, err := Publish(ctx, site, s.address(""), Options{Parallel: 2})
		cancel()
		s.set(nil)
		if problem := visit(s.holds("")); problem != nil {
			t.Fatalf("stopped at call %d: %v", stop, problem)
		}
		mustPublish(t, site, s.address(""), Options{})
		if !same(s.holds(""), siteFiles(2)) {
			t.Fatalf("stopped at call %d, then published: not the new site", stop)
		}
		if err == nil {
			if stop < 15 {
				t.Errorf("only %d calls", stop)
			}
			return
		}
	}
}

// A process killed at seeded moments, publishing to a folder and to a store.
func TestKilledAtSeededTimes(t *testing.T) {
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(3, 1851))
	dirs := map[int]string{}
	for v := range 4 {
		dirs[v] = build(t, v)
	}
	s := newStore(t)
	// A little time for each write, so that the kills meet them.
	slow := func(r *http.Request) string {
		time.Sleep(time.Duration(200+len(r.URL.Path)) * time.Microsecond)
		return ""
	}
	folder := filepath.Join(t.TempDir(), "www")
	mustPublish(t, dirs[0], s.address(""), Options{})
	mustPublish(t, dirs[0], folder, Options{})
	s.set(slow)
	// How long a whole run takes here and now; the kills fall within it.
	longest := map[string]time.Duration{}
	for _, address := range []string{folder, s.address("")} {
		began := time.Now()
		cmd := exec.Command(self)
		cmd.Env = append(os.Environ(), "PUBLISH_TEST_JOB="+dirs[1]+"\t"+address)
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		longest[address] = time.Since(began)
	}
	finished, stopped := 0, 0
	for seed := range 200 {
		v := 1 + seed%3
		address, holds := folder, func() map[string]string { return folderHolds(t, folder) }
		if seed%4 == 0 {
			address, holds = s.address(""), func() map[string]string { return s.holds("") }
		}
		cmd := exec.Command(self)
		cmd.Env = append(os.Environ(), "PUBLISH_TEST_JOB="+dirs[v]+"\t"+address)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		bufio.NewReader(out).ReadString('\n')
		time.Sleep(time.Duration(random.Int64N(int64(longest[address]))))
		cmd.Process.Kill()
		if cmd.Wait() == nil {
			finished++
		} else {
			stopped++
		}
		files := holds()
		for name := range files {
			if strings.Contains(filepath.Base(name), "fileblob") {
				delete(files, name) // a half-written draft, which nobody asks for
			}
		}
		if problem := visit(files); problem != nil {
			t.Fatalf("kill %d: %v", seed, problem)
		}
		for name, text := range files {
			if v := version(text); strings.HasSuffix(name, "index.html") && v != "" && !strings.Contains("0123", v) {
				t.Fatalf("kill %d: %s is torn: %q", seed, name, text)
			}
		}
	}
	s.set(nil)
	t.Logf("%d finished, %d killed on the way", finished, stopped)
	if finished < 10 || stopped < 50 {
		t.Errorf("the kills did not meet the work: %d finished, %d killed", finished, stopped)
	}
	mustPublish(t, dirs[3], folder, Options{})
	mustPublish(t, dirs[3], s.address(""), Options{})
	if !same(folderHolds(t, folder), siteFiles(3)) || !same(s.holds(""), siteFiles(3)) {
		t.Error("published at last: not the site")
	}
}
