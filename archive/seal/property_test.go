package seal

import (
	"bytes"
	"encoding/hex"
	"errors"
	"testing"
	"testing/iotest"

	"pgregory.net/rapid"
)

func drawMessage(t *rapid.T) (content, ikm []byte, h Header, l Layout) {
	content = rapid.SliceOfN(rapid.Byte(), 0, 300).Draw(t, "content")
	ikm = rapid.SliceOfN(rapid.Byte(), 1, 40).Draw(t, "ikm")
	h = Header{RecordSize: rapid.IntRange(18, 90).Draw(t, "record size"), KeyID: rapid.SliceOfN(rapid.Byte(), 0, 5).Draw(t, "key id")}
	copy(h.Salt[:], rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "salt"))
	l = Layout{Length: int64(len(content)), Padded: int64(len(content)) + rapid.Int64Range(0, 200).Draw(t, "padding")}
	return content, ikm, h, l
}

func sealAll(t *rapid.T, content, ikm []byte, h Header, l Layout) []byte {
	var out bytes.Buffer
	w, err := NewWriter(&out, ikm, h, l)
	if err != nil {
		t.Fatal(err)
	}
	for rest := content; len(rest) > 0; {
		n := rapid.IntRange(1, len(rest)).Draw(t, "written at once")
		if _, err := w.Write(rest[:n]); err != nil {
			t.Fatal(err)
		}
		rest = rest[n:]
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func TestWhatIsSealedOpens(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		content, ikm, h, l := drawMessage(t)
		message := sealAll(t, content, ikm, h, l)
		if want := l.SealedLength(h.RecordSize, len(h.KeyID)); int64(len(message)) != want {
			t.Fatalf("%d bytes, announced %d", len(message), want)
		}
		got, err := Open(iotest.OneByteReader(bytes.NewReader(message)), ikm, 1<<20)
		if err != nil || !bytes.Equal(got, content) {
			t.Fatalf("opened %x, %v; want %x", got, err, content)
		}
	})
}

func TestNothingCutOrLongerOpens(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		content, ikm, h, l := drawMessage(t)
		message := sealAll(t, content, ikm, h, l)
		cut := rapid.IntRange(0, len(message)-1).Draw(t, "cut after")
		if got, err := Open(bytes.NewReader(message[:cut]), ikm, 1<<20); err == nil {
			t.Fatalf("cut after %d of %d bytes, opened as %x", cut, len(message), got)
		}
		longer := append(message, rapid.SliceOfN(rapid.Byte(), 1, 120).Draw(t, "trailing")...)
		if got, err := Open(bytes.NewReader(longer), ikm, 1<<20); err == nil {
			t.Fatalf("with trailing bytes, opened as %x", got)
		}
	})
}

func TestLengthIsHiddenToSixteenKiB(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(0, 1<<40).Draw(t, "length")
		l := Hidden(n)
		if l.Padded%padStep != 0 || l.Padded < n || l.Padded-n > padStep || l.Padded == 0 {
			t.Fatalf("%d bytes padded to %d", n, l.Padded)
		}
		if top := Hidden(l.Padded); top != (Layout{l.Padded, l.Padded}) {
			t.Fatalf("a whole number of steps grew: %v", top)
		}
		var content, padding int64
		i := rapid.Int64Range(0, l.records(RecordSize)-1).Draw(t, "record")
		for _, r := range []int64{0, i, l.records(RecordSize) - 1} {
			c, p := l.record(r, RecordSize)
			if c < 0 || p < 0 || c+p > RecordSize-overhead || (r < l.records(RecordSize)-1 && c+p != RecordSize-overhead) {
				t.Fatalf("record %d of %d: %d bytes and %d zeros", r, l.records(RecordSize), c, p)
			}
			content, padding = content+int64(c), padding+int64(p)
		}
		if content > 3*n || padding > 3*padStep {
			t.Fatalf("records hold %d bytes and %d zeros", content, padding)
		}
	})
}

// TestSaltsFollowWhatIsSealed holds that two files sealed in two galleries have
// the same salt only if everything about them is the same.
func TestSaltsFollowWhatIsSealed(t *testing.T) {
	secret := testSecret(t, 1)
	type file struct {
		client     string
		generation int
		locked     bool
		name       string
		content    string
	}
	draw := func(t *rapid.T, label string) file {
		return file{
			rapid.SampledFrom([]string{"a", "b"}).Draw(t, label+" client"),
			rapid.IntRange(1, 2).Draw(t, label+" generation"),
			false,
			rapid.SampledFrom([]string{"x.bin", "y.bin"}).Draw(t, label+" name"),
			rapid.SampledFrom([]string{"", "one", "two"}).Draw(t, label+" content"),
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b := draw(t, "first"), draw(t, "second")
		var out [2]bytes.Buffer
		var told [2]Sealed
		for i, f := range []file{a, b} {
			g, err := NewGallery(secret, f.client, f.generation)
			if err != nil {
				t.Fatal(err)
			}
			if told[i], err = g.Seal(&out[i], f.name, bytes.NewReader([]byte(f.content))); err != nil {
				t.Fatal(err)
			}
		}
		if same := bytes.Equal(out[0].Bytes()[:16], out[1].Bytes()[:16]); same != (a == b) {
			t.Fatalf("same salt: %v, for %v and %v", same, a, b)
		}
		if (a == b) != (told[0] == told[1]) || (a == b) != bytes.Equal(out[0].Bytes(), out[1].Bytes()) {
			t.Fatalf("sealed %v and %v as %v and %v", a, b, told[0], told[1])
		}
	})
}

func FuzzReader(f *testing.F) {
	for _, e := range examples {
		f.Add(unbase64(f, e.ikm), unbase64(f, e.message))
	}
	f.Add([]byte("k"), []byte{})
	f.Add([]byte("k"), make([]byte, 21))
	f.Fuzz(func(t *testing.T, ikm, message []byte) {
		r, err := NewReader(bytes.NewReader(message), ikm)
		if err != nil {
			return
		}
		content, err := Open(bytes.NewReader(message), ikm, 1<<20)
		if err != nil {
			if errors.Is(err, ErrAltered) || errors.Is(err, ErrCut) || errors.Is(err, ErrFormat) || errors.Is(err, ErrTrailing) {
				return
			}
			t.Fatalf("an error of no known kind: %v", err)
		}
		// What opened must be one of the messages a writer could have made: sealed
		// again with no padding it opens to the same content.
		var again bytes.Buffer
		l := Layout{int64(len(content)), int64(len(content))}
		w, err := NewWriter(&again, ikm, r.Header(), l)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(content); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		if got, err := Open(&again, ikm, 1<<20); err != nil || !bytes.Equal(got, content) {
			t.Fatalf("resealed: %v; %s and %s", err, hex.EncodeToString(got), hex.EncodeToString(content))
		}
	})
}
