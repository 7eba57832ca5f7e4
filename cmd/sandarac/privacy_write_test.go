package main

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// entry is one key of a record; entries keep the order in which they are
// written.
type entry struct {
	key   string
	value any // string, bool, number, []string, []entry or [][]entry; a raw is written as it is
}

type raw string

// write puts the archive on disk.
func (w *world) write(t testing.TB, root string) {
	t.Helper()
	s := w.studio
	studio := []entry{{"studio", s.name}, {"url", s.url}, {"time_zone", s.zone}, {"credit", s.credit}, {"copyright", s.copyright}, {"show_recipes", s.recipes},
		{"lenses", [][]entry{{{"id", s.lens}, {"focal_mm", 210}, {"widest_stop", 4}}}}}
	if s.email != "" {
		studio = append(studio, entry{"email", s.email})
	}
	if s.retention > 0 {
		studio = append(studio, entry{"retention", fmt.Sprintf("%d days", s.retention)})
	}
	put(t, root, "studio.md", recordText("yaml", studio, s.notes))
	for i, p := range w.people {
		name := fmt.Sprintf("people/s%d.md", i)
		keys := append([]entry{{"sitter", p.id}}, w.personKeys(p)...)
		w.putBroken(t, root, name, p.broken, keys, p.notes)
	}
	for i, c := range w.clients {
		name := fmt.Sprintf("clients/c%d.md", i)
		gallery := []entry{{"title", c.title}, {"message", c.message}, {"generation", c.generation}, {"passphrase_required", c.passphrase}}
		if c.web {
			gallery = append(gallery, entry{"downloads", "web"})
		}
		if c.until != nil {
			gallery = append(gallery, entry{"until", w.date(*c.until)})
		}
		w.putBroken(t, root, name, c.broken, []entry{{"client", c.id}, {"name", c.name}, {"email", c.email}, {"gallery", gallery}}, c.notes)
	}
	for i, b := range w.batches {
		put(t, root, fmt.Sprintf("batches/b%d.md", i), recordText("yaml", []entry{{"batch", b.id}, {"kind", b.kind}, {"mixed", w.date(-900)}}, b.notes))
	}
	for _, p := range w.plates {
		w.writePlate(t, root, p)
	}
	w.writePages(t, root)
}

func put(t testing.TB, root, name, content string) {
	t.Helper()
	file := filepath.Join(root, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, []byte(content), 0o644); err != nil {
		t.Fatal(err)
	}
}

// putBroken writes a sitter or client, spoilt if need be.
func (w *world) putBroken(t testing.TB, root, name, how string, keys []entry, body string) {
	t.Helper()
	switch how {
	case "unknown key":
		keys = append(keys, entry{"colour", "blue"})
	case "bad date":
		for i, k := range keys {
			if inner, ok := k.value.([]entry); ok {
				keys[i].value = append(inner[:len(inner):len(inner)], entry{"until", "2026-02-30"})
			}
		}
	case "unclosed":
		put(t, root, name, strings.TrimSuffix(recordText("yaml", keys, ""), "---\n\n\n"))
		return
	case "twice":
		put(t, root, strings.TrimSuffix(name, ".md")+"-again.md", recordText("yaml", keys[:1], ""))
	}
	put(t, root, name, recordText("yaml", keys, body))
}

func (w *world) personKeys(p *person) []entry {
	consent := []entry{{"portfolio", p.portfolio}, {"name", p.named}}
	if p.promoted {
		consent = append(consent, entry{"promotion", true})
	}
	for _, d := range []struct {
		key string
		day *int
	}{{"given", p.given}, {"until", p.until}, {"withdrawn", p.withdrawn}} {
		if d.day != nil {
			consent = append(consent, entry{d.key, raw(w.date(*d.day))})
		}
	}
	if p.minor {
		consent = append(consent, entry{"minor", true})
	}
	if p.release != "" {
		consent = append(consent, entry{"release", p.release})
	}
	keys := []entry{{"name", p.name}, {"consent", consent}}
	if p.guardian != "" {
		keys = append(keys, entry{"guardian", p.guardian})
	}
	return keys
}

