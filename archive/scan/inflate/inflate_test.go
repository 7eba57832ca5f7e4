package inflate

import (
	"bytes"
	"compress/flate"
	"compress/zlib"
	"errors"
	"hash/adler32"
	"io"
	"math/rand/v2"
	"testing"
	"testing/iotest"

	kzlib "github.com/klauspost/compress/zlib"

	"sandarac/archive/scan/sample"
)

func pack(t testing.TB, data []byte, level int) []byte {
	t.Helper()
	var b bytes.Buffer
	w, err := zlib.NewWriterLevel(&b, level)
	if err != nil {
		t.Fatal(err)
	}
	w.Write(data)
	w.Close()
	return b.Bytes()
}

// texts are data of many kinds.
func texts() map[string][]byte {
	r := rand.New(rand.NewPCG(1, 2))
	noise, few, deep := make([]byte, 300_000), make([]byte, 300_000), make([]byte, 600_000)
	for i := range noise {
		noise[i], few[i] = byte(r.Uint32()), "aab"[r.IntN(3)]
	}
	for i := 0; i < len(deep); i += 2 {
		deep[i], deep[i+1] = byte(r.Uint32()&0xF0), byte(i>>12)
	}
	return map[string][]byte{
		"nothing": nil, "one": {7}, "zeros": make([]byte, 1_000_000), "noise": noise, "few": few, "deep": deep,
		"scene": sample.Scene(300, 200).Pix, "repeats": bytes.Repeat([]byte("abcdefghijklm"), 50_000),
	}
}

// The outside check: the standard library packs and unpacks the same.
func TestAgainstStandardLibrary(t *testing.T) {
	var r Reader
	for name, data := range texts() {
		for _, level := range []int{flate.NoCompression, flate.BestSpeed, flate.DefaultCompression, flate.BestCompression, flate.HuffmanOnly} {
			packed := pack(t, data, level)
			for _, src := range []io.Reader{bytes.NewReader(packed), iotest.OneByteReader(bytes.NewReader(packed)), iotest.DataErrReader(bytes.NewReader(packed))} {
				r.Reset(src)
				got, err := io.ReadAll(&r)
				if err != nil || !bytes.Equal(got, data) {
					t.Fatalf("%s at level %d: %d of %d bytes, %v", name, level, len(got), len(data), err)
				}
			}
		}
	}
}

// Every stream cut short is refused, after the bytes that could be unpacked.
func TestTruncated(t *testing.T) {
	var r Reader
	for name, data := range texts() {
		packed := pack(t, data, flate.DefaultCompression)
		for i := range 50 {
			cut := packed[:len(packed)*i/50]
			r.Reset(bytes.NewReader(cut))
			got, err := io.ReadAll(&r)
			if err == nil || !bytes.HasPrefix(data, got) {
				t.Fatalf("%s cut to %d of %d: %d bytes, %v", name, len(cut), len(packed), len(got), err)
			}
		}
	}
}

func TestErrorsOfTheSource(t *testing.T) {
	broken := errors.New("broken")
	var r Reader
	packed := pack(t, texts()["noise"], flate.BestSpeed)
	r.Reset(io.MultiReader(bytes.NewReader(packed[:1000]), iotest.ErrReader(broken)))
	if _, err := io.ReadAll(&r); err != broken {
		t.Errorf("got %v", err)
	}
}

// agree unpacks by both and compares: the same bytes if both are content, and
// never content alone.
func agree(t *testing.T, packed []byte) {
	t.Helper()
	const most = 1 << 22
	var r Reader
	r.Reset(bytes.NewReader(packed))
	got, err := io.ReadAll(io.LimitReader(&r, most))
	var want []byte
	z, stdErr := zlib.NewReader(bytes.NewReader(packed))
	if stdErr == nil {
		want, stdErr = io.ReadAll(io.LimitReader(z, most))
	}
	if (err == nil) != (stdErr == nil) {
		t.Fatalf("we say %v after %d bytes, the standard library %v after %d", err, len(got), stdErr, len(want))
	}
	if err == nil && !bytes.Equal(got, want) {
		t.Fatalf("%d bytes differ from the standard library's %d", len(got), len(want))
	}
}

func TestMutated(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for _, data := range texts() {
		data = data[:min(len(data), 3000)]
		for _, level := range []int{flate.NoCompression, flate.BestSpeed, flate.BestCompression, flate.HuffmanOnly} {
			packed := pack(t, data, level)
			for range 200 {
				agree(t, sample.Mutate(r, packed))
			}
		}
	}
}

// The checksum of a stream is that of its parts, and the standard library's.
func TestChecksum(t *testing.T) {
	for name, data := range map[string][]byte{"noise": texts()["noise"], "the most": bytes.Repeat([]byte{255}, 300_000)} {
		sum := uint32(1)
		for from := 0; from < len(data); from += 70_001 {
			sum = checksum(sum, data[from:min(len(data), from+70_001)])
		}
		if want := adler32.Checksum(data); sum != want || checksum(1, data) != want {
			t.Errorf("%s: %08x in parts, %08x at once, want %08x", name, sum, checksum(1, data), want)
		}
	}
}

func FuzzInflate(f *testing.F) {
	for _, data := range texts() {
		data = data[:min(len(data), 500)]
		f.Add(pack(f, data, flate.BestCompression))
		f.Add(pack(f, data, flate.NoCompression))
		f.Add(pack(f, data, flate.HuffmanOnly))
	}
	f.Fuzz(agree)
}

func benchmark(b *testing.B, unpack func(io.Reader) error) {
	for _, name := range []string{"deep", "scene"} {
		b.Run(name, func(b *testing.B) {
			data := texts()[name]
			packed := pack(b, data, flate.DefaultCompression)
			b.SetBytes(int64(len(data)))
			for b.Loop() {
				if err := unpack(bytes.NewReader(packed)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkInflate(b *testing.B) {
	var r Reader
	benchmark(b, func(src io.Reader) error {
		r.Reset(src)
		_, err := io.Copy(io.Discard, &r)
		return err
	})
}

func BenchmarkStandardLibrary(b *testing.B) {
	benchmark(b, func(src io.Reader) error {
		z, err := zlib.NewReader(src)
		if err == nil {
			_, err = io.Copy(io.Discard, z)
		}
		return err
	})
}

// The library that would be taken otherwise.
func BenchmarkKlauspost(b *testing.B) {
	benchmark(b, func(src io.Reader) error {
		z, err := kzlib.NewReader(src)
		if err == nil {
			_, err = io.Copy(io.Discard, z)
		}
		return err
	})
}
