package main

import (
	"bytes"
	"compress/gzip"
	"crypto/pbkdf2"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"html"
	"image"
	_ "image/jpeg"
	_ "image/png"
	"io"
	"io/fs"
	"math"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"sandarac/archive/seal"
)

// stranger reads a finished public site as someone does who knows nothing.
type stranger struct {
	files    map[string][]byte // as they lie there
	texts    map[string]string // readable, unpacked, in lower case
	pictures map[string]image.Image
	shown    map[string][]string // by plate id: the names its page gives
}

func readSite(dir string) (*stranger, error) {
	s := &stranger{map[string][]byte{}, map[string]string{}, map[string]image.Image{}, map[string][]string{}}
	err := fs.WalkDir(os.DirFS(dir), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		if !d.Type().IsRegular() {
			return fmt.Errorf("%s is not a file", name)
		}
		body, err := fs.ReadFile(os.DirFS(dir), name)
		if err != nil {
			return err
		}
		s.files[name] = body
		return s.read(name, body)
	})
	return s, err
}

func (s *stranger) read(name string, body []byte) error {
	text := string(body)
	switch {
	case isPicture(body):
		img, _, err := image.Decode(bytes.NewReader(body))
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		s.pictures[name] = img
	case bytes.HasPrefix(body, []byte{0x1f, 0x8b}):
		z, err := gzip.NewReader(bytes.NewReader(body))
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		unpacked, err := io.ReadAll(z)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		text += "\n" + string(unpacked)
	case strings.HasSuffix(name, ".html"):
		if err := s.page(text); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	plain := html.UnescapeString(text)
	s.texts[name] = strings.ToLower(name + "\n" + text + "\n" + plain + "\n" + percentDecoded(plain))
	return nil
}

func isPicture(body []byte) bool {
	return bytes.HasPrefix(body, []byte{0xff, 0xd8}) || bytes.HasPrefix(body, []byte("\x89PNG"))
}

// percentDecoded takes %xx off wherever it stands.
func percentDecoded(text string) string {
	var b strings.Builder
	for i := 0; i < len(text); i++ {
		var c byte
		if text[i] == '%' && i+2 < len(text) {
			if n, err := fmt.Sscanf(text[i+1:i+3], "%02x", &c); n == 1 && err == nil {
				b.WriteByte(c)
				i += 2
				continue
			}
		}
		b.WriteByte(text[i])
	}
	return b.String()
}

// page notes what the structured data of a page says.
func (s *stranger) page(text string) error {
	_, rest, found := strings.Cut(text, `<script type="application/ld+json">`)
	if !found {
		return nil
	}
	block, _, _ := strings.Cut(rest, "</script>")
	var data struct {
		Identifier string
		About      []struct{ Name string }
	}
	if err := json.Unmarshal([]byte(block), &data); err != nil {
		return fmt.Errorf("structured data: %w", err)
	}
	if data.Identifier == "" {
		return nil
	}
	names := []string{}
	for _, a := range data.About {
		names = append(names, a.Name)
	}
	s.shown[data.Identifier] = names
	return nil
}

// sees gives a file in which a text stands, or "".
func (s *stranger) sees(text string) string {
	text = strings.ToLower(text)
	for name, content := range s.texts {
		if strings.Contains(content, text) {
			return name
		}
	}
	return ""
}

// likeness is the mean difference, in grey levels, between a picture and what a
// scan shows, by the middles of the fields.
func likeness(img image.Image, tones [fields][fields]float64) float64 {
	b := img.Bounds()
	sum := 0.0
	for y := range fields {
		for x := range fields {
			cx, cy := b.Min.X+(2*x+1)*b.Dx()/(2*fields), b.Min.Y+(2*y+1)*b.Dy()/(2*fields)
			grey, n := 0.0, 0
			for dy := -2; dy <= 2; dy++ {
				for dx := -2; dx <= 2; dx++ {
					_, g, _, _ := img.At(cx+dx, cy+dy).RGBA()
					grey += float64(g >> 8)
					n++
				}
			}
			sum += math.Abs(grey/float64(n) - tones[y][x])
		}
	}
	return sum / (fields * fields)
}

// unlike is a difference that no encoding makes.
const unlike = 6

// owner finds the plates whose scans a picture could be of, with the scan.
func (w *world) owner(img image.Image) (plates []*worldPlate, scans []*worldScan) {
	least := math.Inf(1)
	for _, p := range w.plates {
		for _, s := range p.scans {
			d := likeness(img, s.tones())
			switch {
			case d > unlike || d > least+0.01:
			case d < least-0.01:
				least, plates, scans = d, []*worldPlate{p}, []*worldScan{s}
			default:
				plates, scans = append(plates, p), append(scans, s)
			}
		}
	}
	return plates, scans
}

// opened is a gallery as the holder of the link reads it.
type opened struct {
	ids      []string
	text     string // the list
	pictures map[string][]image.Image
}

// openGallery reads a gallery by its link and passphrase alone.
func openGallery(public, link, passphrase string) (*opened, error) {
	u, err := url.Parse(link)
	if err != nil {
		return nil, err
	}
	key, err := base64.RawURLEncoding.DecodeString(u.Fragment)
	if err != nil {
		return nil, err
	}
	name := path.Base(u.Path)
	dir := filepath.Join(public, "g", name)
	read := func(secret []byte, file string) ([]byte, error) {
		ikm, err := seal.FileKey(secret, file)
		if err != nil {
			return nil, err
		}
		f, err := os.Open(filepath.Join(dir, file))
		if err != nil {
			return nil, err
		}
		defer f.Close()
		body, err := seal.Open(f, ikm, 1<<26)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", file, err)
		}
		return body, nil
	}
	body, err := read(key, "list.bin")
	if err != nil {
		return nil, err
	}
	var list struct {
		Locked *struct {
			Rounds     int
			Salt, List string
		}
		Files  []struct{ Name, SHA256 string }
		Plates []struct {
			ID    string
			Views []struct {
				Pictures []struct{ File string }
				Download struct{ File string }
			}
		}
	}
	if err := json.Unmarshal(body, &list); err != nil {
		return nil, err
	}
	if list.Locked != nil {
		salt, err := base64.RawURLEncoding.DecodeString(list.Locked.Salt)
		if err != nil {
			return nil, err
		}
		stretched, err := pbkdf2.Key(sha256.New, passphrase, salt, list.Locked.Rounds, 32)
		if err != nil {
			return nil, err
		}
		key = append(key, stretched...)
		if body, err = read(key, list.Locked.List); err != nil {
			return nil, err
		}
		if err := json.Unmarshal(body, &list); err != nil {
			return nil, err
		}
	}
	out := &opened{text: strings.ToLower(string(body)), pictures: map[string][]image.Image{}}
	for _, p := range list.Plates {
		out.ids = append(out.ids, p.ID)
		for _, v := range p.Views {
			files := []string{v.Download.File}
			for _, f := range v.Pictures {
				files = append(files, f.File)
			}
			slices.Sort(files)
			for _, f := range slices.Compact(files) {
				picture, err := read(key, f)
				if err != nil {
					return nil, err
				}
				img, _, err := image.Decode(bytes.NewReader(picture))
				if err != nil {
					return nil, fmt.Errorf("%s: %w", f, err)
				}
				out.pictures[p.ID] = append(out.pictures[p.ID], img)
				out.text += "\n" + strings.ToLower(string(picture))
			}
		}
	}
	slices.Sort(out.ids)
	return out, nil
}
