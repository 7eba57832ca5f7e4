package main

import (
	"image"
	"image/color"
	"math"
	"path"
	"strconv"
	"strings"

	"sandarac/archive/record"
	"sandarac/cmd/paintplates/emulsion"
	"sandarac/cmd/paintplates/light"
	"sandarac/cmd/paintplates/scanfile"
	"sandarac/cmd/paintplates/scenes"
)

// form is how a scan is written.
type form int

const (
	colour      form = iota // JPEG, sRGB, no profile
	grey                    // grey JPEG
	greyProfile             // grey JPEG with a gamma 2.2 profile
	wideProfile             // JPEG in a wide RGB, profile embedded
	turned                  // JPEG stored on its side, EXIF orientation 6
	deepGrey                // 16-bit grey TIFF
	deepColour              // 16-bit RGB TIFF
)

// special lists the plates that are not plain colour JPEGs.
var special = map[string]form{
	"26-003": deepColour, "26-009": deepGrey, "26-037": deepColour, "26-044": deepGrey,
	"26-001": grey, "26-015": grey, "26-053": greyProfile, "26-011": wideProfile, "26-023": turned,
}

// upright lists pictures taller than wide among those that are not portraits.
var upright = map[string]bool{"windlass-and-lamp": true, "seedheads": true, "ships-bell": true, "visitors-jug": true, "mooring-lamp": true, "mellock-stairs": true}

// broad lists portraits wider than tall.
var broad = map[string]bool{"two-ferry-hands": true, "casper-hands": true, "gundred-hands": true}

// unscanned are still on the rack.
var unscanned = map[string]bool{"26-059": true, "26-060": true}

// ppi keeps the long side of every size between about 1100 and 1600 pixels.
var ppi = map[string]int{"whole": 180, "half": 240, "quarter": 300, "sixth": 360, "ninth": 450, "4x5": 260, "5x7": 200}

type job struct {
	plate      *record.Plate
	file, name string
	number     int
	form       form
	pour       emulsion.Plate
}

func jobFor(p *record.Plate) (*job, bool) {
	if unscanned[p.ID] {
		return nil, false
	}
	base := strings.TrimSuffix(path.Base(p.File), ".md")
	name := strings.TrimPrefix(base, p.ID+"-")
	n, err := strconv.Atoi(strings.TrimPrefix(p.ID, "26-"))
	if err != nil {
		return nil, false
	}
	j := &job{plate: p, name: name, number: n, form: special[p.ID]}
	ext := ".jpg"
	if j.form == deepGrey || j.form == deepColour {
		ext = ".tif"
	}
	j.file = path.Join(path.Dir(p.File), base+ext)
	w, h := p.Format.WidthMM, p.Format.HeightMM
	tall := p.Purpose == "portrait" && !broad[name] || upright[name]
	if (h > w) != tall {
		w, h = h, w
	}
	density := ppi[p.Format.Slug]
	if j.form == deepColour { // three deep channels pack badly: fewer pixels
		density = density * 78 / 100
	}
	j.pour = emulsion.Plate{
		WidthMM: w, HeightMM: h, PPI: density, Support: p.Support, Judged: p.Judged, Flaws: p.Flaws,
		Negative: p.Support == "glass-negative" && p.Purpose == "copy", Smooth: ext == ".tif", Seed: uint64(n),
	}
	return j, true
}

// longSide is how many pixels the renderer draws along the long side; the lens resolves no more.
const longSide = 760

func (j *job) draw(quality float64) ([]byte, error) {
	s, err := scenes.Named(j.name, j.plate.Light.Kind, j.number)
	if err != nil {
		return nil, err
	}
	k := longSide * math.Sqrt(quality) / math.Max(j.pour.WidthMM, j.pour.HeightMM)
	rays := max(1, int(math.Round(4*quality)))
	f := light.Render(s, int(j.pour.WidthMM*k), int(j.pour.HeightMM*k), rays, uint64(j.number)*77)
	return j.encode(emulsion.Make(light.Calm(f), j.pour))
}

