package archive_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// may says which of our packages each may import, from left to right along the
// flow of data, and why a missing edge is missing. Change a row together with
// its reason.
var may = map[string]struct {
	imports []string
	reason  string
}{
	"finding":     {nil, "a fault is said the same way everywhere"},
	"stats":       {nil, "numbers know no plate, so they can be held against published values"},
	"exposure":    {nil, "arithmetic of the camera"},
	"orthochrome": {nil, "what collodion sees, from published spectra"},
	"chemistry":   {nil, "substances and cautions stand alone"},
	"seal":        {nil, "bytes in, bytes out: read and attacked in one sitting"},
	"search":      {nil, "documents in, shards out"},
	"care":        {nil, "what goes with a plate"},
	"swap":        {nil, "the one place where files are written"},
	"scan":        {nil, "masters, read only"},
	"stamp":       {nil, "whether a folder is as it was"},
	"hugo":        {nil, "the only package that starts a process"},
	"publish":     {nil, "it uploads a finished tree and knows nothing of what is in it"},
	"record":      {[]string{"finding", "swap"}, "reads the archive; everything else gets it from here"},
	"fixity":      {[]string{"finding", "swap"}, "sums of files, whatever they hold"},
	"consent":     {[]string{"record"}, "the gate"},
	"recipe":      {[]string{"finding", "record", "chemistry", "stats"}, "batches as the chemistry reads them"},
	"flaw":        {[]string{"finding", "record", "chemistry", "stats"}, "flaws and what the archive says of them"},
	"check":       {[]string{"finding", "record", "scan", "exposure", "chemistry", "consent", "recipe"}, "records against each other, their scans, the trade"},
	"analysis":    {[]string{"record", "exposure", "chemistry", "stats"}, "tables, models and sentences"},
	"picture":     {[]string{"scan", "swap"}, "derivatives of masters"},
	"portfolio":   {[]string{"consent", "picture", "chemistry", "search", "orthochrome", "hugo", "templates"}, "never record: it cannot leak what it does not hold"},
	"gallery":     {[]string{"consent", "picture", "care", "seal", "swap", "templates"}, "never record: it cannot leak what it does not hold"},
	"benchbook":   {[]string{"finding", "record", "consent", "analysis", "exposure", "chemistry", "recipe", "flaw", "stats", "care", "picture", "search", "gallery", "hugo", "templates"}, "the private site shows all"},
	"audit":       {[]string{"finding", "record", "consent", "scan"}, "none of the packages it audits"},
	"calendar":    {nil, "days and times in, iCalendar out"},
	"daybook":     {[]string{"finding", "record", "scan", "swap", "chemistry"}, "it writes plate records; chemistry reads the ounces of old spreadsheets"},
	"bench":       {[]string{"finding", "record", "exposure", "analysis", "swap", "consent", "scan", "daybook", "calendar", "care", "chemistry", "templates"}, "the loopback server and the logging form"},
	"templates":   {nil, "embeds only"},
	"plates":      {nil, "embeds only"},
}

// valueTypes are the types of record that portfolio and gallery still meet in
// consent's views. They hold no person's words, so views need no copies of them.
var valueTypes = []string{"record.Date", "record.Format"}

// TestImports holds the table.
func TestImports(t *testing.T) {
	root := os.DirFS("..")
	for _, top := range []string{"archive", "templates", "plates"} {
		err := fs.WalkDir(root, top, func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
				return err
			}
			checkFile(t, root, name)
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}

func checkFile(t *testing.T, root fs.FS, name string) {
	from := packageOf(path.Dir(name))
	if from == "" {
		return // package archive itself runs them all
	}
	row, known := may[from]
	if !known {
		t.Errorf("%s: package %s has no row in the table", name, from)
		return
	}
	src, err := fs.ReadFile(root, name)
	if err != nil {
		t.Fatal(err)
	}
	f, err := parser.ParseFile(token.NewFileSet(), name, src, parser.ImportsOnly)
	if err != nil {
		t.Fatal(err)
	}
	for _, spec := range f.Imports {
		what, _ := strconv.Unquote(spec.Path.Value)
		rest, ours := strings.CutPrefix(what, "sandarac/")
		if !ours {
			continue
		}
		to := packageOf(rest)
		if to == from || slices.Contains(row.imports, to) {
			continue
		}
		if (from == "portfolio" || from == "gallery") && to == "record" && onlyValueTypes(string(src)) {
			continue
		}
		t.Errorf("%s imports %s; %s may import %v (%s)", name, to, from, row.imports, row.reason)
	}
}

// onlyValueTypes reports whether a file names nothing of record but the types
// that hold no person's words.
func onlyValueTypes(src string) bool {
	for _, v := range valueTypes {
		src = strings.ReplaceAll(src, v, "")
	}
	return !strings.Contains(src, "record.")
}

// packageOf is the package of a folder: the first part below archive (its
// sub-packages count as it), or the top folder.
func packageOf(dir string) string {
	parts := strings.Split(dir, "/")
	if parts[0] != "archive" {
		return parts[0]
	}
	if len(parts) == 1 {
		return ""
	}
	return parts[1]
}
