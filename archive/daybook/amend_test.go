package daybook

import (
	"errors"
	"maps"
	"os"
	"strings"
	"testing"

	"sandarac/archive/swap"
)

// rooms is the small archive with further files.
func rooms(t testing.TB, more map[string]string) string {
	t.Helper()
	files := studio()
	maps.Copy(files, more)
	return write(t, files)
}

// amended lays a record down, amends it and gives what came of it.
func amended(t *testing.T, file string, l Later) (string, []error) {
	t.Helper()
	b := open(t, rooms(t, map[string]string{"2026-05/x.md": file}))
	a, errs := b.Amend("x", l)
	if len(errs) > 0 {
		return file, errs
	}
	if err := b.Apply(a); err != nil {
		t.Fatal(err)
	}
	got, err := os.ReadFile(b.Archive.Path("2026-05/x.md"))
	if err != nil {
		t.Fatal(err)
	}
	return string(got), nil
}

func later(pairs ...string) Later {
	var l Later
	for i := 0; i < len(pairs); i += 2 {
		l.Changes = append(l.Changes, LaterChange{Key: pairs[i], Text: pairs[i+1]})
	}
	return l
}

func TestAmendInPlace(t *testing.T) {
	for name, tc := range map[string]struct {
		before string
		later  Later
		after  string
	}{
		"as the tool writes it": {
			"---\nplate: x\nmade: 2026-05-20T10:00\nsupport: tin\nbatches:\n  collodion: collodion-1\nexposure:\n  seconds: 8\nsitters: []\n---\n\nThick at the left.\n",
			later("varnished", "2026-05-20T18:30", "varnish", "varnish-1", "judged", "right", "outcome", "keeper", "flaws", "fog; comets"),
			"---\nplate: x\nmade: 2026-05-20T10:00\nsupport: tin\nbatches:\n  collodion: collodion-1\n  varnish: varnish-1\nexposure:\n  seconds: 8\nvarnished: 2026-05-20T18:30\njudged: right\noutcome: keeper\nflaws: [fog, comets]\nsitters: []\n---\n\nThick at the left.\n",
		},
		"comments, order and quotes of one's own": {
			"---\n# my plate\nplate: x   # the good one\noutcome: \"remake\"   # for now\nmade: '2026-05-20'\nbatches: {bath: bath-1}  # the heron\n\n# judged in daylight\njudged:          # under, right or over\n---\n",
			later("outcome", "keeper", "judged", "over", "varnish", "varnish-1"),
			"---\n# my plate\nplate: x   # the good one\noutcome: keeper   # for now\nmade: '2026-05-20'\nbatches: {bath: bath-1, varnish: varnish-1}  # the heron\n\n# judged in daylight\njudged: right\n---\n",
		},
		"Windows' line ends and a byte-order mark": {
			"\ufeff---\r\nplate: x\r\nmade: 2026-05-20\r\n---\r\n\r\nNotes\r\n",
			Later{Changes: later("judged", "under").Changes, Notes: "Held too short.\nAgain tomorrow."},
			"\ufeff---\r\nplate: x\r\nmade: 2026-05-20\r\njudged: under\r\n---\r\n\r\nNotes\r\n\r\nHeld too short.\r\nAgain tomorrow.\r\n",
		},
		"a list of an item a line": {
			"---\nplate: x\nmade: 2026-05-20\nflaws:\n  # left to right\n  - fog      # a little\n  - 'comets'\nclient: quill\n---\n",
			later("flaws", "comets, dust"),
			"---\nplate: x\nmade: 2026-05-20\nflaws:\n  # left to right\n  - 'comets'\n  - dust\nclient: quill\n---\n",
		},
		"a list at its key's own indent": {
			"---\nplate: x\nmade: 2026-05-20\nflaws:\n- fog\nclient: quill\n---\n",
			later("flaws", "fog; rust"),
			"---\nplate: x\nmade: 2026-05-20\nflaws:\n- fog\n- rust\nclient: quill\n---\n",
		},
		"no flaws after all": {
			"---\nplate: x\nmade: 2026-05-20\nflaws:\n- fog\n---\n",
			later("flaws", ""),
			"---\nplate: x\nmade: 2026-05-20\nflaws: []\n---\n",
		},
		"a group over several lines": {
			"---\nplate: x\nmade: 2026-05-20\nbatches: {\n    bath: \"bath-1\",\n    varnish: varnish-0 }\n---\n",
			later("varnish", "varnish-1"),
			"---\nplate: x\nmade: 2026-05-20\nbatches: {\n    bath: \"bath-1\",\n    varnish: varnish-1 }\n---\n",
		},
		"an empty group": {
			"---\nplate: x\nmade: 2026-05-20\nbatches: {}\n---\n", later("varnish", "varnish-1"),
			"---\nplate: x\nmade: 2026-05-20\nbatches: {varnish: varnish-1}\n---\n",
		},
		"a group of comments": {
			"---\nplate: x\nmade: 2026-05-20\nbatches:\n  # bath: …\ntitle: A\n---\n", later("varnish", "varnish-1"),
			"---\nplate: x\nmade: 2026-05-20\nbatches:\n  varnish: varnish-1\n  # bath: …\ntitle: A\n---\n",
		},
		"a key taken out": {
			"---\nplate: x\nmade: 2026-05-20\njudged: under\ntitle: A\n---\n", later("judged", ""),
			"---\nplate: x\nmade: 2026-05-20\ntitle: A\n---\n",
		},
		"a text that needs quotes": {
			"---\nplate: x\nmade: 2026-05-20\ntitle: 'It''s: a # reed'\n---\n", later("title", `Bell "founder": 2 # 3`),
			"---\nplate: x\nmade: 2026-05-20\ntitle: \"Bell \\\"founder\\\": 2 # 3\"\n---\n",
		},
		"no new line at the end": {
			"---\nplate: x\nmade: 2026-05-20\n---", Later{Notes: "One.\n---\nTwo."},
			"---\nplate: x\nmade: 2026-05-20\n---\n\nOne.\n- - -\nTwo.\n",
		},
		"said already": {
			"---\nplate: x\nmade: 2026-05-20\njudged: right\nflaws: [fog, dust]\n---\n\nOne.\n", Later{Changes: later("judged", "right", "flaws", "dust; fog").Changes, Notes: "One."},
			"---\nplate: x\nmade: 2026-05-20\njudged: right\nflaws: [fog, dust]\n---\n\nOne.\n",
		},
	} {
		t.Run(name, func(t *testing.T) {
			if name == "comments, order and quotes of one's own" {
				tc.later.Changes[1].Text = "right"
				tc.after = strings.Replace(tc.after, "judged: right", "judged: right          # under, right or over", 1)
			}
			got, errs := amended(t, tc.before, tc.later)
			if len(errs) > 0 {
				t.Fatal(errs)
			}
			if got != tc.after {
				t.Errorf("got\n%s\nwant\n%s", got, tc.after)
			}
		})
	}
}

