package sealed_test

import (
	"bytes"
	"compress/gzip"
	"crypto/rand"
	"encoding/base64"
	"encoding/binary"
	"image"
	"image/jpeg"
	"io"
	mathrand "math/rand/v2"
	"strings"
	"testing"

	"sandarac/archive/audit/sealed"
	"sandarac/archive/seal"
)

// message seals content as a gallery does.
func message(t testing.TB, content []byte) []byte {
	t.Helper()
	secret := make([]byte, 32)
	rand.Read(secret)
	s, err := seal.SecretFrom(secret)
	if err != nil {
		t.Fatal(err)
	}
	g, err := seal.NewGallery(s, "client", 1)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if _, err := g.Seal(&out, "a.bin", bytes.NewReader(content)); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func check(t testing.TB, data []byte) string {
	t.Helper()
	var seen bytes.Buffer
	wrong, err := sealed.Check(bytes.NewReader(data), int64(len(data)), func(piece []byte) { seen.Write(piece) })
	if err != nil {
		t.Fatal(err)
	}
	return wrong
}

func TestSealedFilesPass(t *testing.T) {
	for _, length := range []int{0, 1, 16383, 16384, 16385, 65518, 65519, 65520, 200_000, 3 << 20} {
		data := message(t, bytes.Repeat([]byte("a"), length))
		if wrong := check(t, data); wrong != "" {
			t.Errorf("%d bytes: %s", length, wrong)
		}
	}
	// Enough of them that a bound set too low would show.
	for range 300 {
		if wrong := check(t, message(t, make([]byte, 100_000))); wrong != "" {
			t.Fatal(wrong)
		}
	}
}

// photograph is a JPEG, whose bytes are fairly even.
func photograph() []byte {
	random := mathrand.New(mathrand.NewPCG(1, 2))
	img := image.NewGray(image.Rect(0, 0, 900, 700))
	for i := range img.Pix {
		img.Pix[i] = uint8(i/700) + uint8(random.IntN(64))
	}
	var b bytes.Buffer
	jpeg.Encode(&b, img, &jpeg.Options{Quality: 92})
	return b.Bytes()
}

func TestPlaintextIsFound(t *testing.T) {
	text := []byte(strings.Repeat("Dear Ann, here are your plates. ", 700))
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	z.Write(photograph())
	z.Close()
	good := message(t, bytes.Repeat([]byte("a"), 150_000))
	over := func(at int, with []byte) []byte {
		out := bytes.Clone(good)
		copy(out[at:], with)
		return out
	}
	head := func(f func(h []byte)) []byte {
		out := bytes.Clone(good)
		f(out[:21])
		return out
	}
	framed := func(body []byte) []byte {
		body = append(bytes.Clone(body), make([]byte, 1<<20)...)
		return append(bytes.Clone(good[:21]), body[:len(good)-21]...)
	}
	for name, data := range map[string][]byte{
		"empty":               {},
		"text":                text,
		"a photograph":        photograph(),
		"gzip":                packed.Bytes(),
		"text in a frame":     framed(text),
		"a photograph framed": framed(bytes.Repeat(photograph(), 3)),
		"text inside":         over(70_000, text[:3000]),
		"a line inside":       over(70_000, text[:64]),
		"text at the end":     over(len(good)-64, text[:64]),
		"base64 inside":       over(30_000, []byte(base64.StdEncoding.EncodeToString(text[:90]))),
		"zeros inside":        over(90_000, make([]byte, 2000)),
		"one byte more":       append(bytes.Clone(good), 0),
		"one byte less":       good[:len(good)-1],
		"a record less":       good[:21+65536],
		"another record size": head(func(h []byte) { binary.BigEndian.PutUint32(h[16:], 4096) }),
		"a key id":            head(func(h []byte) { h[20] = 1 }),
	} {
		if wrong := check(t, data); wrong == "" {
			t.Errorf("%s: nothing wrong is found", name)
		}
	}
}

// What is read goes to see without a gap.
func TestSeesEverySeam(t *testing.T) {
	good := message(t, make([]byte, 100_000))
	for _, at := range []int{21, 16384 + 21 - 8, 40_000, len(good) - 16} {
		needle := good[at : at+16]
		found := false
		if _, err := sealed.Check(bytes.NewReader(good), int64(len(good)), func(piece []byte) {
			found = found || bytes.Contains(piece, needle)
		}); err != nil {
			t.Fatal(err)
		}
		if !found {
			t.Errorf("16 bytes at %d were not seen in one piece", at)
		}
	}
}

func TestShortRead(t *testing.T) {
	good := message(t, nil)
	if _, err := sealed.Check(io.LimitReader(bytes.NewReader(good), 1000), int64(len(good)), nil); err == nil {
		t.Error("a file that shrank while it was read: no error")
	}
}

func BenchmarkCheck(b *testing.B) {
	data := message(b, make([]byte, 4<<20))
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		sealed.Check(bytes.NewReader(data), int64(len(data)), nil)
	}
}
