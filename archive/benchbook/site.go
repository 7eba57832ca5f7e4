package benchbook

import (
	"context"
	"encoding/json"
	"io/fs"
	"path"
	"slices"
	"strings"

	"sandarac/archive/hugo"
)

// Policy is the content security policy of the pages, given by a meta element
// first in each head.
const Policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; font-src 'self'; base-uri 'none'; form-action 'self'"

// pagerSize is how many plates a page of a list holds.
const pagerSize = 60

// address stands for the site: every link is relative, so it shows nowhere. The
// domain is reserved to name nothing (RFC 2606).
const address = "http://bench.invalid/"

// sharedStyles are the sheets of all sites, in the order they build on each
// other; the bench book's own follow by name.
var sharedStyles = []string{"tokens.css", "base.css", "plate.css", "viewer.css"}

func (s *stage) writeStyles(context.Context) error {
	names := []string{}
	for _, n := range sharedStyles {
		names = append(names, "shared/css/"+n)
	}
	own, err := fs.Glob(s.Templates, "benchbook/css/*.css")
	if err != nil {
		return err
	}
	slices.Sort(own)
	var b strings.Builder
	for _, name := range append(names, own...) {
		body, err := fs.ReadFile(s.Templates, name)
		if err != nil {
			return err
		}
		b.Write(body)
		b.WriteByte('\n')
	}
	return s.write("assets/css/site.css", []byte(b.String()))
}

// writeTemplates copies layouts and scripts into the project.
func (s *stage) writeTemplates(ctx context.Context) error {
	for _, c := range [][2]string{
		{"benchbook/layouts", "layouts"}, {"shared/js", "assets/js"}, {"benchbook/js", "assets/js"}, {"benchbook/static", "static"},
	} {
		if err := s.copyTree(ctx, c[0], c[1]); err != nil {
			return err
		}
	}
	return nil
}

func (s *stage) copyTree(ctx context.Context, from, to string) error {
	return fs.WalkDir(s.Templates, from, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || ctx.Err() != nil {
			return err
		}
		if strings.Contains(path.Base(name), ".test.") {
			return nil
		}
		body, err := fs.ReadFile(s.Templates, name)
		if err != nil {
			return err
		}
		return s.write(to+strings.TrimPrefix(name, from), body)
	})
}

func (s *stage) writeConfig(context.Context) error {
	config, err := hugo.Config(hugo.Settings{
		BaseURL: address, Title: "Bench book", Locale: "en",
		Taxonomies:   map[string]string{"batch": "batches", "client": "clients"},
		DisableKinds: []string{"rss", "sitemap", "404"},
		Outputs:      map[string][]string{"home": {"html"}, "section": {"html"}, "taxonomy": {"html"}, "term": {"html"}, "page": {"html"}},
		PagerSize:    pagerSize,
		Params: map[string]any{
			"policy": Policy, "studio": oneLine(s.Archive.Studio.Name), "total": len(s.plates), "pagesize": pagerSize,
			"index": indexDir + "/", "filters": s.choices, "asof": dayWords(s.Today), "site": s.Archive.Studio.URL,
		},
	})
	if err != nil {
		return err
	}
	// Hugo writes page/1/ beside every list otherwise: a page that only sends
	// the reader on, against the policy of the others.
	all := map[string]any{}
	if err := json.Unmarshal(config, &all); err != nil {
		return err
	}
	all["pagination"] = map[string]any{"pagerSize": pagerSize, "disableAliases": true}
	if config, err = json.MarshalIndent(all, "", "  "); err != nil {
		return err
	}
	return s.write(ConfigFile, config)
}
