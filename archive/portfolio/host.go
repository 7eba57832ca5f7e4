package portfolio

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"

	"sandarac/archive/hugo"
)

// Policy is the content security policy of the public pages, given by a meta
// element first in each head; the gallery page has its own.
const Policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; font-src 'self'; base-uri 'none'; form-action 'self'"

// writeHostFiles writes what a host reads: robots.txt, _headers (hosts that
// know it send these headers; others ignore the file) and .nojekyll.
func (s *stage) writeHostFiles(context.Context) error {
	files := map[string]string{
		"robots.txt": s.robots(),
		"_headers":   s.headers(),
		".nojekyll":  "",
	}
	for name, body := range files {
		if err := s.write("static/"+name, []byte(body)); err != nil {
			return err
		}
	}
	return nil
}

// robots keeps robots out of the sealed galleries by their folder, naming
// none. RFC 9309: a host reads it only at its root, so on a sub-path it has no
// effect; the gallery page says noindex itself.
func (s *stage) robots() string {
	return fmt.Sprintf("User-agent: *\nDisallow: %sg/\n\nSitemap: %s\n", s.base.Path, s.absolute("sitemap.xml"))
}

// headers: names made from content may be cached for good, pages never.
func (s *stage) headers() string {
	root := s.base.Path
	var b strings.Builder
	section := func(path string, lines ...string) {
		fmt.Fprintf(&b, "%s%s\n", root, path)
		for _, l := range lines {
			fmt.Fprintf(&b, "  %s\n", l)
		}
	}
	section("*",
		"Referrer-Policy: no-referrer",
		"X-Content-Type-Options: nosniff",
		"Permissions-Policy: camera=(), microphone=(), geolocation=(), payment=(), usb=()",
		"Cross-Origin-Opener-Policy: same-origin",
		"Strict-Transport-Security: max-age=31536000",
		"Content-Security-Policy: frame-ancestors 'none'",
		"Cache-Control: no-cache")
	const forGood = "Cache-Control: public, max-age=31536000, immutable"
	// A viewer elsewhere may read the pictures and their descriptions.
	section("iiif/*", "! Cache-Control", forGood, "Access-Control-Allow-Origin: *")
	section("plates/*", "Access-Control-Allow-Origin: *")
	section("css/*", "! Cache-Control", forGood)
	section("js/*", "! Cache-Control", forGood)
	section(indexDir+"/*.bin", "! Cache-Control", forGood)
	// A gallery's files are named by their content, but for its list, which tells
	// the names.
	section("assets/gallery/*", "! Cache-Control", forGood)
	section("g/:gallery/*.bin", "! Cache-Control", forGood)
	section("g/:gallery/list.bin", "! Cache-Control", "Cache-Control: no-cache")
	return b.String()
}

// writeConfig writes Hugo's settings.
func (s *stage) writeConfig(context.Context) error {
	studio := s.site.Studio
	config, err := hugo.Config(hugo.Settings{
		BaseURL: s.base.String(), Title: studio.Name, Locale: s.language,
		Taxonomies:   map[string]string{"year": "years", "format": "formats", "support": "supports", "light": "lights", "tag": "tags"},
		DisableKinds: []string{"rss"},
		MediaTypes:   map[string]any{"application/atom+xml": map[string]any{"suffixes": []string{"xml"}}},
		OutputFormats: map[string]any{"atom": map[string]any{
			"mediaType": "application/atom+xml", "baseName": "feed", "isPlainText": false, "noUgly": true,
		}},
		Outputs: map[string][]string{
			"home": {"html", "atom"}, "section": {"html"}, "taxonomy": {"html"}, "term": {"html"}, "page": {"html"},
		},
		PagerSize: pagerSize,
		Params: map[string]any{
			"policy": Policy, "updated": s.newest(), "basepath": s.base.Path,
			"total": len(s.plates), "pagesize": pagerSize, "lists": s.lists, "recipes": studio.ShowRecipes, "index": indexDir + "/",
			"sizes": s.sizeChart(), "about": clean(s.site.Pages[aboutPage].Title),
			"studio": map[string]string{
				"name": studio.Name, "email": studio.Email, "credit": studio.Credit, "copyright": studio.Copyright,
				"licence": studio.LicenceURL, "poison": studio.PoisonCentre,
			},
		},
	})
	if err != nil {
		return err
	}
	if config, err = withoutFirstPager(config); err != nil {
		return err
	}
	return s.write(ConfigFile, config)
}

// withoutFirstPager keeps Hugo from writing page/1/ beside every list: a page
// that only sends the visitor on, against the policy of the others.
func withoutFirstPager(config []byte) ([]byte, error) {
	all := map[string]any{}
	if err := json.Unmarshal(config, &all); err != nil {
		return nil, err
	}
	all["pagination"] = map[string]any{"pagerSize": pagerSize, "disableAliases": true}
	return json.MarshalIndent(all, "", "  ")
}

// newest is the day of the newest plate, which is when the feed last changed;
// the day of the build when there is none.
func (s *stage) newest() string {
	for _, p := range s.plates {
		if !p.Made.IsZero() {
			return p.Made.String()
		}
	}
	return s.site.Day.String()
}

// pagerSize is how many plates a page of a list holds: its text stays far
// under 120 KB.
const pagerSize = 30

// sizeCard is a named size of the front page's chart of sizes.
type sizeCard struct {
	Slug  string `json:"slug"`
	Name  string `json:"name"`
	W     string `json:"w"`
	H     string `json:"h"`
	MM    string `json:"mm"`
	Count int    `json:"count"`
}

// sizeChart lists the named sizes among the plates shown, largest first, each
// upright.
func (s *stage) sizeChart() []sizeCard {
	of := map[string]plate{}
	for _, p := range s.plates {
		of[p.format] = p
	}
	out := []sizeCard{}
	for _, t := range s.lists.Formats {
		if t.Slug == otherFormat {
			continue
		}
		p := of[t.Slug]
		w, h := min(p.widthMM, p.heightMM), max(p.widthMM, p.heightMM)
		out = append(out, sizeCard{t.Slug, t.Name, tenths(w), tenths(h),
			s.words.number(w, 0) + " × " + s.words.number(h, 0) + " mm", t.Count})
	}
	return out
}