func (j *job) encode(s *emulsion.Sheet) ([]byte, error) {
	t := scanfile.Tags{PPI: j.pour.PPI}
	const quality = 88
	switch j.form {
	case deepGrey, deepColour:
		return scanfile.TIFF(deep(s, j.form == deepColour), t)
	case grey:
		return scanfile.JPEG(greyOf(s, same), quality, t)
	case greyProfile:
		t.Profile = scanfile.GreyGamma(2.2)
		return scanfile.JPEG(greyOf(s, func(v float64) float64 { return math.Pow(linearOf(v), 1/2.2) }), quality, t)
	case wideProfile:
		t.Profile = scanfile.WideRGB()
		return scanfile.JPEG(wide(s), quality, t)
	case turned:
		t.Orientation = 6
		return scanfile.JPEG(rgb(sideways(s)), quality, t)
	}
	return scanfile.JPEG(rgb(s), quality, t)
}

func same(v float64) float64 { return v }

func byteOf(v float64) uint8 { return uint8(math.Round(255 * math.Min(1, math.Max(0, v)))) }

func rgb(s *emulsion.Sheet) image.Image {
	m := image.NewRGBA(image.Rect(0, 0, s.W, s.H))
	for i, p := range s.Pix {
		m.Set(i%s.W, i/s.W, color.RGBA{byteOf(float64(p[0])), byteOf(float64(p[1])), byteOf(float64(p[2])), 255})
	}
	return m
}

// luma weighs the channels as ITU-R BT.709 does.
func luma(p [3]float32) float64 {
	return 0.2126*float64(p[0]) + 0.7152*float64(p[1]) + 0.0722*float64(p[2])
}

func greyOf(s *emulsion.Sheet, curve func(float64) float64) image.Image {
	m := image.NewGray(image.Rect(0, 0, s.W, s.H))
	for i, p := range s.Pix {
		m.Pix[i] = byteOf(curve(luma(p)))
	}
	return m
}

// deep keeps eleven bits of grey or ten a colour, shifted to sixteen: what a flatbed delivers above its noise.
func deep(s *emulsion.Sheet, rgb bool) scanfile.Deep {
	d := scanfile.Deep{Width: s.W, Height: s.H, Channels: 1}
	top, shift := 2047.0, 5
	if rgb {
		d.Channels = 3
		top, shift = 1023, 6
	}
	bits := func(v float64) uint16 { return uint16(math.Round(top*math.Min(1, math.Max(0, v)))) << shift }
	for _, p := range s.Pix {
		if !rgb {
			d.Pix = append(d.Pix, bits(luma(p)))
			continue
		}
		for _, v := range p {
			d.Pix = append(d.Pix, bits(float64(v)))
		}
	}
	return d
}

// sideways stores the picture so that orientation 6 (turn right by 90°) shows it upright.
func sideways(s *emulsion.Sheet) *emulsion.Sheet {
	o := &emulsion.Sheet{W: s.H, H: s.W, Pix: make([][3]float32, len(s.Pix))}
	for y := range s.H {
		for x := range s.W {
			o.Pix[(s.W-1-x)*o.W+y] = s.Pix[y*s.W+x]
		}
	}
	return o
}

// linearOf undoes the sRGB curve (IEC 61966-2-1).
func linearOf(v float64) float64 {
	if v <= 0.04045 {
		return math.Max(0, v) / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// wide converts sRGB values to the primaries and gamma of the wide profile; the matrix is the product of the two
// spaces' D50 matrices (Adobe RGB (1998) specification, annex; IEC 61966-2-1).
func wide(s *emulsion.Sheet) image.Image {
	m := image.NewRGBA(image.Rect(0, 0, s.W, s.H))
	enc := func(v float64) uint8 { return byteOf(math.Pow(math.Max(0, v), 256.0/563)) }
	for i, p := range s.Pix {
		r, g, b := linearOf(float64(p[0])), linearOf(float64(p[1])), linearOf(float64(p[2]))
		m.Set(i%s.W, i/s.W, color.RGBA{enc(0.71512*r + 0.28488*g), enc(g), enc(0.04117*g + 0.95883*b), 255})
	}
	return m
}
