package bench

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// hurried servers lose their patience at once.
func hurried(t *testing.T) {
	site, form := siteLimits, formLimits
	t.Cleanup(func() { siteLimits, formLimits = site, form })
	siteLimits = limits{300 * time.Millisecond, 300 * time.Millisecond, 300 * time.Millisecond, 300 * time.Millisecond}
	formLimits = siteLimits
}

func serveSite(t *testing.T, dir string) string {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	s := &Site{Dir: dir}
	url, err := s.Listen()
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan error, 1)
	go func() { done <- s.Serve(ctx) }()
	t.Cleanup(func() {
		stop()
		if err := <-done; err != nil {
			t.Error(err)
		}
	})
	return url
}

func dial(t *testing.T, url string) net.Conn {
	t.Helper()
	c, err := net.Dial("tcp", strings.TrimSuffix(strings.TrimPrefix(url, "http://"), "/"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	if err := c.SetDeadline(time.Now().Add(30 * time.Second)); err != nil {
		t.Fatal(err)
	}
	return c
}

// putOut fails if the server is still there when the test's own time is up.
func putOut(t *testing.T, what string, c net.Conn) {
	t.Helper()
	if _, err := io.Copy(io.Discard, c); errors.Is(err, os.ErrDeadlineExceeded) {
		t.Errorf("%s: the server holds on to it", what)
	}
}

// Clients that send or read a byte now and then, or nothing, are put out.
func TestSlowClients(t *testing.T) {
	hurried(t)
	dir := t.TempDir()
	const large = 64 << 20
	if err := os.WriteFile(filepath.Join(dir, "large.bin"), make([]byte, large), 0o644); err != nil {
		t.Fatal(err)
	}
	form := serveForm(t, rooms(t), func(f *Form) { f.Now = at })
	for name, url := range map[string]string{"site": serveSite(t, dir), "form": form.url} {
		putOut(t, name+", nothing", dial(t, url))

		slow := dial(t, url)
		go func() {
			for _, b := range []byte("GET / HTTP/1.1\r\nHost: localhost\r\nX-Long: " + strings.Repeat("a", 1000)) {
				if _, err := slow.Write([]byte{b}); err != nil {
					return
				}
				time.Sleep(20 * time.Millisecond)
			}
		}()
		putOut(t, name+", a letter at a time", slow)

		c := dial(t, url)
		fmt.Fprint(c, "POST /api/plates HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 100000\r\n\r\n{")
		putOut(t, name+", a body that never ends", c)

		c = dial(t, url)
		fmt.Fprint(c, "GET / HTTP/1.1\r\nHost: localhost\r\n\r\n")
		putOut(t, name+", kept open", c)
	}
	// One that asks for much and takes none of it.
	c := dial(t, serveSite(t, dir))
	fmt.Fprint(c, "GET /large.bin HTTP/1.1\r\nHost: localhost\r\n\r\n")
	time.Sleep(time.Second)
	if n, err := io.Copy(io.Discard, c); n >= large || errors.Is(err, os.ErrDeadlineExceeded) {
		t.Errorf("a reader that slept got %d bytes, %v", n, err)
	}
}

// zeroes is a body without an end.
type zeroes struct{}

func (zeroes) Read(p []byte) (int, error) { clear(p); return len(p), nil }

// Headers and bodies without an end are cut, and asked for no more.
func TestHugeRequests(t *testing.T) {
	form := serveForm(t, rooms(t), func(f *Form) { f.Now = at })
	_, _, body := get(t, form.url+"api/state")
	token, _, _ := strings.Cut(body[strings.Index(body, `"token":"`)+9:], `"`)
	for _, tc := range []struct {
		what, method, url, kind string
		status                  int
	}{
		{"an entry", "POST", form.url + "api/plates", "application/json", http.StatusRequestEntityTooLarge},
		{"a picture", "POST", form.url + "api/pictures?id=" + entryID(2) + "&of=" + entryID(1), "image/jpeg", http.StatusRequestEntityTooLarge},
		{"a body with a question", "GET", form.url, "text/plain", http.StatusOK},
		{"a body for the site", "POST", serveSite(t, site(t)), "text/plain", http.StatusMethodNotAllowed},
	} {
		c := dial(t, strings.Join(strings.Split(tc.url, "/")[:3], "/"))
		path := "/" + strings.Join(strings.Split(tc.url, "/")[3:], "/")
		fmt.Fprintf(c, "%s %s HTTP/1.1\r\nHost: localhost\r\nContent-Type: %s\r\nX-Bench-Token: %s\r\nContent-Length: %d\r\n\r\n", tc.method, path, tc.kind, token, int64(1)<<40)
		sent := make(chan int64, 1)
		go func() {
			n, _ := io.Copy(c, zeroes{}) // until the server cuts it
			sent <- n
		}()
		answer, err := http.ReadResponse(bufio.NewReader(c), nil)
		if err != nil || answer.StatusCode != tc.status {
			t.Errorf("%s: %+v, %v, want %d", tc.what, answer, err, tc.status)
			c.Close()
		}
		if n := <-sent; n > pictureMost+64<<20 {
			t.Errorf("%s: the server took %d bytes", tc.what, n)
		}
	}
	for _, url := range []string{form.url, serveSite(t, site(t))} {
		c := dial(t, url)
		fmt.Fprintf(c, "GET / HTTP/1.1\r\nHost: localhost\r\nX-Long: %s\r\n\r\n", strings.Repeat("a", 64<<10))
		answer, err := http.ReadResponse(bufio.NewReader(c), nil)
		if err == nil && answer.StatusCode != http.StatusRequestHeaderFieldsTooLarge {
			t.Errorf("64 KB of header: %d", answer.StatusCode)
		}
	}
}

// Without --lan, no other machine reaches a site or the form: nothing listens at
// the addresses that this one has on networks.
func TestLoopbackAlone(t *testing.T) {
	form := serveForm(t, rooms(t), func(f *Form) { f.Now = at })
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		t.Fatal(err)
	}
	for _, url := range []string{form.url, serveSite(t, site(t))} {
		host, port, err := net.SplitHostPort(strings.TrimSuffix(strings.TrimPrefix(url, "http://"), "/"))
		if err != nil || host != "127.0.0.1" {
			t.Errorf("%s: %v", url, err)
		}
		dial(t, url) // it does listen
		for _, a := range addresses {
			ip, ok := a.(*net.IPNet)
			if !ok || ip.IP.IsLoopback() || ip.IP.To4() == nil {
				continue
			}
			c, err := net.DialTimeout("tcp", net.JoinHostPort(ip.IP.String(), port), 5*time.Second)
			if err == nil {
				c.Close()
				t.Errorf("%s is reached at %s", url, ip.IP)
			}
		}
	}
}
