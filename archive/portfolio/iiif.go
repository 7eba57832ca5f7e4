package portfolio

import (
	"context"
	"encoding/json"
	"net/url"
	"strings"
)

// The IIIF documents of a plate, so that a museum's viewer can open it: a
// Presentation API 3.0 manifest beside its page, and an Image API 3.0
// description of level 0, which lists sizes and has no tiles. Only published
// derivatives are named; "max" is the largest of them, never the master's size.

const (
	presentationContext = "http://iiif.io/api/presentation/3/context.json"
	imageContext        = "http://iiif.io/api/image/3/context.json"
	imageProtocol       = "http://iiif.io/api/image"
)

type languageMap map[string][]string

type labelled struct {
	Label languageMap `json:"label"`
	Value languageMap `json:"value"`
}

type imageService struct {
	Context  string      `json:"@context,omitempty"`
	ID       string      `json:"id"`
	Type     string      `json:"type"`
	Protocol string      `json:"protocol,omitempty"`
	Profile  string      `json:"profile"`
	Width    int         `json:"width,omitempty"`
	Height   int         `json:"height,omitempty"`
	Sizes    []imageSize `json:"sizes,omitempty"`
}

type imageSize struct {
	Width  int `json:"width"`
	Height int `json:"height"`
}

type imageBody struct {
	ID      string         `json:"id"`
	Type    string         `json:"type"`
	Format  string         `json:"format"`
	Width   int            `json:"width"`
	Height  int            `json:"height"`
	Service []imageService `json:"service,omitempty"`
}

type link struct {
	ID     string      `json:"id"`
	Type   string      `json:"type"`
	Label  languageMap `json:"label,omitempty"`
	Format string      `json:"format,omitempty"`
}

type annotation struct {
	ID         string    `json:"id"`
	Type       string    `json:"type"`
	Motivation string    `json:"motivation"`
	Body       imageBody `json:"body"`
	Target     string    `json:"target"`
}

type annotationPage struct {
	ID    string       `json:"id"`
	Type  string       `json:"type"`
	Items []annotation `json:"items"`
}

type canvas struct {
	ID     string           `json:"id"`
	Type   string           `json:"type"`
	Label  languageMap      `json:"label"`
	Width  int              `json:"width"`
	Height int              `json:"height"`
	Items  []annotationPage `json:"items"`
}

type manifest struct {
	Context           string      `json:"@context"`
	ID                string      `json:"id"`
	Type              string      `json:"type"`
	Label             languageMap `json:"label"`
	Summary           languageMap `json:"summary,omitempty"`
	Metadata          []labelled  `json:"metadata,omitempty"`
	RequiredStatement *labelled   `json:"requiredStatement,omitempty"`
	Rights            string      `json:"rights,omitempty"`
	Provider          []provider  `json:"provider,omitempty"`
	Homepage          []link      `json:"homepage"`
	Thumbnail         []imageBody `json:"thumbnail"`
	Items             []canvas    `json:"items"`
}

type provider struct {
	ID       string      `json:"id"`
	Type     string      `json:"type"`
	Label    languageMap `json:"label"`
	Homepage []link      `json:"homepage"`
}

// manifestName is the manifest's file beside a plate's page.
const manifestName = "manifest.json"

func (s *stage) writeIIIF(ctx context.Context) error {
	for _, p := range s.plates {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := s.writeJSON("static/"+p.page+manifestName, s.manifest(p)); err != nil {
			return err
		}
		if err := s.writeJSON("static/"+p.image+"/info.json", s.imageInfo(p)); err != nil {
			return err
		}
	}
	return nil
}

func (s *stage) writeJSON(name string, v any) error {
	body, err := json.MarshalIndent(v, "", " ")
	if err != nil {
		return err
	}
	return s.write(name, append(body, '\n'))
}

func (s *stage) imageInfo(p plate) imageService {
	big := p.largest()
	out := imageService{Context: imageContext, ID: s.absolute(p.image), Type: "ImageService3", Protocol: imageProtocol,
		Profile: "level0", Width: big.Width, Height: big.Height}
	for _, f := range p.files {
		out.Sizes = append(out.Sizes, imageSize{f.Width, f.Height})
	}
	return out
}

