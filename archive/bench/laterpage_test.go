package bench

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A plate of the morning is varnished and judged in the evening, while the line
// is broken and somebody edits its record at the desk: the edit stands, and what
// the form knew goes beside it, once.
func TestThePlateOfTheMorningInTheEvening(t *testing.T) {
	root := realRooms(t)
	s := serveForm(t, root, nil)
	d := newHandheld(t, phone)
	d.open(s.url)
	d.tap(".tabs [data-view=today]")
	d.tap("#today-list .entry__open")
	d.until(`!document.querySelector('#view-later').hidden && document.querySelector('#later-title').textContent === 'first'`)
	d.tap("#later [type=submit]")
	d.until(`document.querySelector('#l-problem').textContent.includes('Nothing is different')`)
	if !eval[bool](d, `navigator.serviceWorker.ready.then((r) => Boolean(r.active))`) {
		t.Fatal("no worker")
	}
	s.halt() // the computer is switched off
	d.tap("#l-varnished")
	d.tap("#l-judged [data-value=right]")
	d.tap("#l-outcome [data-value=keeper]")
	d.tap("#l-flaws")
	d.tap("#choose-list .option:nth-child(2)")
	d.tap("#choose [data-close]")
	d.tap("#l-note")
	d.fill("#text-value", "Lavender, two coats.")
	d.tap("#text-done")
	d.tap("#later [type=submit]")
	d.until(`!document.querySelector('#view-today').hidden && document.querySelector('.entry--waiting .entry__title').textContent.startsWith('first · varnished · right · keeper · comets · note')`)
	d.until(`document.querySelector('#today-list .entry--there .entry__note').textContent.includes('varnished')`)
	d.open(s.url) // loaded anew: it is kept on the device
	path := filepath.Join(root, "2026-05", "p1.md")
	old, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	edited := strings.Replace(string(old), "support: tin\n", "support: tin  # japanned here\ntitle: By hand\n", 1)
	put(t, root, "2026-05/p1.md", edited)
	s.again()
	d.open(s.url)
	d.until(`document.querySelector('#sync').dataset.mark === 'sent'`)
	got, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"support: tin  # japanned here\ntitle: By hand\n", "\njudged: right\n", "\noutcome: keeper\n", "\nflaws: [comets]\n", "\nvarnished: ", "\n\nLavender, two coats.\n"} {
		if strings.Count(string(got), want) != 1 {
			t.Errorf("%q is not there once:\n%s", want, got)
		}
	}
	if all := plates(t, root); len(all) != 1 || all[0].Title != "By hand" || all[0].Varnished.IsZero() {
		t.Errorf("%d plates, %+v", len(all), all[0])
	}
}

// Where the record was given another value at the desk meanwhile, that value
// stands; the device says so, and what was chosen can be chosen again.
func TestAnEditAtTheDeskIsToldOnTheForm(t *testing.T) {
	root := realRooms(t)
	s := serveForm(t, root, nil)
	d := newHandheld(t, phone)
	d.open(s.url)
	d.tap(".tabs [data-view=today]")
	d.tap("#today-list .entry__open")
	d.until(`!document.querySelector('#view-later').hidden`)
	path := filepath.Join(root, "2026-05", "p1.md")
	old, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	put(t, root, "2026-05/p1.md", strings.Replace(string(old), "sitters: []", "judged: under\nsitters: []", 1))
	d.tap("#l-judged [data-value=right]")
	d.tap("#later [type=submit]")
	d.until(`document.querySelector('.entry--refused .entry__note')?.textContent.includes('judged is “under”')`)
	if p := plates(t, root)[0]; p.Judged != "under" {
		t.Errorf("judged %s", p.Judged)
	}
	d.tap(".entry--refused .entry__tools button:first-child")
	d.until(`!document.querySelector('#view-later').hidden && document.querySelector('#l-judged [data-value=right]').getAttribute('aria-pressed') === 'true'`)
	d.tap("#later [type=submit]")
	d.until(`!document.querySelector('#view-today').hidden && document.querySelector('#sync').dataset.mark === 'sent'`)
	if p := plates(t, root)[0]; p.Judged != "right" {
		t.Errorf("judged %s", p.Judged)
	}
	d.quiet(s.url)
}
