package search

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// The form as a visitor uses it: by keyboard, with the address and "back".
func TestCatalogueForm(t *testing.T) {
	docs := made(500)
	ref := newReference(docs)
	n := func(q query) string { return sentence(len(ref.answer(q).URLs)) }
	s, b := startSite(t, docs), openBrowser(t)
	b.load(s.page())
	if s.askedFor("/index/") > 0 {
		t.Error("the index is fetched before anyone asks")
	}
	b.want(list, "true")
	b.want(more, "true")
	b.want(status, "")

	focusWords(b)
	b.keys("typing", "be")
	be := query{Text: "be"}
	b.want(status, n(be))
	b.want(address, "?q=be")
	b.want(list, "false")
	b.want(cards, "12")
	b.want(focused, "q")
	b.keys("typing on", "llows")
	bellows := query{Text: "bellows"}
	b.want(status, n(bellows))
	b.want(address, "?q=bellows")
	b.want(count("sixth"), fmt.Sprintf("(%d)", ref.answer(bellows).Counts["format"]["sixth"]))
	b.want(count("mammoth"), "(0)")
	b.want("document.querySelector('[value=mammoth]').labels[0].hasAttribute('data-empty')", "true")
	b.want("document.querySelector('[name=year]').options[1].text", fmt.Sprintf("2016 (%d)", ref.answer(bellows).Counts["year"]["2016"]))

	b.keys("to the first filter", tabKey)
	b.keys("choosing sixth", space)
	sixth := query{"bellows", map[string][]string{"format": {"sixth"}}}
	b.want(status, n(sixth))
	b.want(address, "?q=bellows&format=sixth")
	b.want("document.activeElement.value", "sixth")
	b.keys("to the second filter", tabKey)
	b.keys("choosing quarter", space)
	both := query{"bellows", map[string][]string{"format": {"sixth", "quarter"}}}
	b.want(status, n(both))
	b.want(count("sixth"), fmt.Sprintf("(%d)", ref.answer(both).Counts["format"]["sixth"]))
	b.do("choosing a year", evaluate(`(() => { const y = document.querySelector('[name=year]'); y.value = '2017'; y.dispatchEvent(new Event('input', { bubbles: true })) })()`))
	all := query{"bellows", map[string][]string{"format": {"sixth", "quarter"}, "year": {"2017"}}}
	b.want(status, n(all))
	b.want(address, "?q=bellows&format=sixth&format=quarter&year=2017")

	b.do("back", evaluate("history.back()"))
	b.want(status, n(both))
	b.want("document.querySelector('[name=year]').value", "")
	b.do("back", evaluate("history.go(-2)"))
	b.want(status, n(bellows))
	b.want("document.querySelector('[value=sixth]').checked", "false")
	b.do("back", evaluate("history.back()"))
	b.want(address, "")
	b.want(words, "")
	b.want(status, sentence(len(docs)))
	b.do("forward", evaluate("history.go(4)"))
	b.want(status, n(all))
	b.want(words, "bellows")

	b.load(s.page() + "?q=bellows&format=sixth&unknown=1")
	b.want(status, n(sixth))
	b.want("document.querySelector('[value=sixth]').checked", "true")
	b.do("clearing", evaluate("document.querySelector('#clear').click()"))
	b.want(address, "")
	b.want(words, "")
	b.want(status, sentence(len(docs)))
	b.want("document.querySelector('[value=sixth]').checked", "false")

	b.load(s.page() + "?tag=hands&tag=apron&light=open-shade")
	shade := query{Filters: map[string][]string{"tag": {"hands", "apron"}, "light": {"open-shade"}}}
	b.want(status, n(shade))
	b.want("document.querySelector('[name=tag]').selectedOptions.length", "2")
	b.want(count("open-shade"), fmt.Sprintf("(%d)", ref.answer(shade).Counts["light"]["open-shade"]))
	b.do("any light", evaluate("document.querySelector('[name=light][value=\"\"]').click()"))
	b.want(address, "?tag=hands&tag=apron")
	b.want(status, n(query{Filters: map[string][]string{"tag": {"hands", "apron"}}}))
	b.do("back", evaluate("history.back()"))
	b.want("document.querySelector('[value=open-shade]').checked", "true")
}

func TestCatalogueForgives(t *testing.T) {
	docs := made(500)
	docs[0].Fields = []Field{{"Jórunn Wheatsheaf", 9}}
	s, b := startSite(t, docs), openBrowser(t)
	b.load(s.page() + "?q=WHEATSHAEF+j%C3%B6runn")
	b.want(status, "1 plate matches. “wheatshaef” also read as wheatsheaf.")
	focusWords(b)
	b.keys("typing nonsense", " xyzzyx"+enter)
	b.want(status, "No plate matches.")
	b.want(cards, "0")
	b.want(list, "false")
	b.want(more, "false")
	b.want(focused, "q")
}

