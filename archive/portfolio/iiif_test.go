package portfolio

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestIIIF holds the documents to IIIF Presentation API 3.0 (sections 3 and 5)
// and Image API 3.0 (sections 4.8 and 5): every size listed is a file at its
// canonical address, and max is the largest of them.
func TestIIIF(t *testing.T) {
	site := testSite(6)
	staged, dir := stageSite(t, site, testSets(t, site, ""), Options{})
	copied := map[string]bool{}
	for _, c := range staged.Copies {
		if copied[c.To] {
			t.Errorf("two pictures for %s", c.To)
		}
		copied[c.To] = true
	}
	const root = "https://larkspur.example/on/tin/"
	for _, p := range site.Plates {
		var m manifest
		readJSON(t, filepath.Join(dir, "static", filepath.FromSlash(staged.Paths[p.ID]), "manifest.json"), &m)
		if m.Context != presentationContext || m.Type != "Manifest" || m.ID != root+staged.Paths[p.ID]+"manifest.json" || len(m.Items) != 1 {
			t.Fatalf("manifest %+v", m)
		}
		canvas := m.Items[0]
		painting := canvas.Items[0].Items[0]
		if painting.Motivation != "painting" || painting.Target != canvas.ID || painting.Body.Width != canvas.Width || painting.Body.Height != canvas.Height {
			t.Errorf("annotation %+v on canvas %+v", painting, canvas)
		}
		service := painting.Body.Service[0]
		var info imageService
		readJSON(t, filepath.Join(dir, "static", filepath.FromSlash(strings.TrimPrefix(service.ID, root)), "info.json"), &info)
		if info.ID != service.ID || info.Type != "ImageService3" || info.Profile != "level0" || info.Protocol != imageProtocol || info.Context != imageContext {
			t.Errorf("service %+v", info)
		}
		if strings.HasSuffix(info.ID, "/") {
			t.Errorf("the service's id ends in a slash: %s", info.ID)
		}
		most := 0
		for _, size := range info.Sizes {
			to := fmt.Sprintf("%s/full/%d,%d/0/default.jpg", strings.TrimPrefix(info.ID, root), size.Width, size.Height)
			if !copied[to] {
				t.Errorf("no picture for %s", to)
			}
			most = max(most, size.Width)
		}
		if most != info.Width || !copied[strings.TrimPrefix(painting.Body.ID, root)] {
			t.Errorf("max is %d wide, the largest size %d; body %s", info.Width, most, painting.Body.ID)
		}
		if m.Rights != "" || !strings.Contains(m.RequiredStatement.Value["none"][0], "https://larkspur.example/terms") {
			t.Errorf("rights %q, statement %+v: a licence of one's own belongs in the statement", m.Rights, m.RequiredStatement)
		}
	}
}

func TestOpenRights(t *testing.T) {
	for address, want := range map[string]bool{
		"https://creativecommons.org/licenses/by/4.0/":       true,
		"http://rightsstatements.org/vocab/InC/1.0/":         true,
		"https://creativecommons.org/about":                  false,
		"https://larkspur.example/licenses/by":               false,
		"https://creativecommons.org.example/licenses/by/4/": false,
		"": false,
	} {
		if got := openRights(address); got != want {
			t.Errorf("openRights(%q) = %v", address, got)
		}
	}
}

func readJSON(t *testing.T, name string, into any) {
	t.Helper()
	body, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(body, into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}
