package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"sandarac/archive/daybook"
	"sandarac/archive/record"
)

// Somebody who begins learns the keys from the examples, set or commented out:
// each has every key that its kind of record takes.
func TestInitShowsEveryKey(t *testing.T) {
	for _, kind := range []string{"studio", "batch", "client", "sitter", "plate"} {
		data, err := example.ReadFile("example/" + kind + ".md")
		if err != nil {
			t.Fatal(err)
		}
		for _, key := range keysOf(t, kind) {
			if !regexp.MustCompile(`(?m)\b` + key + `:`).Match(data) {
				t.Errorf("the example of a %s does not show %s", kind, key)
			}
		}
	}
	plate, err := example.ReadFile("example/plate.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range daybook.Keys { // those of groups, too
		if name := k.Path[strings.LastIndexByte(k.Path, '.')+1:]; !strings.Contains(string(plate), name) {
			t.Errorf("the example of a plate does not mention %s", k.Path)
		}
	}
}

// keysOf lists the keys of a kind of record, as an unknown one is answered.
func keysOf(t *testing.T, kind string) []string {
	t.Helper()
	root := t.TempDir()
	if err := os.WriteFile(filepath.Join(root, "x.md"), []byte("---\n"+kind+": x\nzzzzzzzzzzzz: 1\n---\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	_, found, err := record.Read(t.Context(), root)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range found {
		if list, ok := strings.CutPrefix(f.Remedy, "accepted here: "); ok && f.Code == "unknown-key" {
			list, _, _ = strings.Cut(list, ";")
			return strings.Split(list, ", ")
		}
	}
	t.Fatalf("no keys of a %s among %v", kind, found)
	return nil
}