func (s *stage) manifest(p plate) manifest {
	big, small := p.largest(), p.atLeast(300)
	page := s.absolute(p.page)
	service := []imageService{{ID: s.absolute(p.image), Type: "ImageService3", Profile: "level0"}}
	in := func(text string) languageMap { return languageMap{s.language: {text}} }
	plain := func(text string) languageMap { return languageMap{"none": {notHTML(text)}} }
	at := page + "canvas/1"
	m := manifest{
		Context: presentationContext, ID: page + manifestName, Type: "Manifest", Label: plain(p.title), Summary: plain(p.alt()),
		Homepage:  []link{{ID: page, Type: "Text", Label: plain(p.title), Format: "text/html"}},
		Thumbnail: []imageBody{{ID: s.absolute(p.address(small)), Type: "Image", Format: "image/jpeg", Width: small.Width, Height: small.Height, Service: service}},
		Provider: []provider{{ID: s.base.String(), Type: "Agent", Label: plain(s.site.Studio.Name),
			Homepage: []link{{ID: s.base.String(), Type: "Text", Label: plain(s.site.Studio.Name), Format: "text/html"}}}},
		Items: []canvas{{ID: at, Type: "Canvas", Label: plain(p.title), Width: big.Width, Height: big.Height,
			Items: []annotationPage{{ID: at + "/page", Type: "AnnotationPage", Items: []annotation{{
				ID: at + "/picture", Type: "Annotation", Motivation: "painting", Target: at,
				Body: imageBody{ID: s.absolute(p.image + "/full/max/0/default.jpg"), Type: "Image", Format: "image/jpeg",
					Width: big.Width, Height: big.Height, Service: service},
			}}}}}},
	}
	fact := func(label, value string) {
		if value != "" {
			m.Metadata = append(m.Metadata, labelled{in(s.words.say(label)), plain(value)})
		}
	}
	fact("plate_id", p.ID)
	fact("plate_made", p.Made.String())
	fact("plate_kind", p.kindWords)
	if p.Support != "" {
		fact("plate_on", s.words.say("surface_"+key(p.Support)))
	}
	if p.sized {
		fact("plate_size", s.words.number(p.widthMM, 1)+" × "+s.words.number(p.heightMM, 1)+" mm")
	}
	fact("plate_light", s.lists.lightOf(p))
	fact("plate_with", strings.Join(p.Names, ", "))
	s.rights(&m, in, plain)
	return m
}

// notHTML keeps a text from being taken for markup: the Presentation API reads
// a value that begins with < and ends with > as HTML, and asks that plain text
// of that shape end in a space (section 4.2).
func notHTML(text string) string {
	if strings.HasPrefix(text, "<") && strings.HasSuffix(text, ">") {
		return text + " "
	}
	return text
}

// rights puts the licence where IIIF allows it: rights takes only Creative
// Commons and RightsStatements.org addresses; any other licence is part of the
// statement that a viewer must show.
func (s *stage) rights(m *manifest, in, plain func(string) languageMap) {
	studio := s.site.Studio
	var lines []string
	for _, line := range []string{studio.Credit, studio.Copyright} {
		if line != "" {
			lines = append(lines, line)
		}
	}
	if openRights(studio.LicenceURL) {
		u, _ := url.Parse(studio.LicenceURL)
		u.Scheme = "http" // as the Presentation API writes these addresses
		m.Rights = u.String()
	} else if studio.LicenceURL != "" {
		lines = append(lines, studio.LicenceURL)
	}
	if len(lines) > 0 {
		m.RequiredStatement = &labelled{in(s.words.say("plate_rights")), plain(strings.Join(lines, "; "))}
	}
}

func openRights(address string) bool {
	u, err := url.Parse(address)
	if err != nil {
		return false
	}
	host := strings.TrimPrefix(u.Host, "www.")
	return host == "creativecommons.org" && (strings.HasPrefix(u.Path, "/licenses/") || strings.HasPrefix(u.Path, "/publicdomain/")) ||
		host == "rightsstatements.org" && strings.HasPrefix(u.Path, "/vocab/")
}