func (w *world) plateKeys(p *worldPlate) []entry {
	keys := []entry{{"plate", p.id}, {"made", raw(p.made.Format("2006-01-02T15:04:05"))}}
	if p.broken == "no made" {
		keys = keys[:1]
	}
	if p.broken == "future" {
		keys[1].value = raw(w.date(40) + "T10:00:00")
	}
	add := func(key string, value any, given bool) {
		if given {
			keys = append(keys, entry{key, value})
		}
	}
	add("purpose", p.purpose, p.purpose != "")
	add("support", p.support, true)
	add("format", p.format, true)
	var batches []entry
	for _, b := range [][2]string{{"collodion", p.collodion}, {"varnish", p.varnish}} {
		if b[1] != "" {
			batches = append(batches, entry{b[0], b[1]})
		}
	}
	if p.broken == "unknown batch" {
		batches = append(batches, entry{"bath", "nobody-mixed-it"})
	}
	add("batches", batches, len(batches) > 0)
	add("lens", map[bool]string{true: "no-such-lens", false: p.lens}[p.broken == "unknown lens"], true)
	add("camera", p.camera, true)
	add("exposure", []entry{{"seconds", p.seconds}, {"stop", 4}}, true)
	light := []entry{{"kind", p.light}, {"ev100", 10}}
	if p.lightNote != "" {
		light = append(light, entry{"note", p.lightNote})
	}
	add("light", light, true)
	add("outcome", p.outcome, p.outcome != "")
	add("flaws", []string{"foggy"}, p.broken == "flaw")
	if !p.noSittersKey {
		keys = append(keys, entry{"sitters", w.sitterList(p)})
	}
	add("client", map[bool]string{true: "nobody-ordered-it", false: p.client}[p.broken == "unknown client"], p.client != "" || p.broken == "unknown client")
	title := p.title
	if p.broken == "control" {
		title += "\u0007"
	}
	add("title", title, title != "")
	add("alt", p.alt, p.alt != "")
	add("tags", p.tags, len(p.tags) > 0)
	if p.namesScans || p.broken == "scan named and missing" {
		var names []string
		for _, s := range p.scans {
			names = append(names, path.Base(s.file))
		}
		if p.broken == "scan named and missing" {
			names = append(names, "not-there.jpg")
		}
		add("scans", names, true)
	}
	add("x_own", p.own, true)
	add("colour", "blue", p.broken == "unknown key")
	add("made", "2026-02-30", p.broken == "bad date" || p.broken == "duplicate key")
	return keys
}

func (w *world) sitterList(p *worldPlate) [][]entry {
	list := [][]entry{}
	for _, s := range p.sitters {
		if s.inline != nil {
			list = append(list, w.personKeys(s.inline))
		} else {
			list = append(list, []entry{{"sitter", s.ref}})
		}
	}
	switch p.broken {
	case "quoted bool":
		list = append(list, []entry{{"name", "Nobody"}, {"consent", []entry{{"portfolio", "true"}, {"given", raw(w.date(-1))}}}})
	case "unknown sitter":
		list = append(list, []entry{{"sitter", "nobody-at-all"}})
	}
	return list
}

