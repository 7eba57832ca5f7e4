package publish

import (
	"context"
	"crypto/md5"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/johannesboyne/gofakes3"
	"github.com/johannesboyne/gofakes3/backend/s3mem"
)

// store is a server that speaks S3, started by the test, with faults.
type store struct {
	t       testing.TB
	server  *httptest.Server
	backend gofakes3.Backend

	mu      sync.Mutex
	fault   func(r *http.Request) string // "503", "reset", "slow", "stop", "hang" or ""
	calls   atomic.Int64
	headers map[string]http.Header // of the last write of each object
	// seen are the objects in the order in which they were written or removed.
	seen []string
}

const bucket = "plates"

func newStore(t testing.TB) *store {
	t.Helper()
	s := &store{t: t, backend: s3mem.New(), headers: map[string]http.Header{}}
	if err := s.backend.CreateBucket(bucket); err != nil {
		t.Fatal(err)
	}
	inner := gofakes3.New(s.backend, gofakes3.WithTimeSkewLimit(0)).Server()
	s.server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.calls.Add(1)
		s.mu.Lock()
		fault := ""
		if s.fault != nil {
			fault = s.fault(r)
		}
		s.mu.Unlock()
		switch fault {
		case "503":
			http.Error(w, "<Error><Code>SlowDown</Code></Error>", http.StatusServiceUnavailable)
			return
		case "stop":
			http.Error(w, "<Error><Code>AccessDenied</Code></Error>", http.StatusForbidden)
			return
		case "reset":
			// Half of the body is read, then the connection is cut hard.
			io.CopyN(io.Discard, r.Body, r.ContentLength/2)
			if conn, _, err := w.(http.Hijacker).Hijack(); err == nil {
				conn.(*net.TCPConn).SetLinger(0)
				conn.Close()
			}
			return
		case "hang":
			_, _ = io.Copy(io.Discard, r.Body)
			<-r.Context().Done()
			return
		case "slow":
			time.Sleep(30 * time.Millisecond)
		}
		inner.ServeHTTP(w, r)
		if r.Method == http.MethodPut || r.Method == http.MethodDelete {
			s.mu.Lock()
			name := strings.TrimPrefix(r.URL.Path, "/"+bucket+"/")
			s.seen = append(s.seen, r.Method+" "+name)
			s.headers[name] = r.Header.Clone()
			s.mu.Unlock()
		}
	}))
	t.Cleanup(s.server.Close)
	t.Setenv("AWS_ACCESS_KEY_ID", "test")
	t.Setenv("AWS_SECRET_ACCESS_KEY", "test")
	t.Setenv("AWS_EC2_METADATA_DISABLED", "true")
	t.Setenv("AWS_CONFIG_FILE", filepath.Join(t.TempDir(), "none"))
	t.Setenv("AWS_SHARED_CREDENTIALS_FILE", filepath.Join(t.TempDir(), "none"))
	return s
}

func (s *store) address(prefix string) string {
	return fmt.Sprintf("s3://%s/%s?endpoint=%s&region=us-east-1&use_path_style=true", bucket, prefix, s.server.URL)
}

func (s *store) set(fault func(r *http.Request) string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.fault, s.seen = fault, nil
}

// holds gives everything in the store below a prefix.
func (s *store) holds(prefix string) map[string]string {
	s.t.Helper()
	out := map[string]string{}
	list, err := s.backend.ListBucket(bucket, &gofakes3.Prefix{HasPrefix: prefix != "", Prefix: prefix}, gofakes3.ListBucketPage{})
	if err != nil {
		s.t.Fatal(err)
	}
	for _, o := range list.Contents {
		object, err := s.backend.GetObject(bucket, o.Key, nil)
		if err != nil {
			s.t.Fatal(err)
		}
		text, _ := io.ReadAll(object.Contents)
		object.Contents.Close()
		out[strings.TrimPrefix(o.Key, prefix)] = string(text)
	}
	return out
}

// siteFiles is a small site of a version: pages that show files named by their
// content, a list under a steady name that names other files, and a page that
// comes and goes.
func siteFiles(version int) map[string]string {
	files := map[string]string{
		Mark: "mark", ".nojekyll": "", "robots.txt": "User-agent: *\n", "_headers": "/base/*\n  Cache-Control: no-cache\n/base/img/*\n  ! Cache-Control\n  Cache-Control: public, max-age=31536000, immutable\n",
		"g/x/index.html": "<p>gallery</p>",
	}
	page := func(name string, shows ...string) {
		files[name] = fmt.Sprintf("<p>version %d</p>", version)
		for _, s := range shows {
			files[name] += "\n<img src=/" + s + ">"
		}
	}
	img := func(i int) string {
		text := fmt.Sprintf("picture %d of version %d", i, version-version*(i%2)) // half of them never change
		name := fmt.Sprintf("img/%x.jpg", md5.Sum([]byte(text)))
		files[name] = text
		return name
	}
	shard := fmt.Sprintf("catalogue/t0-%d.bin", version)
	files[shard] = strings.Repeat("terms ", version+1)
	files["catalogue/directory.json"] = `{"shows":["` + shard + `"]}`
	for i := range 6 {
		page(fmt.Sprintf("plates/%d/index.html", i), img(i), "catalogue/directory.json")
	}
	page(fmt.Sprintf("plates/only-%d/index.html", version), img(7+version))
	page("index.html", img(6), fmt.Sprintf("plates/only-%d/index.html", version), "plates/0/index.html")
	files["sitemap.xml"] = fmt.Sprintf("<urlset><loc>/plates/only-%d/index.html</loc></urlset>", version)
	return files
}

// build writes a site of a version to a folder.
func build(t testing.TB, version int) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range siteFiles(version) {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// visit looks at a place as a visitor does: whatever a page shows must be there,
// and whatever a list names. Pages that are reached only from pages of the next
// version may be missing with them.
func visit(files map[string]string) error {
	for name, text := range files {
		if !strings.HasSuffix(name, ".html") && !strings.HasSuffix(name, ".json") {
			continue
		}
		for _, f := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune("\"<>= \n[]", r) }) {
			target := strings.TrimPrefix(f, "/")
			if !strings.ContainsRune(target, '/') || strings.HasPrefix(target, "p") && !strings.HasPrefix(target, "plates/") {
				continue
			}
			if _, there := files[target]; !there {
				return fmt.Errorf("%s shows %s, which is not there", name, target)
			}
		}
	}
	return nil
}

// version tells which version a page is of.
func version(text string) string {
	_, rest, _ := strings.Cut(text, "version ")
	v, _, _ := strings.Cut(rest, "<")
	return v
}

func same(a, b map[string]string) bool {
	if len(a) != len(b) {
		return false
	}
	for name, text := range a {
		if other, ok := b[name]; !ok || other != text {
			return false
		}
	}
	return true
}

// folderHolds reads a folder back.
func folderHolds(t testing.TB, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	filepath.WalkDir(dir, func(path string, entry os.DirEntry, err error) error {
		if err == nil && !entry.IsDir() {
			name, _ := filepath.Rel(dir, path)
			text, _ := os.ReadFile(path)
			out[filepath.ToSlash(name)] = string(text)
		}
		return nil
	})
	return out
}

func mustPublish(t testing.TB, dir, address string, opt Options) Report {
	t.Helper()
	r, err := Publish(context.Background(), dir, address, opt)
	if err != nil {
		t.Fatal(err)
	}
	return r
}
