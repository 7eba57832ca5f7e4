package bench

import (
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"net"
	"net/http"
	"net/netip"
	"strings"
)

// guard stands before the form. It answers only requests that name an address
// the form listens at (a page elsewhere that points its own name at this machine
// gets nothing), that no other site's page made, and, from the network, only
// those of machines on the same network.
type guard struct {
	hosts func() []netip.Prefix // addresses of this machine on the local network, with their networks
	next  http.Handler
}

func (g *guard) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	formHeaders(w.Header())
	if isLoopback(r.Host) { // browsers take it from secure addresses only
		w.Header().Set("Cross-Origin-Opener-Policy", "same-origin")
	}
	if !isLoopback(r.Host) && !g.isOurs(r.Host) {
		http.Error(w, "this address is not the form's", http.StatusMisdirectedRequest)
		return
	}
	if !g.near(r.RemoteAddr) {
		http.Error(w, "the form answers only machines on its own network", http.StatusForbidden)
		return
	}
	if origin := r.Header.Get("Origin"); origin != "" && origin != "http://"+r.Host {
		http.Error(w, "requests from other sites are refused", http.StatusForbidden)
		return
	}
	site, mode := r.Header.Get("Sec-Fetch-Site"), r.Header.Get("Sec-Fetch-Mode")
	if site != "" && site != "same-origin" && site != "none" && mode != "navigate" {
		http.Error(w, "requests from other sites are refused", http.StatusForbidden)
		return
	}
	g.next.ServeHTTP(w, r)
}

// formHeaders allow the page its own scripts and styles and nothing else.
func formHeaders(h http.Header) {
	h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; worker-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Permissions-Policy", "geolocation=(), microphone=(), camera=()")
}

// isOurs reports whether a Host is an address of this machine on the network. A
// name is not enough: names can be pointed anywhere.
func (g *guard) isOurs(host string) bool {
	if g.hosts == nil {
		return false
	}
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	}
	addr, err := netip.ParseAddr(strings.Trim(host, "[]"))
	if err != nil {
		return false
	}
	for _, p := range g.hosts() {
		if p.Addr() == addr.Unmap() {
			return true
		}
	}
	return false
}

// near reports whether a request comes from this machine or its networks.
func (g *guard) near(remote string) bool {
	ap, err := netip.ParseAddrPort(remote)
	if err != nil {
		return false
	}
	addr := ap.Addr().Unmap()
	if addr.IsLoopback() {
		return true
	}
	if g.hosts == nil {
		return false
	}
	for _, p := range g.hosts() {
		if p.Masked().Contains(addr) {
			return true
		}
	}
	return false
}

// fromHere reports whether a request comes from this machine and names it.
func fromHere(r *http.Request) bool {
	ap, err := netip.ParseAddrPort(r.RemoteAddr)
	return err == nil && ap.Addr().Unmap().IsLoopback() && isLoopback(r.Host)
}

// tokens make the token that a page of the form sends with each entry. Another
// site's page can neither read it nor make it.
type tokens struct{ key [32]byte }

func newTokens() (*tokens, error) {
	t := &tokens{}
	_, err := rand.Read(t.key[:])
	return t, err
}

func (t *tokens) of(session string) string {
	mac := hmac.New(sha256.New, t.key[:])
	mac.Write([]byte(session))
	return base64.RawURLEncoding.EncodeToString(mac.Sum(nil))
}

func (t *tokens) good(session, token string) bool {
	return hmac.Equal([]byte(t.of(session)), []byte(token))
}