func (w *world) writePlate(t testing.TB, root string, p *worldPlate) {
	t.Helper()
	notation := p.notation
	if p.broken == "duplicate key" || p.broken == "bad date" || p.broken == "nul" {
		notation = "yaml"
	}
	keys := w.plateKeys(p)
	text := recordText(notation, keys, p.notes)
	switch p.broken {
	case "unclosed":
		text = strings.TrimSuffix(recordText("yaml", keys, ""), "---\n\n\n")
	case "nul":
		text = strings.Replace(text, "camera:", "camera: \x00", 1)
	case "sitter is a word":
		text = recordText("yaml", append(keys[:len(keys):len(keys)], entry{"sitters", []string{"someone"}}), p.notes)
	case "twice":
		again := "again/" + path.Base(p.file) + "-again"
		put(t, root, again+".md", recordText("yaml", []entry{{"plate", p.id}, {"made", raw(w.date(-3))}, {"outcome", "keeper"}, {"sitters", [][]entry{}}, {"title", "Again " + p.own}}, ""))
		put(t, root, again+".jpg", string((&worldScan{seed: uint64(len(p.own)) + w.seed, w: 320, h: 400, turn: 1, secret: p.own}).bytes(t)))
	}
	put(t, root, p.file+".md", text)
	for _, s := range p.scans {
		body := s.bytes(t)
		switch s.spoilt {
		case "cut":
			body = body[:len(body)/2]
		case "empty":
			body = nil
		}
		put(t, root, s.file, string(body))
	}
}

// recordText writes keys in one of the three notations.
func recordText(notation string, keys []entry, body string) string {
	var b strings.Builder
	switch notation {
	case "json":
		b.WriteString("{\n")
		for i, k := range keys {
			b.WriteString("  " + quote(k.key) + ": " + flow(k.value, ": ", true))
			if i+1 < len(keys) {
				b.WriteByte(',')
			}
			b.WriteByte('\n')
		}
		b.WriteString("}\n\n")
	case "toml":
		b.WriteString("+++\n")
		for _, k := range keys {
			b.WriteString(k.key + " = " + flow(k.value, " = ", false) + "\n")
		}
		b.WriteString("+++\n\n")
	default:
		b.WriteString("---\n")
		for _, k := range keys {
			b.WriteString(k.key + ": " + flow(k.value, ": ", false) + "\n")
		}
		b.WriteString("---\n\n")
	}
	return b.String() + body + "\n"
}

