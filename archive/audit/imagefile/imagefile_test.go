package imagefile

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

func picture() image.Image {
	img := image.NewRGBA(image.Rect(0, 0, 64, 48))
	for y := range 48 {
		for x := range 64 {
			img.Set(x, y, color.RGBA{uint8(x * 4), uint8(y * 5), uint8(x ^ y), 255})
		}
	}
	return img
}

func jpegFile(t testing.TB) []byte {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, picture(), nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func pngFile(t testing.TB) []byte {
	var b bytes.Buffer
	if err := png.Encode(&b, picture()); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

const packetHead = `<?xpacket begin="` + "\ufeff" + `" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about=""
 xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:photoshop="http://ns.adobe.com/photoshop/1.0/"
 xmlns:xmpRights="http://ns.adobe.com/xap/1.0/rights/" xmlns:plus="http://ns.useplus.org/ldf/xmp/1.0/" photoshop:Credit="Barge Studio">
<dc:creator><rdf:Seq><rdf:li>A. Fuller</rdf:li></rdf:Seq></dc:creator>
<dc:rights><rdf:Alt><rdf:li xml:lang="x-default">© 2026 A. Fuller</rdf:li></rdf:Alt></dc:rights><xmpRights:Marked>True</xmpRights:Marked>
<xmpRights:WebStatement>https://x.example/licence</xmpRights:WebStatement>
<plus:Licensor><rdf:Seq><rdf:li rdf:parseType="Resource"><plus:LicensorURL>https://x.example/ask</plus:LicensorURL></rdf:li></rdf:Seq></plus:Licensor>
`
const packetTail = "</rdf:Description></rdf:RDF></x:xmpmeta>\n   \t \n<?xpacket end=\"w\"?>"

// segment makes a JPEG segment.
func segment(marker byte, body string) string {
	return string([]byte{0xFF, marker, byte((len(body) + 2) >> 8), byte(len(body) + 2)}) + body
}

// with puts segments behind the start of image.
func with(file []byte, segments ...string) []byte {
	return []byte("\xff\xd8" + strings.Join(segments, "") + string(file[2:]))
}

func chunk(kind, body string) string {
	out := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	out = append(out, kind+body...)
	return string(binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:])))
}

// withChunk puts a chunk behind the header of a PNG.
func withChunk(file []byte, chunks ...string) []byte {
	const head = 8 + 25
	return []byte(string(file[:head]) + strings.Join(chunks, "") + string(file[head:]))
}

func TestAllowed(t *testing.T) {
	xmp := packetHead + packetTail
	for name, data := range map[string][]byte{
		"JPEG as encoded": jpegFile(t),
		"JPEG with XMP":   with(jpegFile(t), segment(app1, xmpHeading+xmp)),
		"JPEG with JFIF":  with(jpegFile(t), segment(app0, "JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00")),
		"PNG as encoded":  pngFile(t),
		"PNG with XMP":    withChunk(pngFile(t), chunk("iTXt", pngXMP+xmp)),
	} {
		r := Inspect(data)
		if len(r.Faults) > 0 {
			t.Errorf("%s: %q", name, r.Faults)
		}
		if strings.Contains(name, "XMP") && len(r.Rights) != 6 {
			t.Errorf("%s: rights %+v", name, r.Rights)
		}
	}
}

