package imagefile

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// avifFile is picture() as libavif codes it.
const avifFile = "AAAAIGZ0eXBhdmlmAAAAAGF2aWZtaWYxbWlhZk1BMUIAAADybWV0YQAAAAAAAAAoaGRscgAAAAAAAAAAcGljdAAAAAAAAAAAAAAA" +
	"AGxpYmF2aWYAAAAADnBpdG0AAAAAAAEAAAAeaWxvYwAAAABEAAABAAEAAAABAAABGgAAAMEAAAAoaWluZgAAAAAAAQAAABppbmZl" +
	"AgAAAAABAABhdjAxQ29sb3IAAAAAamlwcnAAAABLaXBjbwAAABRpc3BlAAAAAAAAAEAAAAAwAAAAEHBpeGkAAAAAAwgICAAAAAxh" +
	"djFDgQAMAAAAABNjb2xybmNseAACAAIAAoAAAAAXaXBtYQAAAAAAAAABAAEEAQKDBAAAAMltZGF0EgAKBhgVf72BCDK0ARZABhhh" +
	"hADdK2G1sF6HpEwePKeRm9v5Cl17+cVeY3w1MkehKyg1WO+U91lSL56NSGAEtOT4PB9nFUIjdZ6SWL1oy6WiIlILFxaEAf7HDS7D" +
	"6tXlB767KOVWnauHokazhth2o062SiLX82SFjbTwRUbQSUoESh6CHZX3GWqDhLj7DJ5yy10Jl6zRRUP4Y7saFUNvWFsMujt6D51X" +
	"PVbzS+cMuZG7gKxYQM2BjQa4VJRBT3Q+fA=="

func avifBytes(t testing.TB) []byte {
	data, err := base64.StdEncoding.DecodeString(avifFile)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func box(kind, body string) string {
	return string(binary.BigEndian.AppendUint32(nil, uint32(8+len(body)))) + kind + body
}

// unit puts an AV1 unit before the others, and mends the lengths.
func withUnit(file []byte, unit string) []byte {
	at := bytes.Index(file, []byte("mdat"))
	out := []byte(string(file[:at+4]) + unit + string(file[at+4:]))
	binary.BigEndian.PutUint32(out[at-4:], uint32(len(out)-at+4))
	length := bytes.Index(out, []byte("iloc")) + 4 + 18
	binary.BigEndian.PutUint32(out[length:], uint32(len(out)-at-4))
	return out
}

func TestAVIF(t *testing.T) {
	good := avifBytes(t)
	if r := Inspect(good); r.Format != "AVIF" || len(r.Faults) > 0 {
		t.Fatalf("as encoded: %s %q", r.Format, r.Faults)
	}
	if r := Inspect(withUnit(good, "\x12\x00")); len(r.Faults) > 0 { // a delimiter more is nothing
		t.Errorf("a delimiter: %q", r.Faults)
	}
	changed := func(old, by string) []byte {
		if !bytes.Contains(good, []byte(old)) {
			t.Fatalf("%q is not in the file", old)
		}
		return bytes.Replace(good, []byte(old), []byte(by), 1)
	}
	for name, c := range map[string]struct {
		data []byte
		want string
	}{
		"bytes behind":       {append(bytes.Clone(good), "Ann"...), "behind its end"},
		"a box behind":       {append(bytes.Clone(good), box("free", "Ann")...), "a box \"free\""},
		"uuid":               {append(bytes.Clone(good), box("uuid", "0123456789abcdefAnn")...), "a box \"uuid\""},
		"second data":        {append(bytes.Clone(good), box("mdat", "Ann")...), "more than one box \"mdat\""},
		"cut off":            {good[:len(good)-3], "cut off"},
		"brand":              {changed("miaf", "Anna"), "brand"},
		"handler":            {changed("libavif", "CANARY1"), "hdlr"},
		"name of the item":   {changed("Color", "Ann K"), "iinf"},
		"profile":            {changed("nclx", "prof"), "colour profile"},
		"data of none":       {changed("\x00\x00\x00\xc1", "\x00\x00\x00\xc0"), "no picture's"},
		"AV1 metadata":       {withUnit(good, "\x2a\x04\x04Ann"), "unit of kind 5"},
		"AV1 padding":        {withUnit(good, "\x7a\x03Ann"), "unit of kind 15"},
		"a unit without end": {withUnit(good, "\x12\xff\xff\x03"), "cut off"},
	} {
		r := Inspect(c.data)
		if !strings.Contains(strings.Join(r.Faults, "\n"), c.want) {
			t.Errorf("%s: %q, want %q", name, r.Faults, c.want)
		}
	}
}

// What ExifTool adds is seen (https://exiftool.org).
func TestAVIFCanaries(t *testing.T) {
	exiftool := tool(t, "exiftool")
	path := filepath.Join(t.TempDir(), "x.avif")
	for _, flag := range []string{"-GPSLatitude=52.5", "-EXIF:Artist=A. Fuller", "-XMP-iptcExt:PersonInImage=CANARY"} {
		if err := os.WriteFile(path, avifBytes(t), 0o644); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command(exiftool, "-overwrite_original", flag, path).CombinedOutput(); err != nil {
			t.Fatalf("%s: %v %s", flag, err, out)
		}
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if r := Inspect(data); len(r.Faults) == 0 {
			t.Errorf("%s: nothing is found", flag)
		}
	}
}
