package bench

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"net/netip"
	"os"
	"path"
	"strings"
	"time"
)

// Site is a folder served at a port of its own, so that two sites share no
// origin.
type Site struct {
	Name string
	Dir  string
	Port int // 0: the system picks one
	// Prefix is the path the site lives under, such as "/plates/"; "" for "/".
	Prefix string

	listener net.Listener
	server   *http.Server
}

// Listen opens the site's port on loopback and returns its address. A port that
// is taken is an error; the caller may try another.
func (s *Site) Listen() (url string, err error) {
	s.listener, err = net.Listen("tcp", fmt.Sprintf("127.0.0.1:%d", s.Port))
	if err != nil {
		return "", err
	}
	return fmt.Sprintf("http://%s%s", s.listener.Addr(), s.prefix()), nil
}

func (s *Site) prefix() string {
	if s.Prefix == "" {
		return "/"
	}
	return s.Prefix
}

// Serve answers until the context ends.
func (s *Site) Serve(ctx context.Context) error {
	s.server = siteLimits.server(LoopbackOnly(Files(s.Dir, s.prefix())))
	done := make(chan struct{})
	go func() {
		defer close(done)
		<-ctx.Done()
		bounded, stop := context.WithTimeout(context.Background(), 2*time.Second)
		defer stop()
		_ = s.server.Shutdown(bounded)
	}()
	err := s.server.Serve(s.listener)
	if errors.Is(err, http.ErrServerClosed) {
		<-done
		return nil
	}
	return err
}

// LoopbackOnly refuses requests whose Host is not this machine's loopback name
// or address, and those that another site's page makes.
func LoopbackOnly(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !isLoopback(r.Host) {
			http.Error(w, "this address serves only the machine it runs on", http.StatusMisdirectedRequest)
			return
		}
		if origin := r.Header.Get("Origin"); origin != "" && origin != "http://"+r.Host {
			http.Error(w, "requests from other sites are refused", http.StatusForbidden)
			return
		}
		if site := r.Header.Get("Sec-Fetch-Site"); site == "cross-site" && r.Header.Get("Sec-Fetch-Mode") != "navigate" {
			http.Error(w, "requests from other sites are refused", http.StatusForbidden)
			return
		}
		next.ServeHTTP(w, r)
	})
}

func isLoopback(host string) bool {
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	}
	host = strings.Trim(host, "[]")
	if host == "localhost" {
		return true
	}
	addr, err := netip.ParseAddr(host)
	return err == nil && addr.IsLoopback()
}

// Files serves a folder below a prefix: files as they are, index.html for
// folders, no listings, nothing whose name begins with a dot, and no path that
// leaves the folder (os.Root holds it).
func Files(dir, prefix string) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			http.Error(w, "this site is only read", http.StatusMethodNotAllowed)
			return
		}
		rest, ok := strings.CutPrefix(r.URL.Path, prefix)
		if !ok {
			if prefix != "/" && (r.URL.Path == "/" || r.URL.Path+"/" == prefix) {
				http.Redirect(w, r, prefix, http.StatusFound)
				return
			}
			notFound(w, dir)
			return
		}
		root, err := os.OpenRoot(dir)
		if err != nil {
			http.Error(w, "the site is not built yet", http.StatusServiceUnavailable)
			return
		}
		defer root.Close()
		serveFile(w, r, root, rest, dir)
	})
}

func serveFile(w http.ResponseWriter, r *http.Request, root *os.Root, rest, dir string) {
	name := path.Clean("/" + rest)[1:]
	if name == "" {
		name = "."
	}
	if hidden(name) {
		notFound(w, dir)
		return
	}
	f, err := root.Open(name)
	if err != nil {
		notFound(w, dir)
		return
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		notFound(w, dir)
		return
	}
	if info.IsDir() {
		if rest != "" && !strings.HasSuffix(r.URL.Path, "/") {
			http.Redirect(w, r, path.Base(r.URL.Path)+"/", http.StatusMovedPermanently)
			return
		}
		if f, err = root.Open(path.Join(name, "index.html")); err != nil {
			notFound(w, dir)
			return
		}
		defer f.Close()
		if info, err = f.Stat(); err != nil || info.IsDir() {
			notFound(w, dir)
			return
		}
	}
	setHeaders(w.Header(), info.Name())
	http.ServeContent(w, r, info.Name(), info.ModTime(), f)
}

func hidden(name string) bool {
	for part := range strings.SplitSeq(name, "/") {
		if part != "." && strings.HasPrefix(part, ".") {
			return true
		}
	}
	return false
}

// types are the endings whose type the system's own table may not know or may
// have wrong.
var types = map[string]string{
	".mjs": "text/javascript; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8", ".html": "text/html; charset=utf-8",
	".json": "application/json", ".jsonld": "application/ld+json", ".xml": "application/xml", ".svg": "image/svg+xml", ".jpg": "image/jpeg",
	".avif": "image/avif", ".bin": "application/octet-stream", ".ics": "text/calendar; charset=utf-8", ".txt": "text/plain; charset=utf-8",
}

func setHeaders(h http.Header, name string) {
	if t, ok := types[strings.ToLower(path.Ext(name))]; ok {
		h.Set("Content-Type", t)
	}
	h.Set("Cache-Control", "no-cache")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Content-Security-Policy", "frame-ancestors 'none'")
}

// notFound answers with the site's own page for it when it has one.
func notFound(w http.ResponseWriter, dir string) {
	page, err := fs.ReadFile(os.DirFS(dir), "404.html")
	if err != nil {
		http.Error(w, "there is no such page", http.StatusNotFound)
		return
	}
	setHeaders(w.Header(), "404.html")
	w.WriteHeader(http.StatusNotFound)
	_, _ = w.Write(page)
}
