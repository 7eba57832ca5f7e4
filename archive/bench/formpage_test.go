package bench

import (
	"fmt"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/dom"
	"github.com/chromedp/cdproto/emulation"

	"sandarac/archive/record"
	"sandarac/templates"
)

// realRooms is an archive whose one plate was made today, so that a session is
// on: the browser's clock is the real one.
func realRooms(t *testing.T) string {
	t.Helper()
	root := rooms(t)
	zone, err := time.LoadLocation("Europe/Dublin")
	if err != nil {
		t.Fatal(err)
	}
	today := time.Now().In(zone).Format(time.DateOnly)
	old, err := os.ReadFile(filepath.Join(root, "2026-05", "p1.md"))
	if err != nil {
		t.Fatal(err)
	}
	put(t, root, "2026-05/p1.md", strings.ReplaceAll(strings.ReplaceAll(string(old), "2026-05-20T09:00", today+"T00:01"), "2026-05-20-01", "first"))
	return root
}

// plates reads the plates of an archive, and fails the test for errors.
func plates(t *testing.T, root string) []*record.Plate {
	t.Helper()
	a, fs, err := record.Read(t.Context(), root)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range fs {
		t.Errorf("%s", f)
	}
	return a.Plates
}

// The target of the form: the second plate of a session in at most four taps and
// the outcome, both times taken by the clocks.
func TestSecondPlateInFourTapsAndTheOutcome(t *testing.T) {
	root := realRooms(t)
	s := serveForm(t, root, nil)
	d := newHandheld(t, phone)
	d.open(s.url)
	onePlate := func(outcome string) {
		d.tap("#clock-exposure .clock__run")
		d.until(`Number(document.querySelector('#clock-exposure .clock__digits').textContent) >= 0.5`)
		d.tap("#clock-exposure .clock__run")
		d.until(`document.querySelector('#clock-exposure').dataset.state === 'done'`)
		d.tap("#clock-development .clock__run")
		d.until(`Number(document.querySelector('#clock-development .clock__digits').textContent) >= 0.6`)
		d.tap("#clock-development .clock__run")
		d.until(`document.querySelector('#clock-development').dataset.state === 'done'`)
		d.tap("#outcome [data-value=" + outcome + "]")
		d.until(`!document.querySelector('#saved').hidden`)
	}
	// The first plate of the session says who is in it, and everything else that changed.
	d.tap("#who")
	d.tap("#choose-list .option:last-child")
	d.tap("#choose [data-close]")
	d.tap("#set-exposure-stop")
	d.tap("#choose-list .option:first-child")
	onePlate("remake")
	d.taps = 0
	onePlate("keeper")
	if d.taps > 5 {
		t.Errorf("%d taps for the second plate; four and the outcome are allowed", d.taps)
	}
	d.until(`document.querySelector('#sync').dataset.mark === 'sent'`)
	got := plates(t, root)
	if len(got) != 3 {
		t.Fatalf("%d plates", len(got))
	}
	second := got[2]
	if second.Outcome != "keeper" || second.Exposure.Seconds < 0.5 || second.Exposure.Seconds > 10 || second.Development.Seconds < 0.6 || second.Development.Seconds > 10 {
		t.Errorf("%s: exposed %v s, developed %v s", second.Outcome, second.Exposure.Seconds, second.Development.Seconds)
	}
	if second.Support != "tin" || second.Format.Slug != "half" || second.Lens != "petzval" || second.Exposure.Stop != 4 || second.Batches.Bath != "bath-1" || second.Light.Kind != "north skylight" || *second.Light.EV100 != 9.5 {
		t.Errorf("not carried over: %+v", second)
	}
	if len(second.Sitters) != 1 || second.Sitters[0].Ref != "ada-quill" {
		t.Errorf("in the plate: %+v", second.Sitters)
	}
	if !second.Timed || time.Since(second.Made).Abs() > 3*time.Minute {
		t.Errorf("made %v", second.Made)
	}
	d.until(`document.querySelector('#bath-count').textContent === '3 plates'`)
	d.quiet(s.url)
}

