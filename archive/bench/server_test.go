package bench

import (
	"context"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"
)

func site(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for name, content := range map[string]string{
		"site/index.html": "front", "site/a/index.html": "a", "site/a/x.mjs": "1", "site/.secret": "s", "site/.hidden/f": "s", "outside.txt": "outside",
	} {
		at := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(at, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Symlink(filepath.Join(dir, "outside.txt"), filepath.Join(dir, "site", "link.txt")); err != nil {
		t.Fatal(err)
	}
	return filepath.Join(dir, "site")
}

func TestWhatIsServed(t *testing.T) {
	handler := LoopbackOnly(Files(site(t), "/sub/"))
	for _, tc := range []struct {
		method, host, path string
		header             [2]string
		status             int
		body               string
	}{
		{"GET", "127.0.0.1:80", "/sub/", [2]string{}, 200, "front"},
		{"GET", "localhost", "/sub/a/", [2]string{}, 200, "a"},
		{"GET", "[::1]:9", "/sub/a/x.mjs", [2]string{}, 200, "1"},
		{"GET", "localhost", "/sub/a", [2]string{}, 301, ""},
		{"GET", "localhost", "/", [2]string{}, 302, ""},
		{"GET", "localhost", "/a/", [2]string{}, 404, ""},
		{"GET", "rebound.example", "/sub/", [2]string{}, 421, ""},
		{"GET", "127.0.0.1.rebound.example", "/sub/", [2]string{}, 421, ""},
		{"GET", "localhost", "/sub/", [2]string{"Origin", "https://other.example"}, 403, ""},
		{"GET", "localhost", "/sub/", [2]string{"Sec-Fetch-Site", "cross-site"}, 403, ""},
		{"POST", "localhost", "/sub/", [2]string{}, 405, ""},
		{"GET", "localhost", "/sub/.secret", [2]string{}, 404, ""},
		{"GET", "localhost", "/sub/.hidden/f", [2]string{}, 404, ""},
		{"GET", "localhost", "/sub/../outside.txt", [2]string{}, 404, ""},
		{"GET", "localhost", "/sub/%2e%2e/outside.txt", [2]string{}, 404, ""},
		{"GET", "localhost", "/sub/..%2foutside.txt", [2]string{}, 404, ""},
		{"GET", "localhost", "/sub/link.txt", [2]string{}, 404, ""},
		{"GET", "localhost", "/sub/a%00", [2]string{}, 404, ""},
	} {
		r := httptest.NewRequest(tc.method, tc.path, nil)
		r.Host = tc.host
		if tc.header[0] != "" {
			r.Header.Set(tc.header[0], tc.header[1])
		}
		w := httptest.NewRecorder()
		handler.ServeHTTP(w, r)
		if w.Code != tc.status || tc.status == 200 && w.Body.String() != tc.body || strings.Contains(w.Body.String(), "outside") {
			t.Errorf("%s %s%s %v: %d %q, want %d %q", tc.method, tc.host, tc.path, tc.header, w.Code, w.Body, tc.status, tc.body)
		}
	}
}

func TestServeStopsWithItsContext(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	s := &Site{Dir: site(t)}
	url, err := s.Listen()
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan error, 1)
	go func() { done <- s.Serve(ctx) }()
	res, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	body, _ := io.ReadAll(res.Body)
	res.Body.Close()
	if string(body) != "front" || res.Header.Get("X-Content-Type-Options") != "nosniff" {
		t.Errorf("%q %v", body, res.Header)
	}
	stop()
	if err := <-done; err != nil {
		t.Error(err)
	}
}

func TestWatchWaitsForQuiet(t *testing.T) {
	root := t.TempDir()
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	var calls atomic.Int32
	called := make(chan struct{}, 10)
	go func() {
		_ = Watch(ctx, root, []string{filepath.Join(root, "public")}, func() { calls.Add(1); called <- struct{}{} })
	}()
	time.Sleep(100 * time.Millisecond)
	sub := filepath.Join(root, "2026")
	if err := os.MkdirAll(sub, 0o755); err != nil {
		t.Fatal(err)
	}
	time.Sleep(100 * time.Millisecond)
	for range 5 {
		if err := os.WriteFile(filepath.Join(sub, "p.md"), []byte("x"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	select {
	case <-called:
	case <-time.After(20 * time.Second):
		t.Fatal("a change went unnoticed")
	}
	if n := calls.Load(); n != 1 {
		t.Errorf("%d calls for one burst of changes", n)
	}
}
