package bench

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"mime"
	"net"
	"net/http"
	"net/netip"
	"path"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"golang.org/x/sync/errgroup"

	"sandarac/archive/calendar"
	"sandarac/archive/record"
	"sandarac/archive/swap"
	"sandarac/templates"
)

// entryMost bounds an entry without its picture, in bytes: notes and a drawn
// signature are the longest parts.
const entryMost = 1 << 20

// Form is the page for phone and tablet at the bench, and what takes its entries.
type Form struct {
	Root string
	Port int      // 0: the system picks one
	LAN  bool     // also on the local network, to paired devices
	Skip []string // folders of the archive that hold no records
	Now  func() time.Time

	// Pairing is set by Listen when the form is on the network.
	Pairing *Pairing

	book      *Logbook
	tokens    *tokens
	listeners []net.Listener
	addresses func() ([]netip.Prefix, error) // of this machine; tests give their own
	assets    map[string]asset
	calendar  sync.Mutex
}

// asset is a file of the page.
type asset struct {
	data []byte
	kind string
	tag  string
}

// Listen opens the log book and the form's ports, and returns its addresses:
// that on this machine first, then those on the local network.
func (f *Form) Listen(ctx context.Context) (urls []string, err error) {
	if f.assets, err = loadAssets(); err != nil {
		return nil, err
	}
	if f.book, err = OpenLogbook(ctx, f.Root, f.Now); err != nil {
		return nil, err
	}
	if f.tokens, err = newTokens(); err != nil {
		return nil, err
	}
	var hosts []netip.Prefix
	if f.LAN {
		if f.addresses == nil {
			f.addresses = localAddresses
		}
		if hosts, err = f.addresses(); err != nil {
			return nil, err
		}
		if f.Pairing, err = NewPairing(devicesFile(f.Root), f.Now); err != nil {
			return nil, err
		}
	}
	here, err := net.Listen("tcp", fmt.Sprintf("127.0.0.1:%d", f.Port))
	if err != nil {
		return nil, err
	}
	f.listeners = append(f.listeners, here)
	port := here.Addr().(*net.TCPAddr).Port
	urls = append(urls, fmt.Sprintf("http://127.0.0.1:%d/", port))
	for _, h := range hosts {
		at := netip.AddrPortFrom(h.Addr(), uint16(port)).String()
		if h.Addr().IsLoopback() {
			continue
		}
		l, err := net.Listen("tcp", at)
		if err != nil {
			f.close()
			return nil, fmt.Errorf("opening the form on the local network: %w", err)
		}
		f.listeners = append(f.listeners, l)
		urls = append(urls, "http://"+at+"/")
	}
	return urls, nil
}

func devicesFile(root string) string {
	return filepath.Join(root, ".sandarac", "bench", "devices.json")
}

// ForgetDevices puts out every device that was let in to the form of an archive.
func ForgetDevices(root string) error {
	err := swap.WriteFile(devicesFile(root), []byte("{}\n"), 0o600)
	if errors.Is(err, fs.ErrNotExist) {
		return nil // nobody was ever let in
	}
	return err
}

func (f *Form) close() {
	for _, l := range f.listeners {
		_ = l.Close() // nothing is being served yet
	}
}

// Serve answers until the context ends, and watches the archive for what others
// write.
func (f *Form) Serve(ctx context.Context) error {
	g, ctx := errgroup.WithContext(ctx)
	server := formLimits.server(f.Handler())
	for _, l := range f.listeners {
		g.Go(func() error {
			if err := server.Serve(l); !errors.Is(err, http.ErrServerClosed) {
				return err
			}
			return nil
		})
	}
	g.Go(func() error {
		<-ctx.Done()
		bounded, stop := context.WithTimeout(context.Background(), 5*time.Second)
		defer stop()
		return server.Shutdown(bounded)
	})
	g.Go(func() error { return Watch(ctx, f.Root, f.Skip, f.book.Touch) })
	if err := g.Wait(); err != nil && ctx.Err() == nil {
		return err
	}
	return nil
}

