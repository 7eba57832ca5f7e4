package gallery

import (
	"testing"
)

func TestOpens(t *testing.T) {
	out, links := buildSite(t, 1200, testGallery("ines", 5))
	s := serve(t, out)
	w := newWindow(t, phone)
	w.open(at(s, links[0]))
	t.Log(w.text("#gallery"))
	w.quiet(s.URL)
}