// flow writes a value on one line, as YAML, TOML and JSON do almost alike.
func flow(value any, sign string, quoteKeys bool) string {
	switch v := value.(type) {
	case raw:
		if sign == " = " && !strings.Contains(string(v), "T") || quoteKeys {
			return quote(string(v))
		}
		return string(v)
	case string:
		return quote(v)
	case []string:
		parts := make([]string, len(v))
		for i, s := range v {
			parts[i] = quote(s)
		}
		return "[" + strings.Join(parts, ", ") + "]"
	case []entry:
		parts := make([]string, len(v))
		for i, e := range v {
			key := e.key
			if quoteKeys {
				key = quote(key)
			}
			parts[i] = key + sign + flow(e.value, sign, quoteKeys)
		}
		return "{" + strings.Join(parts, ", ") + "}"
	case [][]entry:
		parts := make([]string, len(v))
		for i, e := range v {
			parts[i] = flow(e, sign, quoteKeys)
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	return fmt.Sprint(value)
}

// quote writes a text in double quotes; what it escapes all three notations
// read alike.
func quote(s string) string {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(s); err != nil {
		panic(err)
	}
	return strings.TrimSpace(b.String())
}

// fields is how many fields of tone a picture has on each side.
const fields = 8

// tones are what a scan shows, upright, before it is turned.
func (s *worldScan) tones() [fields][fields]float64 {
	var out [fields][fields]float64
	r := rand.New(rand.NewPCG(s.seed, 7))
	for y := range fields {
		for x := range fields {
			out[y][x] = 30 + 190*r.Float64()
		}
	}
	if s.alike != 0 {
		r = rand.New(rand.NewPCG(s.alike, 8))
		for range 2 + int(s.alike%13) {
			out[r.IntN(fields)][r.IntN(fields)] = 30 + 190*r.Float64()
		}
	}
	return out
}

// bytes is the scan as a file, with words in its metadata that must not leave.
func (s *worldScan) bytes(t testing.TB) []byte {
	t.Helper()
	tones := s.tones()
	img := image.NewNRGBA(image.Rect(0, 0, s.w, s.h))
	for y := range s.h {
		for x := range s.w {
			u, v := turned(s.orientation(), (float64(x)+0.5)/float64(s.w), (float64(y)+0.5)/float64(s.h))
			g := uint8(tones[int(v*fields)][int(u*fields)])
			c := color.NRGBA{g, g, g, 255}
			if s.colour {
				c.R, c.B = uint8(min(255, float64(g)*1.1)), uint8(float64(g)*0.8)
			}
			img.SetNRGBA(x, y, c)
		}
	}
	var b bytes.Buffer
	if strings.HasSuffix(s.file, ".png") {
		if err := png.Encode(&b, img); err != nil {
			t.Fatal(err)
		}
		text := []byte("tEXtComment\x00" + s.secret)
		chunk := binary.BigEndian.AppendUint32(nil, uint32(len(text)-4))
		chunk = append(chunk, text...)
		chunk = binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(text))
		return bytes.Join([][]byte{b.Bytes()[:33], chunk, b.Bytes()[33:]}, nil)
	}
	var picture image.Image = img
	if !s.colour {
		grey := image.NewGray(img.Bounds())
		for i := range grey.Pix {
			grey.Pix[i] = img.Pix[4*i]
		}
		picture = grey
	}
	if err := jpeg.Encode(&b, picture, &jpeg.Options{Quality: 90}); err != nil {
		t.Fatal(err)
	}
	comment := append([]byte{0xff, 0xfe, 0, byte(len(s.secret) + 2)}, s.secret...)
	return bytes.Join([][]byte{b.Bytes()[:2], s.exif(), comment, b.Bytes()[2:]}, nil)
}

// orientation is how the picture is stored. Our PNG files cannot say.
func (s *worldScan) orientation() int {
	if strings.HasSuffix(s.file, ".png") {
		return 1
	}
	return s.turn
}

// turned gives the place in the upright picture (0 to 1) of a place in the stored
// one, by EXIF orientation.
func turned(orientation int, x, y float64) (u, v float64) {
	switch orientation {
	case 3:
		return 1 - x, 1 - y
	case 6:
		return 1 - y, x
	case 8:
		return y, 1 - x
	}
	return x, y
}

// exifDate is the day of scanning in every scan.
const exifDate = "1987:03:04 05:06:07"

// exif is an APP1 segment (Exif 2.32, section 4.5.4) with orientation, a
// description, an artist and a date.
func (s *worldScan) exif() []byte {
	type field struct {
		tag  uint16
		text string
	}
	texts := []field{{0x010e, s.secret + " described"}, {0x0132, exifDate}, {0x013b, s.secret}}
	le := binary.LittleEndian
	tiff := []byte("II*\x00\x08\x00\x00\x00")
	tiff = le.AppendUint16(tiff, uint16(len(texts)+1))
	data := 8 + 2 + 12*(len(texts)+1) + 4
	var tail []byte
	put := func(tag, kind uint16, count, value uint32) {
		tiff = le.AppendUint32(le.AppendUint32(le.AppendUint16(le.AppendUint16(tiff, tag), kind), count), value)
	}
	for i, f := range texts {
		if i == 1 { // tags stand in ascending order
			put(0x0112, 3, 1, uint32(s.orientation()))
		}
		put(f.tag, 2, uint32(len(f.text)+1), uint32(data+len(tail)))
		tail = append(append(tail, f.text...), 0)
	}
	body := append(append([]byte("Exif\x00\x00"), append(tiff, 0, 0, 0, 0)...), tail...)
	return append([]byte{0xff, 0xe1, byte((len(body) + 2) >> 8), byte(len(body) + 2)}, body...)
}

// local is the plate's time in the studio's zone.
func (w *world) local(p *worldPlate) time.Time {
	y, m, d := p.made.Date()
	return time.Date(y, m, d, p.made.Hour(), p.made.Minute(), p.made.Second(), 0, w.zone())
}