// logFast logs a plate whose times are those of the last one.
func (d *handheld) logFast(title string) {
	d.t.Helper()
	d.tap("#clock-exposure .clock__last")
	d.tap("#clock-development .clock__last")
	d.tap("#set-title")
	d.fill("#text-value", title)
	d.tap("#text-done")
	d.tap("#outcome [data-value=keeper]")
	d.until(`document.querySelector('#set-title .tile__value').textContent === '–' && !document.querySelector('#clock-exposure .clock__last').hidden`)
}

// The network is pulled in the middle of logging twenty plates, the server is
// stopped and started again, and the page is loaded anew with entries on the
// device: twenty records, each once.
func TestTwentyPlatesThroughABrokenLine(t *testing.T) {
	root := realRooms(t)
	s := serveForm(t, root, nil)
	d := newHandheld(t, phone)
	d.open(s.url)
	// One plate by the clocks, so that there is a last one to repeat.
	d.tap("#clock-exposure .clock__run")
	d.until(`Number(document.querySelector('#clock-exposure .clock__digits').textContent) >= 0.4`)
	d.tap("#clock-exposure .clock__run")
	d.tap("#clock-development .clock__run")
	d.until(`Number(document.querySelector('#clock-development .clock__digits').textContent) >= 0.4`)
	d.tap("#clock-development .clock__run")
	d.tap("#set-title")
	d.fill("#text-value", "plate 1")
	d.tap("#text-done")
	d.tap("#outcome [data-value=keeper]")
	d.until(`document.querySelector('#sync').dataset.mark === 'waiting'`)
	for n := 2; n <= 20; n++ {
		switch n {
		case 6:
			d.offline(true)
		case 10:
			d.offline(false)
		case 12:
			s.halt() // the computer is switched off
		case 15:
			// The page is loaded anew while the server is away; the worker has it.
			if !eval[bool](d, `navigator.serviceWorker.ready.then((r) => Boolean(r.active))`) {
				t.Fatal("no worker")
			}
			d.open(s.url)
		case 17:
			s.again()
			d.open(s.url) // and once more, now that it is there
		}
		d.logFast(fmt.Sprintf("plate %d", n))
	}
	d.tap("#sync")
	d.until(`document.querySelector('#sync').dataset.mark === 'sent'`)
	titles := map[string]int{}
	var order []string
	for _, p := range plates(t, root) {
		if p.Title != "" {
			titles[p.Title]++
			order = append(order, p.ID)
		}
	}
	for n := 1; n <= 20; n++ {
		if c := titles[fmt.Sprintf("plate %d", n)]; c != 1 {
			t.Errorf("plate %d stands in %d records", n, c)
		}
	}
	if len(titles) != 20 || !slices.IsSorted(order) {
		t.Errorf("%d records, in the order %v", len(titles), order)
	}
	// Sent in the order they were made: the ids rise with the titles.
	for _, p := range plates(t, root) {
		var n, id int
		if _, err := fmt.Sscanf(p.Title, "plate %d", &n); err != nil {
			continue
		}
		if _, err := fmt.Sscanf(p.ID[len(p.ID)-2:], "%d", &id); err != nil || id != n {
			t.Errorf("%s is %s", p.Title, p.ID)
		}
	}
}

func TestUndoAndRunningClockSurviveAReload(t *testing.T) {
	root := realRooms(t)
	s := serveForm(t, root, nil)
	d := newHandheld(t, phone)
	d.open(s.url)
	d.tap("#clock-exposure .clock__run")
	d.until(`Number(document.querySelector('#clock-exposure .clock__digits').textContent) >= 0.3`)
	d.open(s.url)
	d.until(`document.querySelector('#clock-exposure').dataset.state === 'running' && Number(document.querySelector('#clock-exposure .clock__digits').textContent) >= 0.8`)
	d.tap("#clock-exposure .clock__run")
	// A drop of water right after the tap changes nothing.
	eval[bool](d, `(document.querySelector('#clock-exposure .clock__run').click(), true)`)
	d.until(`document.querySelector('#clock-exposure').dataset.state === 'done'`)
	if open := eval[bool](d, `document.querySelector('dialog[open]') !== null`); open {
		t.Error("a drop of water opened the keypad")
	}
	d.tap("#judged [data-value=over]")
	d.tap("#outcome [data-value=scrapped]")
	d.tap("#undo")
	d.until(`document.querySelector('#judged [data-value=over]').getAttribute('aria-pressed') === 'true' && document.querySelector('#clock-exposure').dataset.state === 'done'`)
	d.tap("#outcome [data-value=remake]")
	d.until(`document.querySelector('#saved-text').textContent.startsWith('remake')`)
	d.until(`document.querySelector('#sync').dataset.mark === 'sent'`)
	got := plates(t, root)
	if len(got) != 2 || got[1].Outcome != "remake" || got[1].Judged != "over" || got[1].Exposure.Seconds < 0.8 {
		t.Errorf("%d plates, %+v", len(got), got[len(got)-1])
	}
	d.quiet(s.url)
}