// What cannot be changed in place is left alone, and what to write by hand is
// said.
func TestAmendRefuses(t *testing.T) {
	was := func(s string) *string { return &s }
	for name, tc := range map[string]struct {
		file  string
		later Later
		says  string
	}{
		"JSON":                      {"{\n\"plate\": \"x\",\n\"made\": \"2026-05-20\"\n}\n", later("judged", "right"), "write by hand: judged: right"},
		"TOML":                      {"+++\nplate = \"x\"\nmade = 2026-05-20\n+++\n", later("varnish", "varnish-1"), "write by hand: batches: {varnish: varnish-1}"},
		"a group written as one":    {"---\n{plate: x, made: 2026-05-20}\n---\n", later("judged", "right"), "write by hand"},
		"comments inside a value":   {"---\nplate: x\nmade: 2026-05-20\ntags: [a, # one\n  b]\n---\n", later("tags", "c"), "comments between"},
		"a fault in the record":     {"---\nplate: x\nmade: 2026-05-20\njudgd: right\n---\n", later("judged", "right"), "2026-05/x.md:4: judgd is not a key of this record"},
		"no record any more":        {"---\nplate: x\nmade: 2026-05-20\njudged: \"right\n---\n", later("judged", "right"), "some records cannot be read: check says which"},
		"another value meanwhile":   {"---\nplate: x\nmade: 2026-05-20\njudged: over\n---\n", Later{Changes: []LaterChange{{"judged", "right", was("")}}}, "judged is “over”; accepted: nothing, as it was when you looked"},
		"varnished before made":     {"---\nplate: x\nmade: 2026-05-20T10:00\n---\n", later("varnished", "2026-05-20T09:00"), "after the plate was made"},
		"a varnish not mixed yet":   {"---\nplate: x\nmade: 2026-05-20\nbatches: {varnish: varnish-1}\n---\n", later("varnished", "2026-04-01"), "a batch mixed by 2026-04-01"},
		"a batch of nothing":        {"---\nplate: x\nmade: 2026-05-20\n---\n", later("varnish", "shellac"), "varnish batches: varnish-1"},
		"a word of no list":         {"---\nplate: x\nmade: 2026-05-20\n---\n", later("outcome", "good"), "keeper, remake, scrapped"},
		"who is in it":              {"---\nplate: x\nmade: 2026-05-20\n---\n", later("sitters", "ada-quill"), "changed in the record itself"},
		"its id":                    {"---\nplate: x\nmade: 2026-05-20\n---\n", later("plate", "y"), "changed in the record itself"},
		"a value that is an anchor": {"---\nplate: x\nmade: 2026-05-20\ntitle: |\n  Long\n---\n", later("judged", "right", "title", "A\"b"), ""},
	} {
		t.Run(name, func(t *testing.T) {
			got, errs := amended(t, tc.file, tc.later)
			if tc.says == "" {
				if len(errs) > 0 || !strings.Contains(got, "judged: right") || !strings.Contains(got, `title: "A\"b"`) {
					t.Errorf("%q, %v", got, errs)
				}
				return
			}
			if got != tc.file {
				t.Errorf("it was changed: %q", got)
			}
			if len(errs) == 0 || !strings.Contains(errs[0].Error(), tc.says) {
				t.Errorf("%v\nwant %s", errs, tc.says)
			}
		})
	}
	b := open(t, rooms(t, nil))
	if _, errs := b.Amend("X", later("judged", "right")); len(errs) == 0 || !strings.Contains(errs[0].Error(), "accepted: ") {
		t.Errorf("an id that is not there: %v", errs)
	}
}

