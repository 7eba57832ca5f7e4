package publish

import (
	"encoding/base64"
	"encoding/xml"
	"fmt"
	"io"
	"maps"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

// azure is a server that answers the calls of Azure's Blob service REST API
// (version 2021-08-06) that publishing makes, as Azurite 3.37 was seen to answer
// them. It looks at no signature.
type azure struct {
	server *httptest.Server

	mu      sync.Mutex
	blobs   map[string]azureBlob
	blocks  map[string][]byte
	answers int
	fault   func(answer int) int // a status; 0 for none
}

type azureBlob struct {
	content []byte
	header  http.Header
}

const azureContainer = "/studio/site"

func newAzure(t testing.TB) *azure {
	t.Helper()
	a := &azure{blobs: map[string]azureBlob{}, blocks: map[string][]byte{}}
	a.server = httptest.NewServer(a)
	t.Cleanup(a.server.Close)
	t.Setenv("AZURE_STORAGE_ACCOUNT", "studio")
	t.Setenv("AZURE_STORAGE_KEY", base64.StdEncoding.EncodeToString([]byte("no key")))
	return a
}

func (a *azure) address(prefix string) string {
	return fmt.Sprintf("azblob://site/%s?domain=%s&protocol=http&localemu=true", prefix, strings.TrimPrefix(a.server.URL, "http://"))
}

func (a *azure) holds(prefix string) map[string]string {
	a.mu.Lock()
	defer a.mu.Unlock()
	out := map[string]string{}
	for name, b := range a.blobs {
		if rest, ok := strings.CutPrefix(name, prefix); ok {
			out[rest] = string(b.content)
		}
	}
	return out
}

func (a *azure) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	body, err := io.ReadAll(r.Body)
	if err != nil {
		return
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	a.answers++
	if a.fault != nil {
		if status := a.fault(a.answers); status != 0 {
			w.Header().Set("X-Ms-Error-Code", map[int]string{http.StatusServiceUnavailable: "ServerBusy", http.StatusForbidden: "AuthenticationFailed"}[status])
			http.Error(w, "<?xml version=\"1.0\"?>\n<Error>\n<Message>No.\nOnce more.</Message></Error>", status)
			return
		}
	}
	name, ok := strings.CutPrefix(r.URL.Path, azureContainer)
	if !ok {
		http.Error(w, "no such container", http.StatusNotFound)
		return
	}
	name = strings.TrimPrefix(name, "/")
	q := r.URL.Query()
	switch {
	case q.Get("comp") == "list":
		a.list(w, q.Get("prefix"))
	case r.Method == http.MethodPut && q.Get("comp") == "block":
		a.blocks[name+"\x00"+q.Get("blockid")] = body
		w.WriteHeader(http.StatusCreated)
	case r.Method == http.MethodPut && q.Get("comp") == "blocklist":
		var list struct{ Latest []string }
		if err := xml.Unmarshal(body, &list); err != nil {
			http.Error(w, err.Error(), http.StatusBadRequest)
			return
		}
		var content []byte
		for _, id := range list.Latest {
			content = append(content, a.blocks[name+"\x00"+id]...)
		}
		a.blobs[name] = azureBlob{content, r.Header.Clone()}
		w.WriteHeader(http.StatusCreated)
	case r.Method == http.MethodPut:
		a.blobs[name] = azureBlob{body, r.Header.Clone()}
		w.WriteHeader(http.StatusCreated)
	case a.blobs[name].header == nil:
		w.WriteHeader(http.StatusNotFound)
	case r.Method == http.MethodDelete:
		delete(a.blobs, name)
		w.WriteHeader(http.StatusAccepted)
	default:
		w.WriteHeader(http.StatusMethodNotAllowed)
	}
}

func (a *azure) list(w http.ResponseWriter, prefix string) {
	fmt.Fprintf(w, `<?xml version="1.0" encoding="utf-8"?><EnumerationResults ServiceEndpoint="%s" ContainerName="site"><Blobs>`, a.server.URL)
	for _, name := range slices.Sorted(maps.Keys(a.blobs)) {
		if !strings.HasPrefix(name, prefix) {
			continue
		}
		b := a.blobs[name]
		fmt.Fprint(w, "<Blob><Name>")
		_ = xml.EscapeText(w, []byte(name))
		fmt.Fprintf(w, "</Name><Properties><Last-Modified>%s</Last-Modified><Content-Length>%d</Content-Length><Content-MD5>%s</Content-MD5><BlobType>BlockBlob</BlobType></Properties></Blob>",
			time.Unix(0, 0).UTC().Format(http.TimeFormat), len(b.content), b.header.Get("X-Ms-Blob-Content-Md5"))
	}
	fmt.Fprint(w, "</Blobs><NextMarker/></EnumerationResults>")
}

// What Azure's store is told of a file, and that it is asked again when busy.
func TestAzure(t *testing.T) {
	a := newAzure(t)
	a.fault = func(answer int) int {
		if answer == 1 || answer == 9 {
			return http.StatusServiceUnavailable
		}
		return 0
	}
	mustPublish(t, build(t, 1), a.address("p"), Options{})
	if !same(a.holds("p/"), siteFiles(1)) {
		t.Error("not the site")
	}
	for name, want := range map[string][2]string{"index.html": {"text/html; charset=utf-8", "no-cache"}, "catalogue/t0-1.bin": {"application/octet-stream", "no-cache"}} {
		h := a.blobs["p/"+name].header
		if got := [2]string{h.Get("X-Ms-Blob-Content-Type"), h.Get("X-Ms-Blob-Cache-Control")}; got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
	a.fault = func(int) int { return http.StatusForbidden }
	if _, err := Publish(t.Context(), build(t, 2), a.address("p"), Options{}); err == nil || !strings.Contains(err.Error(), "the host refuses it") || strings.Contains(err.Error(), "\n") {
		t.Errorf("refused: %v", err)
	}
}