// Filters that are folded away cost nothing until they are unfolded, and then
// show the counts of the answer at hand.
func TestCatalogueCountsWhatIsSeen(t *testing.T) {
	docs := made(500)
	ref := newReference(docs)
	s, b := startSite(t, docs), openBrowser(t)
	b.load(s.page() + "?folded&q=bellows")
	bellows := query{Text: "bellows"}
	b.want(status, sentence(len(ref.answer(bellows).URLs)))
	b.want("document.querySelector('[data-results]').hasAttribute('aria-busy')", "false")
	if n := s.askedFor("/f-"); n > 0 {
		t.Errorf("%d files of filters were fetched that nobody sees", n)
	}
	b.want(count("sixth"), "")
	b.do("unfolding", evaluate("document.querySelector('details').open = true"))
	b.want(count("sixth"), fmt.Sprintf("(%d)", ref.answer(bellows).Counts["format"]["sixth"]))
	focusWords(b)
	b.do("other words", evaluate("(() => { const q = document.querySelector('[name=q]'); q.value = 'lantern'; q.dispatchEvent(new Event('input', { bubbles: true })) })()"))
	b.want(count("sixth"), fmt.Sprintf("(%d)", ref.answer(query{Text: "lantern"}).Counts["format"]["sixth"]))
}

// The catalogue at the size it is made for: what the page says of 20,000
// plates is what a search through all of them finds, in the same order.
func TestCatalogueOfTwentyThousand(t *testing.T) {
	docs := made(20_000)
	ref := newReference(docs)
	s, b := startSite(t, docs), openBrowser(t)
	b.load(s.page())
	if s.askedFor("/index/") > 0 {
		t.Error("the index is fetched before anyone asks")
	}
	for _, c := range []struct {
		address string
		query   query
		says    string
	}{
		{"?q=beekeeper", query{Text: "beekeeper"}, ""},
		{"?q=seated+north&format=sixth&year=2017", query{"seated north", map[string][]string{"format": {"sixth"}, "year": {"2017"}}}, ""},
		{"?q=jorunn+lantren", query{Text: "jorunn lantren"}, ""},
		{"?light=open-shade", query{Filters: map[string][]string{"light": {"open-shade"}}}, ""},
	} {
		want := ref.answer(c.query)
		b.load(s.page() + c.address)
		says := strings.Replace(sentence(len(want.URLs)), fmt.Sprint(len(want.URLs)), thousands(len(want.URLs)), 1)
		for _, n := range want.Near {
			says += fmt.Sprintf(" “%s” also read as %s.", n.Word, n.Found[0])
		}
		b.want(status, says)
		first := min(12, len(want.URLs))
		b.want(fmt.Sprintf("[...document.querySelectorAll('[data-results] a')].slice(0, %d).map((a) => new URL(a.href).pathname.slice(5)).join(' ')", first), strings.Join(want.URLs[:first], " "))
		b.want(count("quarter"), "("+thousands(want.Counts["format"]["quarter"])+")")
	}
}

// thousands is a number as the page's language writes it.
func thousands(n int) string {
	if n < 1000 {
		return fmt.Sprint(n)
	}
	return fmt.Sprintf("%d,%03d", n/1000, n%1000)
}