func TestFaults(t *testing.T) {
	xmp := func(inside string) []byte {
		return with(jpegFile(t), segment(app1, xmpHeading+packetHead+inside+packetTail))
	}
	j, p := jpegFile(t), pngFile(t)
	good := segment(app1, xmpHeading+packetHead+packetTail)
	for name, c := range map[string]struct {
		data []byte
		want string
	}{
		"not a picture":    {[]byte("hello"), "not a picture"},
		"comment":          {with(j, segment(com, "scan 0042")), "comment"},
		"EXIF":             {with(j, segment(app1, "Exif\x00\x00MM\x00*\x00\x00\x00\x08\x00\x00")), "EXIF"},
		"profile":          {with(j, segment(0xE2, "ICC_PROFILE\x00\x01\x01")), "APP2"},
		"IPTC":             {with(j, segment(0xED, "Photoshop 3.0\x00")), "APP13"},
		"JFIF preview":     {with(j, segment(app0, "JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x01\x01abc")), "preview"},
		"JFXX":             {with(j, segment(app0, "JFXX\x00\x10abc")), "APP0"},
		"two packets":      {with(j, good, good), "more than one"},
		"extended XMP":     {with(j, segment(app1, "http://ns.adobe.com/xmp/extension/\x00abc")), "APP1"},
		"bytes behind":     {append(bytes.Clone(j), "secret"...), "6 bytes lie behind its end"},
		"a picture behind": {append(bytes.Clone(j), j...), "behind its end"},
		"cut off":          {j[:len(j)-2], "cut off"},
		"cut in a segment": {j[:40], "cut off"},
		"between segments": {with(j, segment(app0, "JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00"), "hidden"), "between its segments"},
		"unknown marker":   {with(j, segment(0xF7, "x")), "unknown kind"},
		"person":           {xmp("<p:PersonInImage xmlns:p='http://iptc.org/std/Iptc4xmpExt/2008-02-29/'><rdf:Bag><rdf:li>Ann</rdf:li></rdf:Bag></p:PersonInImage>"), "PersonInImage"},
		"title":            {xmp("<dc:title>Ann</dc:title>"), "dc:title"},
		"model release":    {xmp("<plus:ModelReleaseStatus>MR-UMR</plus:ModelReleaseStatus>"), "ModelReleaseStatus"},
		"software":         {with(j, segment(app1, xmpHeading+strings.Replace(packetHead, "<x:xmpmeta", "<x:xmpmeta x:xmptk='Tool 1'", 1)+packetTail)), "xmptk"},
		"about":            {with(j, segment(app1, xmpHeading+strings.Replace(packetHead, `rdf:about=""`, `rdf:about="uuid:1"`, 1)+packetTail)), "about"},
		"comment in XMP":   {xmp("<!-- Ann -->"), "comment"},
		"words in XMP":     {xmp("Ann"), "outside any property"},
		"words behind XMP": {with(j, segment(app1, xmpHeading+packetHead+packetTail+"Ann")), "outside its XMP"},
		"broken XMP":       {xmp("<dc:rights>"), "cannot be read"},
		"entity":           {with(j, segment(app1, xmpHeading+"<!DOCTYPE x [<!ENTITY a 'Ann'>]>"+packetHead+packetTail)), "declaration"},
		"PNG text":         {withChunk(p, chunk("tEXt", "Author\x00Ann")), "tEXt"},
		"PNG packed text":  {withChunk(p, chunk("zTXt", "Author\x00\x00xxx")), "zTXt"},
		"PNG EXIF":         {withChunk(p, chunk("eXIf", "MM\x00*\x00\x00\x00\x08\x00\x00")), "eXIf"},
		"PNG time":         {withChunk(p, chunk("tIME", "\x07\xea\x06\x0c\x0e\x0a\x00")), "tIME"},
		"PNG profile":      {withChunk(p, chunk("iCCP", "name\x00\x00xx")), "iCCP"},
		"PNG private":      {withChunk(p, chunk("quAk", "Ann")), "quAk"},
		"PNG behind":       {append(bytes.Clone(p), "Ann"...), "behind its end"},
		"PNG cut off":      {p[:len(p)-5], "cut off"},
		"PNG checksum":     {withChunk(p, strings.Replace(chunk("gAMA", "\x00\x00\xb1\x8f"), "\xb1", "\xb2", 1)), "checksum"},
	} {
		r := Inspect(c.data)
		if !strings.Contains(strings.Join(r.Faults, "\n"), c.want) {
			t.Errorf("%s: %q, want %q", name, r.Faults, c.want)
		}
	}
}

// tool finds a program the tests need; CI has them all.
func tool(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s is not installed", name)
		}
		t.Skipf("%s is not installed", name)
	}
	return path
}

