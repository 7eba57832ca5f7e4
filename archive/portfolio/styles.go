package portfolio

import (
	"cmp"
	"context"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
)

// sharedStyles are the sheets of all sites, in the order they build on each
// other; the public site's own follow.
var sharedStyles = []string{"tokens.css", "base.css", "plate.css", "viewer.css"}

// writeStyles joins the sheets into one; the layouts shorten it and name it by
// its content, so that it is one request and may be cached for good.
func (s *stage) writeStyles(context.Context) error {
	var b strings.Builder
	add := func(name string) error {
		body, err := fs.ReadFile(s.opt.Templates, name)
		b.Write(body)
		b.WriteByte('\n')
		return err
	}
	for _, name := range sharedStyles {
		if err := add("shared/css/" + name); err != nil {
			return err
		}
	}
	own, err := fs.Glob(s.opt.Templates, "portfolio/css/*.css")
	if err != nil {
		return err
	}
	// The one for paper comes last, since it overrules the others.
	slices.SortFunc(own, func(a, b string) int {
		return cmp.Or(cmp.Compare(strings.Count(a, "/print."), strings.Count(b, "/print.")), cmp.Compare(a, b))
	})
	for _, name := range own {
		if err := add(name); err != nil {
			return err
		}
	}
	b.WriteString(s.sizes())
	return s.write("assets/css/site.css", []byte(b.String()))
}

// sizes tells the style sheet the widths and heights of the plates shown, in
// millimetres, by attribute: the policy allows no style attributes.
func (s *stage) sizes() string {
	widths, heights := map[string]float64{}, map[string]float64{}
	for _, p := range s.plates {
		for _, mm := range []float64{p.widthMM, p.heightMM} {
			k := fmt.Sprintf("%6s", tenths(mm))
			widths[k], heights[k] = mm, mm
		}
	}
	var b strings.Builder
	b.WriteString("/* The sizes of the plates shown, in millimetres. */\n")
	for _, k := range sortedNames(widths) {
		fmt.Fprintf(&b, "[data-w=\"%s\"] { --w: %.1f; }\n[data-h=\"%[1]s\"] { --h: %.1[2]f; }\n", strings.TrimSpace(k), widths[k])
	}
	return b.String()
}

func sortedNames[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// writeTemplates copies layouts, words and scripts into the project. Hugo joins
// each page's modules into one file.
func (s *stage) writeTemplates(ctx context.Context) error {
	for from, to := range map[string]string{
		"portfolio/layouts": "layouts", wordsDir: "i18n", "portfolio/js": "assets/js", "shared/js": "assets/js",
		"portfolio/static": "static",
	} {
		if err := s.copyTree(ctx, from, to); err != nil {
			return err
		}
	}
	return nil
}

func (s *stage) copyTree(ctx context.Context, from, to string) error {
	return fs.WalkDir(s.opt.Templates, from, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || ctx.Err() != nil {
			return err
		}
		if strings.Contains(path.Base(name), ".test.") {
			return nil
		}
		body, err := fs.ReadFile(s.opt.Templates, name)
		if err != nil {
			return err
		}
		return s.write(to+strings.TrimPrefix(name, from), body)
	})
}
