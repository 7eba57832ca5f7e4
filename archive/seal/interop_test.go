package seal

import (
	"bufio"
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// httpECE is the release of the outside implementation that these tests use.
const httpECE = "http_ece@1.2.1"

// eceRequest and eceAnswer are the lines testdata/ece.cjs reads and writes.
type eceRequest struct {
	Op    string `json:"op"`
	Key   []byte `json:"key"`
	Salt  []byte `json:"salt"`
	RS    int    `json:"rs"`
	KeyID string `json:"keyid"`
	Pad   int    `json:"pad"`
	Body  []byte `json:"body"`
}

type eceAnswer struct {
	Body  []byte `json:"body"`
	Error string `json:"error"`
}

// startECE installs http_ece once into the user's cache and starts it.
func startECE(t *testing.T) func(eceRequest) eceAnswer {
	t.Helper()
	npm, err := exec.LookPath("npm")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("npm is not installed")
		}
		t.Skip("npm is not installed")
	}
	dir := t.TempDir()
	if cache, err := os.UserCacheDir(); err == nil {
		dir = filepath.Join(cache, "sandarac-tests", strings.ReplaceAll(httpECE, "@", "-"))
	}
	if _, err := os.Stat(filepath.Join(dir, "node_modules", "http_ece")); err != nil {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		install := exec.Command(npm, "install", "--prefix", dir, "--no-audit", "--no-fund", "--ignore-scripts", httpECE)
		install.Dir = dir
		if out, err := install.CombinedOutput(); err != nil {
			t.Fatalf("npm install: %v\n%s", err, out)
		}
	}
	node := exec.Command("node", filepath.Join("testdata", "ece.cjs"))
	node.Env = append(os.Environ(), "NODE_PATH="+filepath.Join(dir, "node_modules"))
	node.Stderr = os.Stderr
	in, err := node.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := node.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := node.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := in.Close(); err != nil {
			t.Error(err)
		}
		if err := node.Wait(); err != nil {
			t.Error(err)
		}
	})
	answers := bufio.NewReader(out)
	return func(q eceRequest) (a eceAnswer) {
		t.Helper()
		line, err := json.Marshal(q)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := in.Write(append(line, '\n')); err != nil {
			t.Fatal(err)
		}
		line, err = answers.ReadBytes('\n')
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(line, &a); err != nil {
			t.Fatal(err)
		}
		return a
	}
}

// TestAgainstHTTPECE seals here and opens with npm http_ece 1.2.1, an
// independent implementation, and the other way round.
func TestAgainstHTTPECE(t *testing.T) {
	ask := startECE(t)
	random := rand.New(rand.NewPCG(1, 8188))
	bytesOf := func(n int) []byte {
		b := make([]byte, n)
		for i := range b {
			b[i] = byte(random.Uint32())
		}
		return b
	}
	for _, c := range []struct {
		length, padding, rs int
		keyID               string
	}{
		{0, 0, 18, ""}, {0, 5, 18, ""}, {1, 0, 18, ""}, {15, 1, 25, "a1"}, {300, 0, 25, "a1"}, {300, 40, 25, ""},
		{4079, 0, 4096, ""}, {4080, 0, 4096, ""}, {16384, 0, 65536, ""}, {65519, 0, 65536, ""}, {200_000, 16_000, 65536, ""},
	} {
		content, key := bytesOf(c.length), bytesOf(16)
		h := Header{RecordSize: c.rs, KeyID: []byte(c.keyID)}
		copy(h.Salt[:], bytesOf(16))
		var ours bytes.Buffer
		w, err := NewWriter(&ours, key, h, Layout{int64(c.length), int64(c.length + c.padding)})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(content); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		if a := ask(eceRequest{Op: "open", Key: key, Body: ours.Bytes()}); a.Error != "" || !bytes.Equal(a.Body, content) {
			t.Errorf("%+v: http_ece opens ours: %q, %d bytes", c, a.Error, len(a.Body))
		}
		a := ask(eceRequest{Op: "seal", Key: key, Salt: h.Salt[:], RS: c.rs, KeyID: c.keyID, Pad: c.padding, Body: content})
		if a.Error != "" {
			t.Errorf("%+v: http_ece seals: %s", c, a.Error)
			continue
		}
		if got, err := Open(bytes.NewReader(a.Body), key, 1<<20); err != nil || !bytes.Equal(got, content) {
			t.Errorf("%+v: we open http_ece's: %v, %d bytes", c, err, len(got))
		}
		if c.padding == 0 && !bytes.Equal(a.Body, ours.Bytes()) {
			t.Errorf("%+v: sealed differently", c)
		}
	}
}

func TestHTTPECEOpensAGalleryFile(t *testing.T) {
	ask := startECE(t)
	g := testGallery(t, "a", 1)
	locked, err := g.Locked("bado-kilu-mero-tanu")
	if err != nil {
		t.Fatal(err)
	}
	for _, g := range []Gallery{g, locked} {
		content := bytes.Repeat([]byte("collodion "), 15_000)
		var out bytes.Buffer
		if _, err := g.Seal(&out, "x.bin", bytes.NewReader(content)); err != nil {
			t.Fatal(err)
		}
		key, err := FileKey(g.locked, "x.bin")
		if err != nil {
			t.Fatal(err)
		}
		if a := ask(eceRequest{Op: "open", Key: key, Body: out.Bytes()}); a.Error != "" || !bytes.Equal(a.Body, content) {
			t.Errorf("http_ece opens a sealed file: %q, %d bytes", a.Error, len(a.Body))
		}
		flipped := bytes.Clone(out.Bytes())
		flipped[len(flipped)/2] ^= 1
		if a := ask(eceRequest{Op: "open", Key: key, Body: flipped}); a.Error == "" {
			t.Error("http_ece opens an altered file")
		}
	}
}