// ExifTool writes what a master may carry; each kind of it must be seen, in each
// format it can be written to. (https://exiftool.org)
func TestExifToolCanaries(t *testing.T) {
	exiftool := tool(t, "exiftool")
	dir := t.TempDir()
	thumb := filepath.Join(dir, "thumb.jpg")
	os.WriteFile(thumb, jpegFile(t), 0o644)
	webp, err := exec.Command(tool(t, "convert"), "-size", "40x30", "gradient:", "-strip", "webp:-").Output()
	if err != nil {
		t.Fatal(err)
	}
	if faults := Inspect(webp).Faults; len(faults) > 0 {
		t.Errorf("a WebP as encoded: %q", faults)
	}
	for _, c := range []struct{ formats, flag string }{
		{"jpg png webp", "-GPSLatitude=52.5"},
		{"jpg png webp", "-SerialNumber=CANARY"},
		{"jpg png webp", "-DateTimeOriginal=2026:06:14 10:00:00"},
		{"jpg png webp", "-EXIF:Artist=A. Fuller"},
		{"jpg png webp", "-XMP-iptcExt:PersonInImage=CANARY"},
		{"jpg png webp", "-XMP-plus:ModelReleaseStatus#=MR-UMR"},
		{"jpg png webp", "-XMP-dc:Description=CANARY"},
		{"jpg png webp", "-XMP-xmpMM:OriginalDocumentID=CANARY"},
		{"jpg", "-IPTC:Caption-Abstract=CANARY"},
		{"jpg png", "-Comment=CANARY"},
		{"jpg", "-ThumbnailImage<=" + thumb},
		{"png", "-PNG:Author=CANARY"},
	} {
		for format := range strings.FieldsSeq(c.formats) {
			path := filepath.Join(dir, "x."+format)
			os.WriteFile(path, map[string][]byte{"jpg": jpegFile(t), "png": pngFile(t), "webp": webp}[format], 0o644)
			if out, err := exec.Command(exiftool, "-overwrite_original", c.flag, path).CombinedOutput(); err != nil {
				t.Fatalf("%s %s: %v %s", c.flag, format, err, out)
			}
			data, _ := os.ReadFile(path)
			if r := Inspect(data); len(r.Faults) == 0 {
				t.Errorf("%s in %s: nothing is found", c.flag, format)
			}
		}
	}
}

// The second reader alone sees metadata, too.
func TestSecondReader(t *testing.T) {
	exiftool := tool(t, "exiftool")
	path := filepath.Join(t.TempDir(), "x.jpg")
	os.WriteFile(path, jpegFile(t), 0o644)
	if out, err := exec.Command(exiftool, "-overwrite_original", "-GPSLatitude=52.5", "-GPSLatitudeRef=N", "-XMP-dc:Title=T", "-XMP-dc:Rights=R", "-IPTC:Headline=H", path).CombinedOutput(); err != nil {
		t.Fatalf("%v %s", err, out)
	}
	data, _ := os.ReadFile(path)
	r := Report{Format: "JPEG"}
	r.secondReader(data)
	all := strings.Join(r.Faults, "\n")
	for _, want := range []string{"EXIF GPSLatitude", "XMP Title", "IPTC Headline"} {
		if !strings.Contains(all, want) {
			t.Errorf("%s is not seen: %q", want, r.Faults)
		}
	}
	if strings.Contains(all, "Rights") {
		t.Errorf("what may be said is a fault: %q", r.Faults)
	}
}

func FuzzInspect(f *testing.F) {
	f.Add(with(jpegFile(f), segment(app1, xmpHeading+packetHead+packetTail)))
	f.Add(withChunk(pngFile(f), chunk("iTXt", pngXMP+packetHead+packetTail)))
	f.Add([]byte("RIFF\x20\x00\x00\x00WEBPVP8X\x0a\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00XMP \x02\x00\x00\x00hi"))
	f.Add(avifBytes(f))
	f.Fuzz(func(t *testing.T, data []byte) {
		r := Inspect(data)
		for _, text := range r.Text {
			if len(text) > len(data) {
				t.Fatal("more text than file")
			}
		}
	})
}

func BenchmarkInspect(b *testing.B) {
	img := image.NewGray(image.Rect(0, 0, 1200, 1600))
	for i := range img.Pix {
		img.Pix[i] = uint8(i * i >> 7)
	}
	var buf bytes.Buffer
	jpeg.Encode(&buf, img, nil)
	b.SetBytes(int64(buf.Len()))
	for b.Loop() {
		Inspect(buf.Bytes())
	}
}