// Somebody new is asked for consent, signs with a finger, and is in the plate; a
// picture goes with it.
func TestConsentSignatureAndPicture(t *testing.T) {
	root := realRooms(t)
	s := serveForm(t, root, nil)
	d := newHandheld(t, phone)
	d.open(s.url)
	d.tap("#who")
	d.tap("#choose-list .option:first-child") // somebody new
	d.until(`!document.querySelector('#view-consent').hidden`)
	d.fill("#c-name", "Zoë Marsh")
	d.tap("#c-questions fieldset:nth-child(1) button:first-child")
	d.tap("#c-questions fieldset:nth-child(2) button:last-child")
	d.tap("#c-save")
	d.until(`document.querySelector('#c-problem').textContent.includes('a signature is needed')`)
	eval[bool](d, `(document.querySelector('#pad').scrollIntoView({block: 'center'}), true)`)
	eval[bool](d, `(() => { const c = document.querySelector('#pad'), r = c.getBoundingClientRect();
		const send = (type, x, y) => c.dispatchEvent(new PointerEvent(type, {pointerId: 1, clientX: r.left + x, clientY: r.top + y, bubbles: true}));
		c.setPointerCapture = () => {};
		send('pointerdown', 20, 40); send('pointermove', 60, 70); send('pointermove', 90, 30); send('pointerup', 90, 30); send('pointerdown', 5, 5); send('pointerup', 5, 5); return true; })()`)
	d.tap("#c-until button:nth-child(3)")
	d.tap("#c-save")
	d.until(`!document.querySelector('#view-plate').hidden && document.querySelector('#who-text').textContent === 'Zoë Marsh'`)
	photo := filepath.Join(t.TempDir(), "camera.jpg")
	if err := os.WriteFile(photo, photoBytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	doc := call(d, dom.GetDocument, dom.GetDocumentParams{})
	node := call(d, dom.QuerySelector, dom.QuerySelectorParams{NodeID: doc.Root.NodeID, Selector: "#photo"})
	call(d, dom.SetFileInputFiles, dom.SetFileInputFilesParams{Files: []string{photo}, NodeID: node.NodeID})
	d.until(`document.querySelector('#photo-text').textContent === 'taken'`)
	d.tap("#flaws")
	d.tap("#choose-list .option:nth-child(2)")
	d.tap("#choose [data-close]")
	d.tap("#outcome [data-value=keeper]")
	d.until(`!document.querySelector('#saved').hidden`)
	d.until(`document.querySelector('#sync').dataset.mark === 'sent'`)
	a, fs, err := record.Read(t.Context(), root)
	if err != nil || len(fs) > 0 {
		t.Fatal(err, fs)
	}
	zoe := a.Sitters["zoe-marsh"]
	if zoe == nil || !zoe.Consent.Portfolio || zoe.Consent.Name || zoe.Consent.Promotion || zoe.Consent.Given.IsZero() || zoe.Consent.Until.Year != zoe.Consent.Given.Year+5 {
		t.Fatalf("%+v", zoe)
	}
	signatures, err := filepath.Glob(filepath.Join(root, "private", "signatures", "zoe-marsh-*.svg"))
	if err != nil || len(signatures) != 1 {
		t.Fatalf("%v %v", signatures, err)
	}
	signed, err := os.ReadFile(signatures[0])
	if err != nil || strings.Count(string(signed), "<polyline") != 2 || !strings.Contains(string(signed), "May we put your name beside it? — No") {
		t.Errorf("%v\n%s", err, signed)
	}
	last := a.Plates[len(a.Plates)-1]
	if len(last.Sitters) != 1 || last.Sitters[0].Ref != "zoe-marsh" || !slices.Equal(last.Flaws, []string{"comets"}) || !strings.HasSuffix(last.Face(), ".jpeg") {
		t.Errorf("%+v", last)
	}
	// What the phone wrote into the picture is gone.
	stored, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(last.Face())))
	if err != nil || strings.Contains(string(stored), "CANARY") {
		t.Errorf("%d bytes, %v", len(stored), err)
	}
	d.quiet(s.url)
}