// Handler is the whole form behind its guard.
func (f *Form) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", f.file)
	mux.HandleFunc("GET /{name}", f.file)
	mux.HandleFunc("POST /api/pair", f.pair)
	mux.HandleFunc("GET /api/state", f.paired(f.state))
	mux.HandleFunc("GET /api/calendar.ics", f.paired(f.events))
	mux.HandleFunc("POST /api/plates", f.paired(f.entry((*Logbook).Plate)))
	mux.HandleFunc("POST /api/consents", f.paired(f.entry((*Logbook).Consent)))
	mux.HandleFunc("POST /api/changes", f.paired(f.entry((*Logbook).Change)))
	mux.HandleFunc("POST /api/pictures", f.paired(f.picture))
	g := &guard{next: mux}
	if f.LAN {
		g.hosts = cached(f.addresses)
	}
	return g
}

// loadAssets reads the page's files from the templates, with the measures and
// colours that all sites share.
func loadAssets() (map[string]asset, error) {
	out := map[string]asset{}
	add := func(from, name string) error {
		data, err := fs.ReadFile(templates.Files, from)
		if err != nil {
			return err
		}
		sum := sha256.Sum256(data)
		out[name] = asset{data, types[path.Ext(name)], `"` + base64.RawURLEncoding.EncodeToString(sum[:12]) + `"`}
		return nil
	}
	entries, err := fs.ReadDir(templates.Files, "benchform")
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		name := e.Name()
		if _, served := types[path.Ext(name)]; e.IsDir() || !served || strings.HasSuffix(name, ".test.mjs") {
			continue
		}
		if err := add("benchform/"+name, name); err != nil {
			return nil, err
		}
	}
	for _, shared := range []string{"tokens.css", "base.css"} {
		if err := add("shared/css/"+shared, shared); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// file serves the page and its parts. The page may be shown again from the
// browser's store when there is no connection; it is asked for anew otherwise.
func (f *Form) file(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	if name == "" {
		name = "index.html"
	}
	a, ok := f.assets[name]
	if !ok {
		http.Error(w, "there is no such page", http.StatusNotFound)
		return
	}
	h := w.Header()
	h.Set("Content-Type", a.kind)
	h.Set("Cache-Control", "no-cache")
	h.Set("ETag", a.tag)
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(a.data))
}

// cookie holds a paired device's secret.
const cookie = "sandarac-bench"

// session is the secret of a paired device, or "here" for this machine.
func (f *Form) session(r *http.Request) (string, bool) {
	if fromHere(r) {
		return "here", true
	}
	if c, err := r.Cookie(cookie); err == nil && f.Pairing != nil && f.Pairing.Known(c.Value) {
		return c.Value, true
	}
	return "", false
}

// paired lets only this machine and paired devices through.
func (f *Form) paired(next func(http.ResponseWriter, *http.Request, string)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		session, ok := f.session(r)
		if !ok {
			answer(w, http.StatusUnauthorized, problem{Error: "pair", Message: "this device is not paired: type the code that stands on the terminal"})
			return
		}
		next(w, r, session)
	}
}

// problem is an answer that is none.
type problem struct {
	Error   string `json:"error"` // "pair", "token", "malformed", "refused", "conflict", "large", "busy"
	Message string `json:"message"`
	Reasons any    `json:"reasons,omitempty"`
}

func answer(w http.ResponseWriter, status int, v any) {
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(v) // the device sends again what was not answered
}

func (f *Form) pair(w http.ResponseWriter, r *http.Request) {
	if f.Pairing == nil {
		answer(w, http.StatusNotFound, problem{Error: "malformed", Message: "the form is not open to the network"})
		return
	}
	body, ok := f.body(w, r, "application/json", 1<<10)
	if !ok {
		return
	}
	var in struct{ Code, Name string }
	if err := decodeEntry(body, &in); err != nil {
		answer(w, http.StatusBadRequest, problem{Error: "malformed", Message: err.Error()})
		return
	}
	secret, err := f.Pairing.Pair(in.Code, firstRunes(in.Name, 60))
	switch {
	case errors.Is(err, errWrongCode):
		answer(w, http.StatusForbidden, problem{Error: "pair", Message: err.Error()})
	case errors.Is(err, errTooMany), errors.Is(err, errClosed):
		answer(w, http.StatusTooManyRequests, problem{Error: "pair", Message: err.Error()})
	case err != nil:
		answer(w, http.StatusInternalServerError, problem{Error: "busy", Message: err.Error()})
	default:
		http.SetCookie(w, &http.Cookie{Name: cookie, Value: secret, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: int(pairedFor / time.Second)})
		answer(w, http.StatusOK, struct {
			Paired bool `json:"paired"`
		}{true})
	}
}