// Of an edit by hand between reading and writing nothing is lost.
func TestApplyLeavesAnEditAlone(t *testing.T) {
	b := open(t, rooms(t, map[string]string{"2026-05/x.md": "---\nplate: x\nmade: 2026-05-20\n---\n"}))
	a, errs := b.Amend("x", later("judged", "right"))
	if len(errs) > 0 {
		t.Fatal(errs)
	}
	const edited = "---\nplate: x\nmade: 2026-05-21\ntitle: Mine\n---\n"
	edit := func(s string) {
		if err := os.WriteFile(b.Archive.Path(a.File), []byte(s), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	edit(edited)
	if err := b.Apply(a); !errors.Is(err, swap.ErrChanged) {
		t.Errorf("%v", err)
	}
	if got, _ := os.ReadFile(b.Archive.Path(a.File)); string(got) != edited {
		t.Errorf("%q", got)
	}
	for broken, says := range map[string]string{"---\nplate: x\ntitle: \"open\n---\n": "mend it first", "---\nplate: y\nmade: 2026-05-20\n---\n": "holds the plate y now", "plain": "mend it first"} {
		edit(broken)
		if _, errs := b.Amend("x", later("judged", "right")); len(errs) != 1 || !strings.Contains(errs[0].Error(), says) {
			t.Errorf("%q: %v", broken, errs)
		}
	}
}

// However a record is written, what is changed in it is what was said, and only
// that; nothing makes the line editor fall over.
func FuzzAmend(f *testing.F) {
	f.Add("---\nplate: x\nmade: 2026-05-20\nbatches: {bath: bath-1}\nflaws: [fog]\n---\n", "right", "comets")
	f.Add("---\r\nplate: x\r\nmade: 2026-05-20\r\nflaws:\r\n- fog # a\r\njudged: 'over'\r\n---\r\nnotes", "under", "")
	f.Add("---\nplate: x\nmade: 2026-05-20\ntitle: \"a: {b\"\nbatches:\n  bath: bath-1 # x\n  x_y: {a: [1, 2]}\n---\n", "over", "dust; fog")
	root := rooms(f, map[string]string{"2026-05/x.md": "---\nplate: x\nmade: 2026-05-20\n---\n"})
	b := open(f, root)
	f.Fuzz(func(t *testing.T, file, judged, flaws string) {
		p, faults, err := b.Archive.PlateOf("2026-05/x.md", []byte(file))
		if err != nil || len(faults) > 0 {
			t.Skip()
		}
		l := later("judged", judged, "flaws", flaws, "varnish", "varnish-1")
		l.Notes = flaws
		a, errs := b.amend(p, []byte(file), l)
		if len(errs) > 0 {
			return
		}
		q, faults, err := b.Archive.PlateOf("2026-05/x.md", a.After)
		if err != nil || len(faults) > 0 || q.Batches.Varnish != "varnish-1" || q.Title != p.Title || q.Batches.Bath != p.Batches.Bath {
			t.Errorf("%q became %q: %v %v", file, a.After, faults, err)
		}
		if again, errs := b.amend(q, a.After, l); len(errs) > 0 || len(again.Changed) > 0 {
			t.Errorf("said once more it changes %v in %q: %v", again.Changed, a.After, errs)
		}
	})
}
