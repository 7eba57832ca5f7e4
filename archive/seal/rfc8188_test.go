package seal

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"errors"
	"io"
	"strings"
	"testing"
)

func unbase64(t testing.TB, s string) []byte {
	t.Helper()
	b, err := base64.RawURLEncoding.DecodeString(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// The worked examples of RFC 8188, sections 3.1 and 3.2. The first message is
// 53 bytes long: the RFC's text says 54, but its 71 characters decode to 53.
var examples = []struct {
	section, ikm, salt, keyID, message string
	recordSize, length                 int
	padded                             int64
}{
	{section: "3.1", ikm: "yqdlZ-tYemfogSmv7Ws5PQ", salt: "I1BsxtFttlv3u_Oo94xnmw", recordSize: 4096, length: 53, padded: 15,
		message: "I1BsxtFttlv3u_Oo94xnmwAAEAAA-NAVub2qFgBEuQKRapoZu-IxkIva3MEB1PD-ly8Thjg"},
	{section: "3.2", ikm: "BO3ZVPxUlnLORbVGMpbT1Q", salt: "uNCkWiNYzKTnBN9ji3-qWA", keyID: "a1", recordSize: 25, length: 73, padded: 16,
		message: "uNCkWiNYzKTnBN9ji3-qWAAAABkCYTHOG8chz_gnvgOqdGYovxyjuqRyJFjEDyoF1Fvkj6hQPdPHI51OEUKEpgz3SsLWIqS_uA"},
}

const walrus = "I am the walrus"

func TestWorkedExamples(t *testing.T) {
	for _, e := range examples {
		t.Run(e.section, func(t *testing.T) {
			h := Header{RecordSize: e.recordSize, KeyID: []byte(e.keyID)}
			copy(h.Salt[:], unbase64(t, e.salt))
			var out bytes.Buffer
			w, err := NewWriter(&out, unbase64(t, e.ikm), h, Layout{Length: int64(len(walrus)), Padded: e.padded})
			if err != nil {
				t.Fatal(err)
			}
			if _, err := io.WriteString(w, walrus); err != nil {
				t.Fatal(err)
			}
			if err := w.Close(); err != nil {
				t.Fatal(err)
			}
			if got := base64.RawURLEncoding.EncodeToString(out.Bytes()); got != e.message {
				t.Errorf("sealed\n got %s\nwant %s", got, e.message)
			}
			if out.Len() != e.length {
				t.Errorf("%d bytes, want %d", out.Len(), e.length)
			}
			r, err := NewReader(bytes.NewReader(unbase64(t, e.message)), unbase64(t, e.ikm))
			if err != nil {
				t.Fatal(err)
			}
			plain, err := io.ReadAll(r)
			if err != nil || string(plain) != walrus {
				t.Errorf("opened %q, %v", plain, err)
			}
			if got := string(r.Header().KeyID); got != e.keyID {
				t.Errorf("key id %q, want %q", got, e.keyID)
			}
		})
	}
}

func TestRefusals(t *testing.T) {
	one, two := unbase64(t, examples[0].message), unbase64(t, examples[1].message)
	withSize := func(size uint32) []byte {
		b := bytes.Clone(one)
		binary.BigEndian.PutUint32(b[16:], size)
		return b
	}
	for _, c := range []struct {
		name    string
		ikm     string
		message []byte
		want    error
	}{
		{"cut after the first whole record", examples[1].ikm, two[:48], ErrCut},
		{"cut within the first record", examples[1].ikm, two[:47], ErrAltered},
		{"cut by one byte", examples[1].ikm, two[:72], ErrAltered},
		{"header alone", examples[1].ikm, two[:23], ErrCut},
		{"key id missing", examples[1].ikm, two[:21], ErrCut},
		{"half a key id", examples[1].ikm, two[:22], ErrCut},
		{"header without a record", examples[0].ikm, one[:21], ErrCut},
		{"a record of sixteen bytes", examples[0].ikm, one[:37], ErrCut},
		{"half a header", examples[0].ikm, one[:20], ErrCut},
		{"nothing", examples[0].ikm, nil, ErrCut},
		{"a byte after the short last record", examples[0].ikm, append(bytes.Clone(one), 0), ErrAltered},
		{"record size 17", examples[0].ikm, withSize(17), ErrFormat},
		{"record size 0", examples[0].ikm, withSize(0), ErrFormat},
		{"record size above the cap", examples[0].ikm, withSize(RecordSize + 1), ErrFormat},
		{"record size of 4 GiB", examples[0].ikm, withSize(1<<32 - 1), ErrFormat},
		{"another record size", examples[0].ikm, withSize(4097), nil}, // decrypts: rs is bound only by the salt
		{"the other key", examples[1].ikm, one, ErrAltered},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Open(bytes.NewReader(c.message), unbase64(t, c.ikm), 1<<20)
			if !errors.Is(err, c.want) {
				t.Errorf("error %v, want %v", err, c.want)
			}
		})
	}
}