func firstRunes(s string, most int) string {
	r := []rune(strings.ToValidUTF8(s, ""))
	return string(r[:min(len(r), most)])
}

func (f *Form) state(w http.ResponseWriter, r *http.Request, session string) {
	s, err := f.book.State(r.Context())
	if err != nil {
		f.trouble(w, err)
		return
	}
	s.Token, s.Plain = f.tokens.of(session), !fromHere(r)
	answer(w, http.StatusOK, s)
}

// events is the studio's calendar, to subscribe to.
func (f *Form) events(w http.ResponseWriter, r *http.Request, _ string) {
	f.calendar.Lock()
	defer f.calendar.Unlock()
	a, _, err := record.Read(r.Context(), f.Root)
	if err != nil {
		f.trouble(w, err)
		return
	}
	now := f.book.now()
	file, err := calendar.File(a.Studio.Name, now, Events(a, now))
	if err != nil {
		f.trouble(w, err)
		return
	}
	w.Header().Set("Content-Type", types[".ics"])
	w.Header().Set("Content-Disposition", `attachment; filename="studio.ics"`)
	w.Header().Set("Cache-Control", "no-store")
	_, _ = w.Write(file)
}

// entry takes a plate, a consent or a change.
func (f *Form) entry(take func(*Logbook, context.Context, []byte) (Answer, error)) func(http.ResponseWriter, *http.Request, string) {
	return func(w http.ResponseWriter, r *http.Request, session string) {
		if !f.token(w, r, session) {
			return
		}
		body, ok := f.body(w, r, "application/json", entryMost)
		if !ok {
			return
		}
		a, err := take(f.book, r.Context(), body)
		if err != nil {
			f.trouble(w, err)
			return
		}
		answer(w, http.StatusOK, a)
	}
}

func (f *Form) picture(w http.ResponseWriter, r *http.Request, session string) {
	if !f.token(w, r, session) {
		return
	}
	body, ok := f.body(w, r, "image/jpeg", pictureMost)
	if !ok {
		return
	}
	q := r.URL.Query()
	a, err := f.book.Picture(r.Context(), q.Get("id"), q.Get("of"), body)
	if err != nil {
		f.trouble(w, err)
		return
	}
	answer(w, http.StatusOK, a)
}

// token refuses what no page of this form sent.
func (f *Form) token(w http.ResponseWriter, r *http.Request, session string) bool {
	if f.tokens.good(session, r.Header.Get("X-Bench-Token")) {
		return true
	}
	answer(w, http.StatusForbidden, problem{Error: "token", Message: "the page is older than the server: it fetches a new token and sends again"})
	return false
}

// body reads a body of one kind, up to a size.
func (f *Form) body(w http.ResponseWriter, r *http.Request, kind string, most int64) ([]byte, bool) {
	got, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || got != kind {
		answer(w, http.StatusUnsupportedMediaType, problem{Error: "malformed", Message: "accepted: " + kind})
		return nil, false
	}
	data, err := io.ReadAll(http.MaxBytesReader(w, r.Body, most))
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		answer(w, http.StatusRequestEntityTooLarge, problem{Error: "large", Message: fmt.Sprintf("this is larger than %d KB", most>>10)})
	case err != nil:
		answer(w, http.StatusBadRequest, problem{Error: "busy", Message: "it did not arrive whole"})
	default:
		return data, true
	}
	return nil, false
}

// trouble turns an error into an answer: what the photographer can mend is said
// as it is; what the machine has is told to be tried again.
func (f *Form) trouble(w http.ResponseWriter, err error) {
	var refused *Refused
	switch {
	case errors.As(err, &refused):
		answer(w, http.StatusUnprocessableEntity, problem{Error: "refused", Message: refused.Error(), Reasons: refused.Reasons})
	case errors.Is(err, errMalformed):
		answer(w, http.StatusBadRequest, problem{Error: "malformed", Message: err.Error()})
	case errors.Is(err, errConflict):
		answer(w, http.StatusConflict, problem{Error: "conflict", Message: err.Error()})
	default:
		w.Header().Set("Retry-After", "3")
		answer(w, http.StatusServiceUnavailable, problem{Error: "busy", Message: strings.ReplaceAll(err.Error(), f.Root, "the archive")})
	}
}
