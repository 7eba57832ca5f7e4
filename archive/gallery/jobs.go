package gallery

import (
	"strconv"

	"sandarac/archive/consent"
	"sandarac/archive/picture"
)

// widths are those of a gallery's pictures, each half as wide again as the one
// before: a phone at one pixel, a phone at two, and up to the first zoom at the
// desk.
var widths = []int{480, 720, 1080, 1600, 2400}

// quality of a JPEG: lower for the two that phones open with, whose small pixels
// hide the coding, so that the first picture is there soon.
func quality(width int) int {
	switch {
	case width <= 480:
		return 70
	case width <= 720:
		return 76
	}
	return 82
}

// fullQuality is that of the full scan, which clients keep and print.
const fullQuality = 93

// edition keeps a gallery's pictures apart from the published ones and from
// those of its other generations: neither bytes nor coded picture are the same.
func edition(g consent.Gallery) string {
	return "gallery:" + g.ClientID + ":" + strconv.Itoa(g.Generation)
}

func outputs(g consent.Gallery, rights picture.Rights) []picture.Output {
	var out []picture.Output
	for _, w := range widths {
		out = append(out, picture.Output{Width: w, Quality: quality(w), Rights: rights, Edition: edition(g)})
	}
	if g.Downloads == "full" {
		out = append(out, picture.Output{Quality: fullQuality, Rights: rights, Edition: edition(g)})
	}
	return out
}

// Jobs says which pictures the galleries need, one job a master. Galleries
// whose clients may only have the web size get no full scan at all.
func Jobs(galleries []consent.Gallery, rights picture.Rights) []picture.Job {
	var jobs []picture.Job
	for _, g := range galleries {
		for _, p := range g.Plates {
			for _, master := range p.Masters {
				jobs = append(jobs, picture.Job{Master: master, Outputs: outputs(g, rights)})
			}
		}
	}
	return jobs
}

// pictures finds the finished files of the galleries' masters.
type pictures map[string][]picture.File

func index(sets []picture.Set) pictures {
	p := pictures{}
	for _, s := range sets {
		p[s.Master] = append(p[s.Master], s.Files...)
	}
	return p
}

// of gives the files of one view of a plate from small to large, each once, or
// nothing if one is missing: a master narrower than a width gave the same file
// for several outputs.
func (p pictures) of(g consent.Gallery, master string) []picture.File {
	var out []picture.File
	for _, want := range outputs(g, picture.Rights{}) {
		found := false
		for _, f := range p[master] {
			if f.Output.Edition != want.Edition || f.Output.Width != want.Width {
				continue
			}
			found = true
			if len(out) == 0 || out[len(out)-1].Path != f.Path {
				out = append(out, f)
			}
			break
		}
		if !found {
			return nil
		}
	}
	return out
}