// "More" goes on by button and keyboard, remembers how far it went, and the
// foot of the page can be reached.
func TestCatalogueMore(t *testing.T) {
	docs := made(500)
	ref := newReference(docs)
	s, b := startSite(t, docs), openBrowser(t)
	b.load(s.page())
	b.do("more than the page's own list", evaluate("document.querySelector('[data-more]').click()"))
	b.want(cards, "22")
	b.want("[...document.querySelector('[data-results]').children].indexOf(document.activeElement.closest('li'))", "2")
	urls := ref.answer(query{}).URLs
	b.want("document.activeElement.getAttribute('href')", s.URL+"/sub/"+urls[2])

	b.load(s.page() + "?format=sixth")
	sixth := query{Filters: map[string][]string{"format": {"sixth"}}}
	total := len(ref.answer(sixth).URLs)
	if total < 100 {
		t.Fatalf("only %d plates; the test needs 100", total)
	}
	b.want(status, sentence(total))
	b.want(cards, "12")
	for _, drawn := range []string{"20", "40", "60", "80", "80"} {
		b.do("scrolling", evaluate("document.querySelector('footer').scrollIntoView()"))
		b.want(cards, drawn)
	}
	b.want("document.querySelector('footer').getBoundingClientRect().top < innerHeight", "true")
	b.do("more", evaluate("document.querySelector('[data-more]').focus()"))
	b.keys("more by keyboard", enter)
	b.want(cards, "100")
	b.want("[...document.querySelector('[data-results]').children].indexOf(document.activeElement.closest('li'))", "80")
	order := b.eval("[...document.querySelectorAll('[data-results] a')].map((a) => new URL(a.href).pathname.slice(5)).join(' ')")
	if want := strings.Join(ref.answer(sixth).URLs[:100], " "); order != want {
		t.Errorf("cards come as\n%.300s, want\n%.300s", order, want)
	}

	b.do("to a plate", evaluate("document.activeElement.click()"))
	b.want("document.title", "A plate")
	b.do("back", evaluate("history.back()"))
	b.want(cards, "100")
	b.want("scrollY > 1000", "true")
}

func TestCatalogueCards(t *testing.T) {
	docs := []Doc{
		{URL: "plates/a/", Title: `<img src=x onerror="document.title='hurt'"> & "q"`, Caption: "A caption", Date: "2026-06-14", WidthMM: 82.55, HeightMM: 1080,
			Thumb: Thumb{Src: "img/a, b.jpg", Src2x: "img/a2.jpg", Width: 320, Height: 400, Alt: "A lock keeper."},
			Data:  map[string]string{"support": "tinplate"}, Sort: "2"},
		{URL: "plates/b/", Title: "Bare", Sort: "1", Thumb: Thumb{Src: "img/b.jpg", Src2x: "img/b2.jpg", Width: 160, Height: 200, Width2x: 226}},
	}
	s, b := startSite(t, docs), openBrowser(t)
	b.load(s.page() + "?q=+")
	b.want(status, "2 plates match.")
	b.want(cards, "2")
	first, second := "document.querySelector('[data-results]').children[0]", "document.querySelector('[data-results]').children[1]"
	b.want(first+".querySelector('[data-slot=title]').textContent", docs[0].Title)
	b.want(first+".querySelectorAll('img').length", "1")
	b.want("document.title", "Catalogue")
	b.want(first+".querySelector('a').href", s.URL+"/sub/plates/a/")
	b.want(first+".querySelector('img').src", s.URL+"/sub/img/a,%20b.jpg")
	b.want(first+".querySelector('img').srcset", s.URL+"/sub/img/a%2C%20b.jpg 320w, "+s.URL+"/sub/img/a2.jpg 640w")
	b.want(first+".querySelector('img').alt", "A lock keeper.")
	b.want(first+".querySelector('img').getAttribute('height')", "400")
	b.want(first+".querySelector('[data-slot=size]').textContent", "82.6 by 1,080 mm")
	b.want(first+".querySelector('time').dateTime", "2026-06-14")
	b.want(first+".querySelector('time').textContent", "June 14, 2026")
	b.want(first+".dataset.support", "tinplate")
	b.want(second+".querySelector('img').srcset", s.URL+"/sub/img/b.jpg 160w, "+s.URL+"/sub/img/b2.jpg 226w")
	b.want(second+".querySelectorAll('time, [data-slot=size], [data-slot=caption]').length", "0")
	b.want(second+".textContent.trim()", "Bare")
	b.want("performance.getEntriesByType('resource').filter((r) => new URL(r.name).origin !== location.origin).length", "0")
}

// When the index cannot be had, the page's own list is back with a sentence;
// once it can, the search works without loading the page again.
func TestCatalogueWithoutIndex(t *testing.T) {
	docs := made(300)
	s, b := startSite(t, docs), openBrowser(t)
	s.breakIndex(true)
	b.load(s.page() + "?q=bellows")
	b.want(status, "The search cannot be used just now.")
	b.want(list, "true")
	b.want(cards, "0")
	b.want("document.querySelector('[data-results]').hasAttribute('aria-busy')", "false")
	s.breakIndex(false)
	s.slowDown(time.Second)
	focusWords(b)
	b.keys("trying again", enter)
	b.want(status, "Searching")
	b.want("document.querySelector('[data-results]').getAttribute('aria-busy')", "true")
	b.want(list, "true")
	b.want(status, sentence(len(newReference(docs).answer(query{Text: "bellows"}).URLs)))
	b.want(list, "false")
	b.want("document.querySelector('[data-results]').hasAttribute('aria-busy')", "false")
}
