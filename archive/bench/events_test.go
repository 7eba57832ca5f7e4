package bench

import (
	"strings"
	"testing"
	"time"

	"sandarac/archive/calendar"
)

func TestEvents(t *testing.T) {
	root := rooms(t)
	put(t, root, "batches/v2.md", "---\nbatch: varnish-2\nkind: varnish\nmixed: 2026-04-20\ncure_hours: 36\n---\n")
	put(t, root, "clients/q.md", "---\nclient: quill\nname: The Quill family\ngallery: {until: 2026-12-31}\n---\n")
	put(t, root, "clients/old.md", "---\nclient: old\ngallery: {until: 2026-01-31}\n---\n")
	put(t, root, "sitters/until.md", "---\nsitter: bo\nname: Bo Tarn\nconsent: {portfolio: true, given: 2026-05-01, until: 2027-05-01}\n---\n")
	put(t, root, "sitters/gone.md", "---\nsitter: gone\nconsent: {portfolio: true, given: 2026-04-01, until: 2027-05-01, withdrawn: 2026-05-01}\n---\n")
	put(t, root, "sitters/no.md", "---\nsitter: no\nconsent: {until: 2027-05-01}\n---\n")
	put(t, root, "2026-05/a.md", "---\nplate: a b\nmade: 2026-05-20\ntitle: One, two\nvarnished: 2026-05-20T18:00\nbatches: {varnish: varnish-2}\nsitters: []\n---\n")
	put(t, root, "2026-05/b.md", "---\nplate: b\nmade: 2026-05-20\nvarnished: 2026-05-20T18:00\nclient: quill\nsitters: []\n---\n")
	put(t, root, "2026-05/b.jpg", string(photo()))
	put(t, root, "2026-05/c.md", "---\nplate: c\nmade: 2026-05-01\nvarnished: 2026-05-01T18:00\nsitters: []\n---\n")
	a := sound(t, root)
	var got []string
	for _, e := range Events(a, shootDay) {
		got = append(got, e.At.Format("2006-01-02T15:04")+" "+e.UID+" "+e.Summary)
	}
	want := []string{
		"2026-05-21T18:00 cure-b@plates.example Plate b: the varnish has cured",
		"2026-05-22T06:00 cure-a_b@plates.example Plate a b, One, two: the varnish has cured",
		"2026-12-31T00:00 gallery-quill@plates.example Gallery of The Quill family: last day",
		"2027-05-01T00:00 consent-bo@plates.example Consent of Bo Tarn: last day",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if _, err := calendar.File("x", time.Now(), Events(a, shootDay)); err != nil {
		t.Error(err)
	}
}