func TestEveryFlippedBitIsRefused(t *testing.T) {
	e := examples[1]
	message, ikm := unbase64(t, e.message), unbase64(t, e.ikm)
	for i := range len(message) * 8 {
		if i/8 == 21 || i/8 == 22 {
			continue // the key id is a hint in the clear, nothing is derived from it
		}
		b := bytes.Clone(message)
		b[i/8] ^= 1 << (i % 8)
		if plain, err := Open(bytes.NewReader(b), ikm, 1<<20); err == nil {
			t.Fatalf("bit %d flipped, opened as %q", i, plain)
		}
	}
}

// forge seals records as given, right or wrong, under the key of example 3.1.
func forge(t *testing.T, recordSize int, records ...string) []byte {
	t.Helper()
	h := Header{RecordSize: recordSize}
	c, err := newRecordCipher(unbase64(t, examples[0].ikm), h.Salt[:])
	if err != nil {
		t.Fatal(err)
	}
	out := h.bytes()
	for _, r := range records {
		out = append(out, c.aead.Seal(nil, c.nonce(), []byte(r), nil)...)
	}
	return out
}

func TestPaddingAndDelimiters(t *testing.T) {
	full := "1234567\x01"
	for _, c := range []struct {
		name    string
		message []byte
		plain   string
		want    error
	}{
		{"padding in both records", forge(t, 24, "123\x01\x00\x00\x00\x00", "4\x02\x00"), "1234", nil},
		{"zeros in the content stay", forge(t, 24, "12\x00\x00567\x01", "\x00\x00\x02"), "12\x00\x00567\x00\x00", nil},
		{"a record of padding alone", forge(t, 24, "\x01\x00\x00\x00\x00\x00\x00\x00", "4\x02"), "4", nil},
		{"last record exactly full", forge(t, 24, full, "1234567\x02"), "12345671234567", nil},
		{"empty last record", forge(t, 24, full, "\x02"), "1234567", nil},
		{"no delimiter", forge(t, 24, "\x00\x00\x00\x00\x00\x00\x00\x00", "4\x02"), "", ErrFormat},
		{"no delimiter in the last record", forge(t, 24, full, "\x00"), "", ErrFormat},
		{"delimiter 3", forge(t, 24, full, "4\x03"), "", ErrFormat},
		{"last record marked as not last", forge(t, 24, full, "4\x01"), "", ErrCut},
		{"full last record marked as not last", forge(t, 24, full), "", ErrCut},
		{"first record marked as last", forge(t, 24, "1234567\x02", "4\x02"), "", ErrTrailing},
		{"a short record in the middle", forge(t, 24, "123\x01", "4\x02"), "", ErrAltered},
	} {
		t.Run(c.name, func(t *testing.T) {
			plain, err := Open(bytes.NewReader(c.message), unbase64(t, examples[0].ikm), 1<<20)
			if !errors.Is(err, c.want) || string(plain) != c.plain {
				t.Errorf("opened %q, %v; want %q, %v", plain, err, c.plain, c.want)
			}
		})
	}
}

