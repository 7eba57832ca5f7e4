package consent_test

import (
	"testing"

	"sandarac/archive/consent"
)

// TestPages: a studio's text is public unless it says what no text may.
func TestPages(t *testing.T) {
	const about = "---\npage: about\ntitle: The rooms\n---\n\n"
	for name, tc := range map[string]struct {
		page string
		code string // "" is public
		line int
	}{
		"a plain text":             {about + "We are two.\n", "", 0},
		"one who agreed":           {about + "Bo Tarn sat for us.\n", "", 0},
		"the studio's own name":    {about + "Ilse Tarn pours.\n", "", 0},
		"a sitter unnamed":         {about + "First.\n\nThen Ada Quill sat.\n", "name-in-text", 8},
		"marked":                   {about + "Then **Ada** _Quill_ sat.\n", "name-in-text", 6},
		"over the end of a line":   {about + "Then Ada\nQuill sat.\n", "name-in-text", 7},
		"in the title":             {"---\npage: about\ntitle: Ada Quill's rooms\n---\nText.\n", "name-in-text", 3},
		"in the lead":              {"---\npage: about\ntitle: Rooms\nlead: For Ada Quill.\n---\nText.\n", "name-in-text", 4},
		"a client":                 {about + "For Dov Marsh.\n", "name-in-text", 6},
		"a client's address":       {about + "Ask [him](mailto:dov@marsh.example).\n", "email-in-text", 6},
		"the id of a hidden plate": {about + "Not 26-0417.\n", "plate-in-text", 6},
		"the id of a public plate": {about + "See 26-0418.\n", "", 0},
		"a release code":           {about + "All MR-UMR.\n", "release-in-text", 6},
		"with errors":              {"---\npage: about\n---\nText.\n", "record-broken", 0},
	} {
		t.Run(name, func(t *testing.T) {
			a := archive(t, map[string]string{
				"about.md": tc.page,
				"ada.md":   "---\nsitter: ada\nname: Ada Quill\nconsent: " + yes + "\n---\n",
				"bo.md":    "---\nsitter: bo\nname: Bo Tarn\nconsent: {portfolio: true, name: true, given: 2026-05-01}\n---\n",
				"dov.md":   "---\nclient: dov\nname: Dov Marsh\nemail: dov@marsh.example\n---\n",
				"p1.md":    "---\nplate: 26-0417\nmade: 2026-05-01T10:00\n---\n", "p1.jpg": "x",
				"p2.md": "---\nplate: 26-0418\nmade: 2026-05-01T10:00\noutcome: keeper\nsitters: []\n---\n", "p2.jpg": "x",
			})
			page, public := consent.Publish(a, today).Pages["about"]
			why := consent.WhyPages(a, today)
			if public != (tc.code == "") || public == (len(why) > 0) {
				t.Fatalf("public %v, %v", public, why)
			}
			if public {
				if page.Title != "The rooms" || page.Text == "" {
					t.Errorf("%+v", page)
				}
				return
			}
			if r := why[0].Reasons[0]; r.Code != tc.code || r.Line != tc.line {
				t.Errorf("%s at line %d, want %s at %d: %s", r.Code, r.Line, tc.code, tc.line, r.Sentence)
			}
		})
	}
}