// photoBytes is a JPEG with a comment, as a phone writes more into one than the
// picture.
func photoBytes() []byte {
	data := photo()
	comment := "\xFF\xFE\x00\x12CANARY of a phone"[:2] + "\x00\x13CANARY of a phone"
	return append(append([]byte{}, data[:2]...), append([]byte(comment), data[2:]...)...)
}

// What the archive does not take stays on the device, says why, holds nothing
// up, and can be mended.
func TestWhatIsRefusedIsMended(t *testing.T) {
	root := realRooms(t)
	s := serveForm(t, root, nil)
	d := newHandheld(t, phone)
	d.open(s.url)
	// The lens is taken out of the studio's record while the page is open.
	studio, err := os.ReadFile(filepath.Join(root, "studio.md"))
	if err != nil {
		t.Fatal(err)
	}
	put(t, root, "studio.md", strings.ReplaceAll(string(studio), "petzval", "aplanat"))
	p1, err := os.ReadFile(filepath.Join(root, "2026-05", "p1.md"))
	if err != nil {
		t.Fatal(err)
	}
	put(t, root, "2026-05/p1.md", strings.Replace(string(p1), "lens: petzval\n", "", 1))
	d.tap("#judged [data-value=right]") // the plate is begun, so its settings stay
	d.tap("#outcome [data-value=keeper]")
	d.until(`document.querySelector('#sync').dataset.mark === 'refused'`)
	d.tap("#outcome [data-value=scrapped]") // the next one goes through? it carries the lens too, and waits beside it
	d.tap("#sync")
	d.until(`document.querySelector('.entry--refused .entry__note')?.textContent.includes('lenses of the studio record: aplanat')`)
	d.tap(".entry--refused .entry__tools button:first-child")
	d.until(`document.querySelector('#plate-title').textContent === 'Mend this plate'`)
	d.tap("#set-lens")
	d.tap("#choose-list .option:first-child")
	d.until(`document.querySelector('#set-lens .tile__value').textContent === 'aplanat'`)
	d.tap("#outcome [data-value=keeper]")
	d.until(`!document.querySelector('#saved').hidden`)
	deadline := time.Now().Add(30 * time.Second)
	for time.Now().Before(deadline) && len(plates(t, root)) < 2 {
		time.Sleep(100 * time.Millisecond)
	}
	got := plates(t, root)
	if len(got) < 2 || !slices.ContainsFunc(got, func(p *record.Plate) bool { return p.Lens == "aplanat" && p.Judged == "right" && p.Outcome == "keeper" }) {
		t.Errorf("%d plates", len(got))
	}
	d.quiet(s.url)
}

