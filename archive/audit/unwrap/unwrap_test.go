package unwrap

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"compress/gzip"
	"compress/zlib"
	"encoding/base64"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"html"
	"mime/quotedprintable"
	"net/url"
	"strings"
	"testing"
	"unicode/utf16"

	"pgregory.net/rapid"
)

func TestEscapes(t *testing.T) {
	for text, want := range map[string]string{
		"by Ann%20Hale, 1860":          "by Ann Hale, 1860",
		"Ann%2520Hale":                 "Ann Hale",
		"Zo%C3%AB":                     "Zoë",
		"Ann&nbsp;Hale &#38; Co":       "Ann\u00a0Hale & Co",
		"&#x41;&#110;n":                "Ann",
		`"Ann\u0020H\u00e1le"`:         `"Ann Hále"`,
		`\ud83d\ude00 \x41\u{6e}n`:     "😀 Ann",
		`content: "\41 nn\000020Hale"`: `content: "Ann Hale"`,
		"Ann=20Ha=\r\nle":              "Ann Hale",
		"Ann%26nbsp%3BHale":            "Ann\u00a0Hale",
	} {
		got := Escapes([]byte(text))
		if len(got) != 1 || string(got[0].Text) != want {
			t.Errorf("%q: %+v, want %q", text, got, want)
		}
	}
	for _, text := range []string{"", "plain", "100 % of = x & y", `C:\q`, "a%", `\u12`, `\u{}`, "&", "\\"} {
		if got := Escapes([]byte(text)); len(got) != 0 {
			t.Errorf("%q: %+v, want nothing", text, got)
		}
	}
}

// Only what is near an escape is given, with its place.
func TestPassages(t *testing.T) {
	far := strings.Repeat("x ", 1000)
	got := Escapes([]byte(far + "Ann%20Hale" + far + "Ben%20Hale" + far))
	if len(got) != 2 || got[0].At < 1500 || got[0].At > 2000 || len(got[1].Text) > 3*margin {
		t.Errorf("%d passages", len(got))
	}
}

// Escapes that spell bytes give the bytes.
func TestRaw(t *testing.T) {
	key := []byte("\x8f\x00\xff\x10")
	got := Escapes([]byte(`"\u008f\u0000\u00ff\u0010"`))
	if len(got) != 1 || !bytes.Contains(got[0].Raw, key) {
		t.Errorf("got %+v", got)
	}
	if got := Escapes([]byte("%8f%00%ff%10")); len(got) != 1 || !bytes.Contains(got[0].Text, key) {
		t.Errorf("got %+v", got)
	}
}

// Whatever encoders write is read back.
func TestEscapesReadEncoders(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		name := rapid.StringMatching(`[A-Za-zëö'<> -]{4,20}`).Draw(rt, "name")
		quoted, _ := json.Marshal(name)
		var qp bytes.Buffer
		w := quotedprintable.NewWriter(&qp)
		w.Write([]byte(name))
		w.Close()
		entities := ""
		for _, r := range name {
			entities += fmt.Sprintf("&#%d;", r)
		}
		for form, text := range map[string]string{
			"percent": url.PathEscape(name), "html": html.EscapeString(name), "json": string(quoted),
			"ascii json": fmt.Sprintf("%+q", name), "quoted-printable": qp.String(), "entities": entities,
			"twice": url.QueryEscape(html.EscapeString(name)),
		} {
			seen := text
			for _, p := range Escapes([]byte(text)) {
				seen += "\n" + string(p.Text)
			}
			plus := strings.ReplaceAll(seen, "+", " ") // a query's blank parts words as well
			if !strings.Contains(seen, name) && !strings.Contains(plus, name) {
				rt.Fatalf("%s: %q gives %q, want %q in it", form, text, seen, name)
			}
		}
	})
}

func TestRuns(t *testing.T) {
	secret := []byte("\x00\xfe the gallery key \x80\xff\x10 and more of it, so that its lines are broken, twice, at 64 characters each")
	std := base64.StdEncoding.EncodeToString(secret)
	broken := std[:64] + "\r\n  " + std[64:128] + "\n" + std[128:]
	list := strings.Trim(strings.Join(strings.Fields(fmt.Sprint(secret)), ", "), "[]")
	for form, text := range map[string]string{
		"std": std, "url": base64.URLEncoding.EncodeToString(secret), "lines": broken, "json lines": strings.ReplaceAll(broken, "\r\n  ", `\n`),
		"slashes": strings.ReplaceAll(std, "/", `\/`), "hex": hex.EncodeToString(secret), "HEX": strings.ToUpper(hex.EncodeToString(secret)),
		"pairs": strings.Join(strings.Fields(fmt.Sprintf("% x", secret)), ":"), "list": list,
	} {
		found := false
		for _, b := range Runs([]byte(`x = "` + text + `";`)) {
			found = found || bytes.Equal(b.Bytes, secret)
		}
		if !found {
			t.Errorf("%s: not read: %s", form, text)
		}
	}
	for _, text := range []string{"", "short", "1,2,3", "ab:cd:ef", "256,256,256"} {
		if got := Runs([]byte(text)); len(got) != 0 {
			t.Errorf("%+v: %v", text, got)
		}
	}
}