func TestReorderedRecordsAreRefused(t *testing.T) {
	b := forge(t, 24, "1234567\x01", "abcdefg\x01", "4\x02")
	copy(b[21:], append(bytes.Clone(b[45:69]), b[21:45]...))
	if _, err := Open(bytes.NewReader(b), unbase64(t, examples[0].ikm), 1<<20); !errors.Is(err, ErrAltered) {
		t.Errorf("error %v, want %v", err, ErrAltered)
	}
}

func TestContentAboveTheLimitIsRefused(t *testing.T) {
	message, ikm := unbase64(t, examples[0].message), unbase64(t, examples[0].ikm)
	if _, err := Open(bytes.NewReader(message), ikm, 14); !errors.Is(err, ErrFormat) {
		t.Errorf("error %v, want %v", err, ErrFormat)
	}
	if _, err := Open(bytes.NewReader(message), ikm, 15); err != nil {
		t.Error(err)
	}
}

func TestEmptyKeyIsRefused(t *testing.T) {
	if _, err := NewReader(bytes.NewReader(unbase64(t, examples[0].message)), nil); err == nil {
		t.Error("a reader without a key")
	}
	if _, err := NewWriter(io.Discard, nil, Header{RecordSize: 4096}, Layout{}); err == nil {
		t.Error("a writer without a key")
	}
}

// failing gives an error other than io.EOF after some bytes.
type failing struct{ io.Reader }

var errDisk = errors.New("disk")

func (f failing) Read(p []byte) (int, error) {
	n, err := f.Reader.Read(p)
	if errors.Is(err, io.EOF) {
		err = errDisk
	}
	return n, err
}

func TestAFailingSourceIsNotCalledCut(t *testing.T) {
	e := examples[1]
	for n := range e.length {
		src := failing{bytes.NewReader(unbase64(t, e.message)[:n])}
		if _, err := Open(src, unbase64(t, e.ikm), 1<<20); !errors.Is(err, errDisk) {
			t.Fatalf("after %d bytes: error %v, want %v", n, err, errDisk)
		}
	}
}

func TestWriterRefuses(t *testing.T) {
	ikm := unbase64(t, examples[0].ikm)
	for _, c := range []struct {
		name   string
		header Header
		layout Layout
	}{
		{"record size 17", Header{RecordSize: 17}, Layout{}},
		{"record size above the cap", Header{RecordSize: RecordSize + 1}, Layout{}},
		{"key id of 256 bytes", Header{RecordSize: 18, KeyID: make([]byte, 256)}, Layout{}},
		{"padding to less than the content", Header{RecordSize: 18}, Layout{Length: 2, Padded: 1}},
		{"negative length", Header{RecordSize: 18}, Layout{Length: -1}},
	} {
		if _, err := NewWriter(io.Discard, ikm, c.header, c.layout); err == nil {
			t.Errorf("%s: accepted", c.name)
		}
	}
	for _, content := range []string{"four", "sixsix"} {
		w, err := NewWriter(io.Discard, ikm, Header{RecordSize: 18}, Layout{Length: 5, Padded: 9})
		if err != nil {
			t.Fatal(err)
		}
		_, err = io.WriteString(w, content)
		if err = errors.Join(err, w.Close()); err == nil || !strings.Contains(err.Error(), "announced") {
			t.Errorf("content %q where 5 bytes were announced: %v", content, err)
		}
	}
}

// full accepts so many bytes and then fails, as a full disk does.
type full struct{ room int }

func (f *full) Write(p []byte) (int, error) {
	if len(p) > f.room {
		return 0, errDisk
	}
	f.room -= len(p)
	return len(p), nil
}

func TestAFailingDestinationIsReported(t *testing.T) {
	e := examples[1]
	for room := range e.length {
		w, err := NewWriter(&full{room}, unbase64(t, e.ikm), Header{RecordSize: e.recordSize, KeyID: []byte(e.keyID)}, Layout{Length: 15, Padded: 16})
		if err == nil {
			_, err = io.WriteString(w, walrus)
			err = errors.Join(err, w.Close())
		}
		if !errors.Is(err, errDisk) {
			t.Fatalf("room for %d bytes: error %v, want %v", room, err, errDisk)
		}
	}
}
