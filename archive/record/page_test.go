package record

import (
	"fmt"
	"strings"
	"testing"
)

// TestPages reads texts for pages, and says what is wrong with others, where.
func TestPages(t *testing.T) {
	for name, tc := range map[string]struct {
		content string
		fault   string // "line code: a piece of the message"; "" for a sound one
	}{
		"home":                {"---\npage: home\n---\nWe work outdoors.\n", ""},
		"sitters":             {"---\npage: before-you-come\ntitle: Come early\n---\n\n# Bring a coat\n", ""},
		"only a lead":         {"---\npage: before-you-come\nlead: It is cold here.\n---\n", ""},
		"about, TOML":         {"+++\npage = \"about\"\ntitle = \"The barge\"\nx_mine = \"a note\"\n+++\nText.\n", ""},
		"no name":             {"---\npage:\n---\nText.\n", "2 missing-key: which page"},
		"unknown name":        {"---\npage: abuot\n---\nText.\n", "2 wrong-value: “abuot”"},
		"unknown key":         {"---\npage: home\nlayout: home\n---\nText.\n", "3 unknown-key: layout"},
		"title of the front":  {"---\npage: home\ntitle: Welcome\n---\nText.\n", "3 wrong-key: no title"},
		"about without title": {"---\npage: about\n---\nText.\n", "2 missing-key: no title"},
		"no text":             {"---\npage: home\n---\n \n\n", "2 missing-text: no text"},
		"too long":            {"---\npage: home\n---\n" + strings.Repeat("word ", 8001), "4 long-text: 40005 bytes"},
		"turned direction":    {"---\npage: home\n---\nfirst\n\nsee \u202etxt\n", "6 bad-text: U+202E"},
		"control character":   {"---\npage: home\n---\nfirst\x1b[2J\n", "4 bad-text: U+001B"},
		"no UTF-8":            {"---\npage: home\n---\nfirst\nna\xefve\n", "5 bad-text: no UTF-8"},
	} {
		t.Run(name, func(t *testing.T) {
			a, found := read(t, map[string]string{"page.md": tc.content})
			if tc.fault == "" {
				if len(found) != 0 || len(a.Pages) != 1 {
					t.Errorf("%d pages, %v", len(a.Pages), found)
				}
				return
			}
			if len(found) == 0 {
				t.Fatal("nothing was found")
			}
			f := found[0]
			at, says, _ := strings.Cut(tc.fault, ": ")
			if got := fmt.Sprintf("%d %s", f.Line, f.Code); got != at || !strings.Contains(f.Message, says) || f.Remedy == "" {
				t.Errorf("%s: %s (%s); want %s", got, f.Message, f.Remedy, tc.fault)
			}
			for _, p := range a.Pages {
				if !p.Broken {
					t.Error("the record is not broken")
				}
			}
		})
	}
}

// TestTwoTextsForOnePage: neither is relied on.
func TestTwoTextsForOnePage(t *testing.T) {
	a, found := read(t, map[string]string{"a.md": "---\npage: home\n---\nOne.\n", "b.md": "---\npage: home\n---\nTwo.\n"})
	if len(found) != 1 || found[0].Code != "duplicate-id" || !a.Pages[HomePage].Broken {
		t.Errorf("%v, broken %v", found, a.Pages[HomePage].Broken)
	}
}