func TestUTF16(t *testing.T) {
	units := utf16.Encode([]rune("Portrait of Zoë O’Hara"))
	for _, order := range []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} {
		for offset := range 3 {
			data := bytes.Repeat([]byte{0xEE}, offset)
			for _, u := range units {
				data = append(data, 0, 0)
				order.PutUint16(data[len(data)-2:], u)
			}
			data = append(data, 0xEE, 0xEE)
			found := false
			for _, b := range UTF16(data) {
				found = found || strings.Contains(string(b.Bytes), "Zoë O’Hara")
			}
			if !found {
				t.Errorf("%v at %d: not read", order, offset)
			}
		}
	}
	if got := UTF16([]byte("plain text of some length, in one byte each")); len(got) != 0 {
		t.Errorf("plain text: %+v", got)
	}
}

func TestStrings(t *testing.T) {
	got := Strings([]byte("\x00\x01Ann Hale\x00short\x02Zoë Lindqvist\xff"))
	if len(got) != 2 || string(got[0].Bytes) != "Ann Hale" || string(got[1].Bytes) != "Zoë Lindqvist" || got[0].At != 2 {
		t.Errorf("got %+v", got)
	}
}

func pack(t testing.TB, kind string, text []byte) []byte {
	var b bytes.Buffer
	switch kind {
	case "gzip":
		w := gzip.NewWriter(&b)
		w.Name = "secret-name.txt"
		w.Write(text)
		w.Close()
	case "zlib":
		w := zlib.NewWriter(&b)
		w.Write(text)
		w.Close()
	case "zip":
		w := zip.NewWriter(&b)
		f, err := w.Create("secret-name.txt")
		if err != nil {
			t.Fatal(err)
		}
		f.Write(text)
		w.SetComment("a comment")
		w.Close()
	case "deflate":
		w, _ := flate.NewWriter(&b, 6)
		w.Write(text)
		w.Close()
	}
	return b.Bytes()
}

func TestUnpack(t *testing.T) {
	text := []byte(strings.Repeat("the words of a note ", 50))
	for _, kind := range []string{"gzip", "zlib", "zip"} {
		data := pack(t, kind, text)
		if got := Packed(data); got != kind {
			t.Errorf("%s taken for %+v", kind, got)
		}
		members, err := Unpack(data, 1<<20)
		if err != nil {
			t.Errorf("%s: %v", kind, err)
		}
		all := fmt.Sprintf("%s", members)
		if !strings.Contains(all, string(text)) || kind != "zlib" && !strings.Contains(all, "secret-name.txt") {
			t.Errorf("%s: not all is given: %.200s", kind, all)
		}
		if _, err := Unpack(data, 100); !errors.Is(err, ErrLimit) {
			t.Errorf("%s over the limit: %v", kind, err)
		}
		if _, err := Unpack(data[:len(data)-9], 1<<20); err == nil {
			t.Errorf("%s cut off: no error", kind)
		}
	}
	two := append(pack(t, "gzip", []byte("one")), pack(t, "gzip", []byte("two"))...)
	if members, err := Unpack(two, 100); err != nil || len(members) != 2 {
		t.Errorf("two gzip members: %v, %v", members, err)
	}
	if _, err := Unpack(append(two, "hidden"...), 100); err == nil {
		t.Error("bytes behind a gzip member: no error")
	}
	if got := Inflate(pack(t, "deflate", text), 1<<20); !bytes.Equal(got, text) {
		t.Errorf("deflate: %.40q", got)
	}
	for _, plain := range []string{"", "x", "plain text", "\x89PNG\r\n", "\xff\xd8\xff\xe0"} {
		if Packed([]byte(plain)) != "" || Inflate([]byte(plain), 100) != nil {
			t.Errorf("%q taken for packed", plain)
		}
	}
}

func FuzzUnwrap(f *testing.F) {
	for _, kind := range []string{"gzip", "zlib", "zip", "deflate"} {
		f.Add(pack(f, kind, []byte("some text in it")))
	}
	f.Add([]byte(`%41&#x41;\u0041\x41\41 =41 QUJDREVGR0hJSktMTU5PUA== 41:42:43 65, 66, 67`))
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, p := range Escapes(data) {
			if p.At < 0 || p.At >= len(data) {
				t.Fatalf("passage at %d of %d", p.At, len(data))
			}
		}
		for _, list := range [][]Blob{Runs(data), UTF16(data), Strings(data)} {
			for _, b := range list {
				if b.At < 0 || b.At >= len(data) || len(b.Bytes) > 2*len(data) {
					t.Fatalf("blob at %d, %d bytes of %d", b.At, len(b.Bytes), len(data))
				}
			}
		}
		const limit = 1 << 16
		if Packed(data) != "" {
			members, _ := Unpack(data, limit)
			total := 0
			for _, m := range members {
				total += len(m.Bytes)
			}
			if total > limit {
				t.Fatalf("%d bytes unpacked", total)
			}
		}
		if len(Inflate(data, limit)) > limit {
			t.Fatal("inflated past the limit")
		}
	})
}

func BenchmarkText(b *testing.B) {
	page := []byte(strings.Repeat(`The plate of 12 June shows a lock-keeper &amp; his dog. plates/k3jd7fh2k3jd7fh2/ 2400, 1200, 400 `+"\n", 4000))
	b.SetBytes(int64(len(page)))
	for b.Loop() {
		Escapes(page)
		Runs(page)
	}
}
