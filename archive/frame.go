package archive

import (
	"io/fs"
	"path"
	"slices"
	"strings"

	"sandarac/archive/care"
	"sandarac/archive/chemistry"
	"sandarac/archive/chemistry/substance"
	"sandarac/archive/record"
	"sandarac/templates"
)

// ourWords are the words of the templates, the cautions and the care lines, so
// that a note which happens to say the same is no leak.
func ourWords() []string {
	out := []string{chemistry.Deferral, chemistry.NoDrain, chemistry.Pregnancy, care.Climate}
	for _, support := range append(slices.Clone(record.Supports), "") {
		for _, line := range care.Lines(support, true, nil) {
			out = append(out, line.Text)
		}
	}
	eachTemplate(func(name, text string) {
		if path.Ext(name) == ".toml" {
			out = append(out, text)
			for line := range strings.Lines(text) {
				if _, value, ok := strings.Cut(line, "="); ok {
					out = append(out, strings.Trim(strings.TrimSpace(value), `"`))
				}
			}
		}
	})
	return out
}

// plainWords are the texts from which pages make sentences of what a record
// says: names of formats and supports, the parts of the recipe.
func plainWords() []string {
	out := []string{"mm cm EV lux"}
	eachTemplate(func(name, text string) {
		if path.Ext(name) != ".toml" {
			return
		}
		for line := range strings.Lines(text) {
			key, value, _ := strings.Cut(line, "=")
			for _, kind := range []string{"format_", "kind_", "surface_", "recipe_", "plate_mm", "plate_untitled", "seconds"} {
				if strings.HasPrefix(strings.TrimSpace(key), kind) {
					out = append(out, value)
				}
			}
		}
	})
	return out
}

// frame is what a site says whoever is in it: texts, markup, scripts and style
// sheets of the templates, piece by piece, the names of substances, and the
// parts of addresses. A client called Wet Plate, or a plate whose id is index,
// cannot be told from it.
func frame() []string {
	out := strings.Fields(addressParts)
	for _, s := range substance.All() {
		out = append(append(out, s.Name), s.Synonyms...)
	}
	eachTemplate(func(name, text string) {
		for part := range strings.SplitSeq(name, "/") {
			out = append(out, part, strings.TrimSuffix(part, path.Ext(part)))
		}
		out = append(out, text)
		out = append(out, strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune("\n\r\t<>{}[]()\"'`=;:,|", r) })...)
	})
	return out
}

// addressParts are the parts of the site's addresses that stand in no template.
const addressParts = `404 404.html assets catalogue css default default.jpg feed feed.xml formats full g gallery icon icon.svg
	iiif index index.html info info.json js licence lights list list.bin manifest manifest.json max page plates robots robots.txt
	search sitemap sitemap.xml site.min supports tags years _headers .nojekyll .sandarac-tree directory directory.json`

func eachTemplate(use func(name, text string)) {
	_ = fs.WalkDir(templates.Files, ".", func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && !strings.HasPrefix(name, "benchbook/") {
			if text, err := fs.ReadFile(templates.Files, name); err == nil {
				use(name, string(text))
			}
		}
		return nil
	})
}
