package consent_test

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sandarac/archive/consent"
	"sandarac/archive/record"
)

var today = record.Date{Year: 2026, Month: 6, Day: 15}

const studio = "---\nstudio: Test Rooms\nurl: https://plates.example/\ncredit: Ilse Tarn\n---\n"

func archive(t testing.TB, files map[string]string) *record.Archive {
	t.Helper()
	root := t.TempDir()
	if _, ok := files["studio.md"]; !ok {
		files["studio.md"] = studio
	}
	for name, content := range files {
		if err := os.WriteFile(filepath.Join(root, name), []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	a, _, err := record.Read(context.Background(), root)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// plate is a keeper with a scan, with extra lines of front matter.
func plate(extra string) map[string]string {
	return map[string]string{"p1.md": "---\nplate: p1\nmade: 2026-05-01T10:00\n" + extra + "\n---\n", "p1.jpg": "x"}
}

const yes = "{portfolio: true, given: 2026-05-01}"

func sitter(consent, more string) string {
	return "outcome: keeper\nsitters:\n  - name: Ada Quill\n    consent: " + consent + "\n" + more
}

// who is a plate of one person who agreed to be shown, not to be named.
func who(name string) string {
	return "outcome: keeper\nsitters: [{name: " + name + ", consent: " + yes + "}]\n"
}

// TestMatrix is section 3 of the design, a row a rule.
func TestMatrix(t *testing.T) {
	for name, tc := range map[string]struct {
		extra  string
		reason string // "" is public
	}{
		"given":                           {sitter(yes, ""), ""},
		"given today":                     {sitter("{portfolio: true, given: 2026-06-15}", ""), ""},
		"given tomorrow":                  {sitter("{portfolio: true, given: 2026-06-16}", ""), "consent-future"},
		"undated":                         {sitter("{portfolio: true}", ""), "consent-undated"},
		"declined":                        {sitter("{portfolio: false, given: 2026-05-01}", ""), "no-consent"},
		"nothing said":                    {sitter("{given: 2026-05-01}", ""), "no-consent"},
		"no consent key":                  {"outcome: keeper\nsitters: [{name: Ada Quill}]", "no-consent"},
		"name only":                       {sitter("{name: true, given: 2026-05-01}", ""), "no-consent"},
		"promotion only":                  {sitter("{promotion: true, given: 2026-05-01}", ""), "no-consent"},
		"release is not consent":          {sitter("{release: MR-UMR, given: 2026-05-01}", ""), "no-consent"},
		"until today":                     {sitter("{portfolio: true, given: 2026-05-01, until: 2026-06-15}", ""), ""},
		"until yesterday":                 {sitter("{portfolio: true, given: 2026-05-01, until: 2026-06-14}", ""), "consent-expired"},
		"withdrawn today":                 {sitter("{portfolio: true, given: 2026-05-01, withdrawn: 2026-06-15}", ""), "consent-withdrawn"},
		"withdrawn tomorrow":              {sitter("{portfolio: true, given: 2026-05-01, withdrawn: 2026-06-16}", ""), ""},
		"withdrawn before it was given":   {sitter("{portfolio: true, given: 2026-05-01, withdrawn: 2026-01-01}", ""), "consent-withdrawn"},
		"minor with guardian":             {sitter("{portfolio: true, given: 2026-05-01, minor: true}", "    guardian: Bel Quill\n"), ""},
		"minor without guardian":          {sitter("{portfolio: true, given: 2026-05-01, minor: true}", ""), "guardian-missing"},
		"minor, guardian blank":           {sitter("{portfolio: true, given: 2026-05-01, minor: true}", "    guardian: \"  \"\n"), "guardian-missing"},
		"two who agree":                   {sitter(yes, "  - {name: Bo Tarn, consent: "+yes+"}\n"), ""},
		"two who differ":                  {sitter(yes, "  - {name: Bo Tarn}\n"), "no-consent"},
		"one of two unknown":              {sitter(yes, "  - {sitter: nobody}\n"), "sitter-unknown"},
		"one of two unreadable":           {sitter(yes, "  - bo\n"), "record-broken"},
		"no sitters key":                  {"outcome: keeper", "sitters-missing"},
		"sitters null":                    {"outcome: keeper\nsitters:", "sitters-missing"},
		"sitters null, workshop":          {"outcome: keeper\npurpose: workshop", "sitters-missing"},
		"nobody in it":                    {"outcome: keeper\nsitters: []", ""},
		"still life":                      {"outcome: keeper\npurpose: still-life", ""},
		"still life with a sitter":        {"purpose: still-life\noutcome: keeper\nsitters: [{name: Ada Quill}]", "no-consent"},
		"test plate":                      {"purpose: test\n" + sitter(yes, ""), "test-plate"},
		"remake":                          {"outcome: remake\nsitters: []", "not-a-keeper"},
		"scrapped":                        {"outcome: scrapped\nsitters: []", "not-a-keeper"},
		"no outcome":                      {"sitters: []", "no-outcome"},
		"a broken key elsewhere":          {"outcome: keeper\nsitters: []\nbogus: 1", "record-broken"},
		"a misspelt consent key":          {sitter("{portfolio: true, given: 2026-05-01, untill: 2026-05-02}", ""), "record-broken"},
		"a bad date in consent":           {sitter("{portfolio: true, given: 2026-05-01, until: 2026-02-30}", ""), "record-broken"},
		"portfolio quoted":                {sitter("{portfolio: \"true\", given: 2026-05-01}", ""), "record-broken"},
		"sitter's name in the title":      {"title: Ada Quill at the bench\n" + sitter(yes, ""), "name-in-text"},
		"sitter's name in alt, folded":    {"alt: \"A portrait of ADA   Quíll.\"\n" + sitter(yes, ""), "name-in-text"},
		"sitter's name in a tag":          {"tags: [bench, ada quill]\n" + sitter(yes, ""), "name-in-text"},
		"sitter's name, agreed":           {"title: Ada Quill at the bench\n" + sitter("{portfolio: true, name: true, given: 2026-05-01}", ""), ""},
		"guardian's name in the title":    {"title: Bel Quill's child\n" + sitter("{portfolio: true, given: 2026-05-01, minor: true}", "    guardian: Bel Quill\n"), "name-in-text"},
		"sitter's name in the batch's id": {"batches: {collodion: ada-quill-1}\n" + sitter(yes, ""), "name-in-text"},
		"a client's name in the light":    {"light: {kind: window of Dov Marsh}\n" + sitter(yes, ""), "name-in-text"},
		"a name in the lens":              {sitter(yes, "") + "lens: dov-marsh-petzval", "name-in-text"},
		"surname first":                   {"title: \"Quill, Ada\"\n" + sitter(yes, ""), "name-in-text"},
		"run together":                    {"tags: [adaquill]\n" + sitter(yes, ""), "name-in-text"},
		"with a sign that does not show":  {"title: \"A\u00adda Quill\"\n" + sitter(yes, ""), "name-in-text"},
		"umlauts spelt out":               {"title: Joerg Gross\nsitters: [{name: Jörg Groß, consent: " + yes + "}]\noutcome: keeper", "name-in-text"},
		"a script without spaces":         {"title: 王小明的手\nsitters: [{name: 王小明, consent: " + yes + "}]\noutcome: keeper", "name-in-text"},
		"a one-word name in capitals":     {"title: ROSE\nsitters: [{name: Rose, consent: " + yes + "}]\noutcome: keeper", "name-in-text"},
		"a one-word name as a word":       {"title: A rose in glass\nsitters: [{name: Rose, consent: " + yes + "}]\noutcome: keeper", ""},
		"a client's address":              {"alt: For dov@plates.example.\n" + sitter(yes, ""), "email-in-text"},
		"a model release code":            {"alt: MR-UMR\n" + sitter(yes, ""), "release-in-text"},
		"a namesake agreed, not they":     {"title: Cato Hale\nsitters: [{name: Cato Hale, consent: " + yes + "}]\noutcome: keeper", "name-in-text"},
		"a longer name that may be read":  {"title: Dov Marsh Hale\n" + sitter(yes, ""), ""},
		"a word like one of the name":     {"title: A quill in a hand\n" + sitter(yes, ""), ""},
		"the surname of who is in it":     {"title: Quill at the bench\n" + sitter(yes, ""), "name-part-in-text"},
		"the first name of who is in it":  {"alt: Ada's hands.\n" + sitter(yes, ""), "name-part-in-text"},
		"half a double name":              {"alt: Söder rows.\nsitters: [{name: Bo Järn-Söder, consent: " + yes + "}]\noutcome: keeper", "name-part-in-text"},
		"a surname of who is not in it":   {"alt: A goose's Quill.\nsitters: []\noutcome: keeper", ""},
		"siblings of whom one agreed":     {"title: Ada Quill and her brother\nsitters: [{name: Ada Quill, consent: {portfolio: true, name: true, given: 2026-05-01}}, {name: Bo Quill, consent: " + yes + "}]\noutcome: keeper", ""},
		"siblings, the other one named":   {"title: Bo and Ada Quill\nsitters: [{name: Ada Quill, consent: {portfolio: true, name: true, given: 2026-05-01}}, {name: Bob Quill, consent: " + yes + "}]\nalt: Bob.\noutcome: keeper", "name-part-in-text"},
		"their name without its accents":  {"title: Jose sits\n" + who("José Núñez-O’Brien"), "name-part-in-text"},
		"their name without apostrophe":   {"title: OBrien’s hat\n" + who("José Núñez-O’Brien"), "name-part-in-text"},
		"their name in wide letters":      {"title: Ｒｏｓｅ sits\n" + who("Rose Bell"), "name-part-in-text"},
		"their umlaut spelt out":          {"title: Mueller\n" + who("Jörg Müller"), "name-part-in-text"},
		"their two first names as one":    {"title: Annamaria\n" + who("Anna Maria Weiß"), "name-part-in-text"},
		"their name of two letters":       {"title: Jo at the window\n" + who("Jo March"), "name-part-in-text"},
		"a word before a name":            {"title: Dr Johnson’s cup\n" + who("Dr Ada Tarn"), ""},
		"their name, without capitals":    {"title: 小明\n" + who("王 小明"), "name-part-in-text"},
		"their first name as a tag":       {"tags: [rose]\n" + who("Rose Bell"), "name-part-in-text"},
		"an initial and a name as a tag":  {"tags: [r-bell]\n" + who("Rose Bell"), "name-part-in-text"},
		"their first name in a batch":     {"batches: {collodion: rose-1}\n" + who("Rose Bell"), "name-part-in-text"},
		"their name, recorded small":      {"title: Ada sits\n" + who("ada quill"), "name-part-in-text"},
		"a word of theirs in a tag":       {"tags: [rose window]\n" + who("Rose Bell"), ""},
		"a small word in a title":         {"title: Young man\nalt: It will do.\n" + who("Will Yung"), ""},
		"an initial and the surname":      {"alt: The window of D. Marsh.\n" + sitter(yes, ""), "name-in-text"},
		"a title and the surname":         {"alt: Frau Marsh's window.\n" + sitter(yes, ""), "name-in-text"},
		"a word like a surname":           {"alt: A marsh at dawn. D marsh.\nsitters: []\noutcome: keeper", ""},
		"with an initial":                 {"title: Dov J. Marsh\n" + sitter(yes, ""), "name-in-text"},
		"as German has what is theirs":    {"title: Dov Marshs Hut\n" + sitter(yes, ""), "name-in-text"},
		"one umlaut spelt out":            {"title: Jörg Mueller\nsitters: [{name: Jörg Müller, consent: " + yes + "}]\noutcome: keeper", "name-in-text"},
		"as HTML writes a space":          {"alt: Dov&nbsp;Marsh's window.\n" + sitter(yes, ""), "name-in-text"},
	} {
		t.Run(name, func(t *testing.T) {
			files := plate(tc.extra)
			files["clients.md"] = "---\nclient: marsh\nname: Dov Marsh\nemail: dov@plates.example\n---\n"
			files["cato.md"] = "---\nsitter: cato\nname: Cato Hale\nconsent: {name: true, given: 2026-05-01}\n---\n"
			files["hale.md"] = "---\nsitter: hale\nname: Dov Marsh Hale\nconsent: {name: true, given: 2026-05-01}\n---\n"
			a := archive(t, files)
			site, why := consent.Publish(a, today), consent.Why(a, today)
			if shown := len(site.Plates) == 1; shown != (tc.reason == "") || shown == (len(why) == 1) {
				t.Fatalf("shown %v, reasons %v, want %q", shown, why, tc.reason)
			}
			if tc.reason != "" && !slices.ContainsFunc(why[0].Reasons, func(r consent.Reason) bool { return r.Code == tc.reason }) {
				t.Errorf("reasons %v, want %q", why[0].Reasons, tc.reason)
			}
		})
	}
}

// TestIDsOfHiddenPlates: a text that names a hidden plate hides its own, and so
// on; an id that only begins like a hidden one does not.
func TestIDsOfHiddenPlates(t *testing.T) {
	files := map[string]string{}
	for id, extra := range map[string]string{
		"26-031": "outcome: scrapped", "26-031-b": "outcome: keeper\ntitle: Again",
		"26-040": "outcome: keeper\ntitle: Remake of 26-031", "26-041": "outcome: keeper\nalt: See 26-040.", "26-042": "outcome: keeper\ntitle: With 26-031-b",
	} {
		files[id+".md"], files[id+".jpg"] = "---\nplate: "+id+"\nmade: 2026-05-01T10:00\nsitters: []\n"+extra+"\n---\n", "x"
	}
	var got []string
	for _, p := range consent.Publish(archive(t, files), today).Plates {
		got = append(got, p.ID)
	}
	if want := []string{"26-042", "26-031-b"}; !slices.Equal(got, want) {
		t.Errorf("public %q, want %q", got, want)
	}
}

// TestStrayRecordsKeepTheirSecrets: a name in a record that is left out is still
// private.
func TestStrayRecordsKeepTheirSecrets(t *testing.T) {
	files := plate("outcome: keeper\nsitters: []\ntitle: Dov Marsh")
	files["d1.md"] = "---\nclient: d\n---\n"
	files["d2.md"] = "---\nclient: d\nname: Dov Marsh\n---\n"
	files["b.md"] = "---\nsitter: ../b\nname: Bo Tarn\n---\n"
	files["p2.md"] = "---\nplate: ../p2\nmade: 2026-05-01\nsitters: [{name: Cy Reed, consent: {name: true, given: 2026-05-01}}]\n---\n"
	a := archive(t, files)
	if got := consent.PrivateNames(a, today); !slices.Equal(got, []string{"Bo Tarn", "Cy Reed", "Dov Marsh"}) {
		t.Errorf("private names %q", got)
	}
	if n := len(consent.Publish(a, today).Plates); n != 0 {
		t.Error("the plate is shown with the name")
	}
}

func TestNoScanIsNotShown(t *testing.T) {
	files := plate("outcome: keeper\nsitters: []")
	delete(files, "p1.jpg")
	if site := consent.Publish(archive(t, files), today); len(site.Plates) != 0 {
		t.Error("a plate without a scan is shown")
	}
}

func TestABrokenSitterRecordHidesItsPlates(t *testing.T) {
	files := plate("outcome: keeper\nsitters: [{sitter: ada}]")
	files["ada.md"] = "---\nsitter: ada\nname: Ada Quill\nconsent: " + yes + "\n---\n"
	if n := len(consent.Publish(archive(t, files), today).Plates); n != 1 {
		t.Fatalf("%d plates shown, want 1", n)
	}
	files["ada.md"] = "---\nsitter: ada\nname: Ada Quill\nconsent: " + yes + "\nguardain: x\n---\n"
	if n := len(consent.Publish(archive(t, files), today).Plates); n != 0 {
		t.Error("shown by the consent of a record with errors")
	}
	files["ada2.md"] = "---\nsitter: ada\nname: Ada Quill\nconsent: {portfolio: false}\n---\n"
	files["ada.md"] = "---\nsitter: ada\nname: Ada Quill\nconsent: " + yes + "\n---\n"
	if n := len(consent.Publish(archive(t, files), today).Plates); n != 0 {
		t.Error("shown by one of two records that claim one id")
	}
}

func TestABrokenStudioShowsNothing(t *testing.T) {
	files := plate("outcome: keeper\nsitters: []")
	files["studio.md"] = strings.Replace(studio, "url:", "link:", 1)
	a := archive(t, files)
	if len(consent.Publish(a, today).Plates) != 0 || len(consent.Galleries(a, today)) != 0 {
		t.Error("something is shown though the studio record has errors")
	}
}

func TestNamesNeedTheirOwnConsent(t *testing.T) {
	a := archive(t, plate(sitter("{portfolio: true, name: true, given: 2026-05-01}", "  - {name: Bo Tarn, consent: "+yes+"}\n")))
	p := consent.Publish(a, today).Plates[0]
	if !slices.Equal(p.Names, []string{"Ada Quill"}) || p.People != 2 || p.Promotion {
		t.Errorf("names %v, people %d, promotion %v", p.Names, p.People, p.Promotion)
	}
}

func TestPrivateNames(t *testing.T) {
	files := plate(sitter("{portfolio: true, name: true, given: 2026-05-01}", "    guardian: Bel Quill\n  - {name: Bo Tarn, consent: "+yes+"}\n"))
	files["c.md"] = "---\nclient: c\nname: Ada Quill\n---\n"
	files["d.md"] = "---\nclient: d\nname: Dov Marsh\n---\n"
	files["e.md"] = "---\nclient: e\nname: Ilse Tarn\n---\n" // the photographer, by the studio's credit
	if got := consent.PrivateNames(archive(t, files), today); !slices.Equal(got, []string{"Bel Quill", "Bo Tarn", "Dov Marsh"}) {
		t.Errorf("private names %v", got)
	}
}

func TestAClientsAddressInATextHidesThePlate(t *testing.T) {
	files := plate("alt: For dov@plates.example only.\noutcome: keeper\nsitters: []")
	files["d.md"] = "---\nclient: d\nemail: dov@plates.example\n---\n"
	if n := len(consent.Publish(archive(t, files), today).Plates); n != 0 {
		t.Error("a client's address is shown")
	}
}

func TestAPrivateNameInTheIdHidesThePlate(t *testing.T) {
	files := plate("outcome: keeper\nsitters: [{name: Ada Quill, consent: " + yes + "}]")
	files["p1.md"] = strings.Replace(files["p1.md"], "plate: p1", "plate: ada-quill-1", 1)
	if n := len(consent.Publish(archive(t, files), today).Plates); n != 0 {
		t.Error("an id that holds a private name is shown")
	}
}

func TestRecipesOnlyWhenTheStudioShowsThem(t *testing.T) {
	files := plate("outcome: keeper\nsitters: []\nexposure: {seconds: 8, stop: 4}")
	if r := consent.Publish(archive(t, files), today).Plates[0].Recipe; r == nil || r.Seconds != 8 {
		t.Errorf("recipe %+v", r)
	}
	files["studio.md"] = strings.Replace(studio, "credit:", "show_recipes: false\ncredit:", 1)
	if r := consent.Publish(archive(t, files), today).Plates[0].Recipe; r != nil {
		t.Errorf("recipe %+v shown", r)
	}
}

func TestGalleriesShowTheClientsPlatesOnly(t *testing.T) {
	files := plate("client: c\nsitters: [{name: Ada Quill}]\noutcome: remake")
	files["p2.md"], files["p2.jpg"] = "---\nplate: p2\nmade: 2026-05-02\nclient: d\n---\n", "x"
	files["p3.md"], files["p3.jpg"] = "---\nplate: p3\nmade: 2026-05-02\n---\n", "x"
	files["c.md"] = "---\nclient: c\nname: C\n---\n"
	files["d.md"] = "---\nclient: d\ngallery: {until: 2026-06-14}\n---\n"
	files["e.md"] = "---\nclient: e\n---\n"
	files["f.md"] = "---\nclient: f\ngallery: {generation: zero}\n---\n"
	got := consent.Galleries(archive(t, files), today)
	if len(got) != 3 {
		t.Fatalf("%d galleries, want 3 (a client with errors has none)", len(got))
	}
	for i, want := range []struct {
		id, state string
		plates    int
		held      int
	}{{"c", "open", 1, 1}, {"d", "ended", 0, 1}, {"e", "empty", 0, 0}} {
		if g := got[i]; g.ClientID != want.id || g.State != want.state || len(g.Plates) != want.plates || g.Held != want.held {
			t.Errorf("gallery %+v, want %+v", g, want)
		}
	}
	if got[0].Plates[0].ID != "p1" || got[0].Plates[0].Public {
		t.Errorf("plate %+v", got[0].Plates[0])
	}
}

func TestRetentionEndsGalleries(t *testing.T) {
	files := plate("client: c")
	files["c.md"] = "---\nclient: c\n---\n"
	files["studio.md"] = strings.Replace(studio, "credit:", "retention: 30 days\ncredit:", 1)
	if g := consent.Galleries(archive(t, files), today)[0]; g.State != "ended" || g.Until.String() != "2026-05-31" {
		t.Errorf("gallery %+v", g)
	}
}