// A phone on the network pairs with the code in the address that the QR code
// holds, keeps what it logs before that, and says that nothing is encrypted. On a
// plain address there is no worker, and the form does without.
func TestAPhoneOnTheNetwork(t *testing.T) {
	address := ownAddress(t)
	root := realRooms(t)
	s := serveForm(t, root, func(f *Form) {
		f.LAN = true
		f.addresses = func() ([]netip.Prefix, error) { return []netip.Prefix{address}, nil }
	})
	if len(s.urls) != 2 {
		t.Fatalf("addresses %v", s.urls)
	}
	d := newHandheld(t, phone)
	d.open(s.urls[1])
	d.until(`!document.querySelector('#view-pair').hidden`)
	d.tap(".tabs [data-view=plate]")
	d.tap("#outcome [data-value=scrapped]")
	d.until(`document.querySelector('#sync-text').textContent === 'Not paired, 1 kept here'`)
	d.tap("#sync")
	d.fill("#pair-code", "AAAA-AAAA")
	d.tap("#pair .big")
	d.until(`document.querySelector('#pair-problem').textContent.includes('not the code on the terminal')`)
	d.open(s.urls[1] + "#pair=" + s.form.Pairing.Shown())
	d.until(`document.querySelector('#sync').dataset.mark === 'sent' && location.hash === '' && !document.querySelector('#view-plate').hidden`)
	if warned := eval[bool](d, `!document.querySelector('#plain').hidden && !isSecureContext`); !warned {
		t.Error("it does not say that the connection is not encrypted")
	}
	if n := len(plates(t, root)); n != 2 {
		t.Errorf("%d plates", n)
	}
	if cookies := eval[string](d, `document.cookie`); cookies != "" {
		t.Errorf("scripts can read the device's secret: %q", cookies)
	}
	d.quiet(s.urls[1])
}

// ownAddress is an address of this machine that is not loopback.
func ownAddress(t *testing.T) netip.Prefix {
	t.Helper()
	addrs, err := net.InterfaceAddrs()
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range addrs {
		if p, err := netip.ParsePrefix(a.String()); err == nil && p.Addr().Is4() && !p.Addr().IsLoopback() {
			return p
		}
	}
	if os.Getenv("CI") == "true" {
		t.Fatal("this machine has no address but loopback")
	}
	t.Skip("this machine has no address but loopback")
	return netip.Prefix{}
}

// The worker keeps every file of the page.
func TestTheWorkerKnowsEveryFile(t *testing.T) {
	worker, err := templates.Files.ReadFile("benchform/worker.js")
	if err != nil {
		t.Fatal(err)
	}
	assets, err := loadAssets()
	if err != nil {
		t.Fatal(err)
	}
	for name := range assets {
		if name == "worker.js" || name == "index.html" {
			continue
		}
		if !strings.Contains(string(worker), "'/"+name+"'") {
			t.Errorf("%s is not kept for when there is no connection", name)
		}
	}
}

// axe-core finds nothing to mend on any view, at both sizes and in both schemes.
func TestAccess(t *testing.T) {
	axe, err := os.ReadFile(filepath.Join(npmPackage(t, "axe-core@4.14.1"), "node_modules", "axe-core", "axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	root := realRooms(t)
	s := serveForm(t, root, nil)
	for _, size := range []size{phone, tablet} {
		for _, scheme := range []string{"light", "dark"} {
			d := newHandheld(t, size)
			call(d, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
			d.open(s.url)
			eval[bool](d, string(axe)+";true")
			look := func(what string) {
				t.Helper()
				report := eval[string](d, `axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]})
					.then((r) => r.violations.map((v) => v.id + ": " + v.nodes.map((n) => n.target + " " + n.failureSummary).join("; ")).join("\n"))`)
				if report != "" {
					t.Errorf("%v %s, %s: %s", size, scheme, what, report)
				}
			}
			look("plate")
			d.tap("#clock-exposure .clock__run")
			look("a running clock")
			d.tap("#who")
			look("people")
			d.tap("#choose [data-close]")
			d.tap("#set-light-ev100")
			look("keypad")
			d.tap("#keypad [data-close]")
			d.tap("#outcome [data-value=keeper]")
			d.tap(".tabs [data-view=today]")
			look("today")
			d.tap(".tabs [data-view=consent]")
			look("consent")
			eval[bool](d, `(document.querySelector('#view-consent').hidden = true, document.querySelector('#view-pair').hidden = false, true)`)
			look("pairing")
			// One column at 320 px, nothing to scroll sideways.
			call(d, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: 320, Height: 640, DeviceScaleFactor: 1, Mobile: true})
			d.tap(".tabs [data-view=plate]")
			if wide := eval[float64](d, `document.documentElement.scrollWidth`); wide > 320 {
				t.Errorf("%.0f px wide at 320", wide)
			}
			d.quiet(s.url)
		}
	}
}
