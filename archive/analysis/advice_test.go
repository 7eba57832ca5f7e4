package analysis

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"sandarac/archive/exposure"
	"sandarac/archive/record"
)

func ask(day int) Ask {
	ev := 10.0
	return Ask{Collodion: "c05", Light: "north", EV100: &ev, Stop: 4, Today: date(day)}
}

func expose(t testing.TB, a *record.Archive, q Ask) *Advice {
	t.Helper()
	v, err := Expose(context.Background(), a, q)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// The advice is the model's aim turned into seconds.
func TestAdviceIsTheAim(t *testing.T) {
	tr := usualTruth()
	tr.perBatch = 20
	a, aims := tr.draw(rand.New(rand.NewPCG(1, 4)))
	for _, p := range a.Plates {
		p.Batches.Collodion = strings.Replace(p.Batches.Collodion, "c", "k", 1) // no records: no ages
	}
	q := ask(400)
	q.Collodion = "k05"
	m := 0.25
	q.Magnification = &m
	v := expose(t, a, q)
	r := analyse(t, a, 400)
	for _, c := range r.ExposureModel.Cells {
		if c.Batch != "k05" || c.Light != "north" {
			continue
		}
		for _, x := range []struct{ got, ei float64 }{{v.Seconds, *c.AimEI}, {v.Seconds95[0], c.AimEI95[1]}, {v.Seconds95[1], c.AimEI95[0]}} {
			want, _ := exposure.SecondsFor(x.ei, 4, 0.25, 10)
			if math.Abs(x.got/want-1) > 1e-9 {
				t.Errorf("%v s, want %v s", x.got, want)
			}
		}
	}
	if v.Basis.Judged != 160 || v.Basis.BatchJudged != 20 || v.Basis.DayJudged != 0 {
		t.Errorf("basis %+v", v.Basis)
	}
	if *v.PRight < 0.4 || *v.PRight > 0.7 {
		t.Errorf("chance of right %v, truth at the aim %v", *v.PRight, math.Erf(1/math.Sqrt2))
	}
	if math.Abs(v.Bracket[1]/v.Bracket[0]-2) > 1e-12 {
		t.Errorf("bracket %v", v.Bracket)
	}
	aim := aims[[2]string{"c05", "north"}]
	if s, _ := exposure.SecondsFor(100*math.Exp2(-aim), 4, 0.25, 10); s < v.Seconds95[0]/1.2 || s > v.Seconds95[1]*1.2 {
		t.Errorf("truth %v s, advice %v (%v)", s, v.Seconds, *v.Seconds95)
	}
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"seconds", "seconds95", "bracket", "ei", "p_right", "basis", "notes"} {
		if !bytes.Contains(b, []byte(`"`+key+`":`)) {
			t.Errorf("JSON lacks %q", key)
		}
	}
}

// A test plate of today under the same light moves the advice its way; one of
// yesterday, or under another light, does not move it as far.
func TestTodayShiftsTheAdvice(t *testing.T) {
	base := func() *record.Archive {
		a, _ := usualTruth().draw(rand.New(rand.NewPCG(7, 4)))
		return a
	}
	// Day 131: the batch is 31 days old and no plate of it was made that day.
	before := expose(t, base(), ask(131))
	test := func(day int, light, judged string) *Advice {
		a := base()
		plate(a, day, func(p *record.Plate) {
			p.Purpose, p.Batches.Collodion, p.Light.Kind, p.Judged = "test", "c05", light, judged
			p.Exposure.Seconds = before.Seconds
		})
		return expose(t, a, ask(131))
	}
	under, over := test(131, "north", "under"), test(131, "north", "over")
	if under.Seconds < before.Seconds*1.1 || over.Seconds > before.Seconds/1.1 {
		t.Errorf("today's test plate: under %v, before %v, over %v", under.Seconds, before.Seconds, over.Seconds)
	}
	if under.Basis.DayJudged != 1 || !strings.Contains(strings.Join(under.Notes, " "), "judged today") {
		t.Errorf("basis %+v, notes %q", under.Basis, under.Notes)
	}
	yesterday := test(128, "north", "under")
	if yesterday.Seconds >= under.Seconds || yesterday.Basis.DayJudged != 0 {
		t.Errorf("yesterday's plate moved the advice to %v, today's to %v", yesterday.Seconds, under.Seconds)
	}
	if other := test(131, "south", "under"); other.Basis.DayJudged != 0 {
		t.Errorf("another light counted: %+v", other.Basis)
	}
}

// A plate judged under never makes the advice for its batch and light shorter,
// at whatever dose and age it was made: today's by construction, an earlier one
// within what a hand can time. Archives too small for an interval, where one
// plate makes or unmakes the model, are left out (see contrary.go).
func TestUnderNeverShortens(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 4))
	worst, tried := 0.0, 0
	for range 60 {
		tr := usualTruth()
		tr.batches, tr.perBatch = 1+rng.IntN(6), 6+rng.IntN(12)
		a, aims := tr.draw(rng)
		add := func(day int, q Ask) float64 {
			n := len(a.Plates)
			plate(a, day, func(p *record.Plate) {
				p.Batches.Collodion, p.Judged = "c00", "under"
				atDose(p, aims[[2]string{"c00", "north"}]-2.5+6*rng.Float64())
			})
			after := expose(t, a, q).Seconds
			a.Plates = a.Plates[:n]
			return after
		}
		q := ask(300)
		q.Collodion = "c00"
		v := expose(t, a, q)
		if v.Seconds95 == nil {
			continue
		}
		tried++
		before := v.Seconds
		if after := add(300, q); after < before*(1-1e-9) {
			t.Errorf("today's under: %v s, was %v s", after, before)
		}
		worst = math.Max(worst, math.Log2(before/add(10+rng.IntN(140), q)))
	}
	if tried < 30 {
		t.Errorf("%d archives had an interval", tried)
	}
	if worst > 0.02 {
		t.Errorf("an earlier under shortened the advice by %.3f stop", worst)
	}
}

// A plate judged under far above the aim that would shorten the advice is left
// out of the advice, by name, and of nothing else.
func TestContraryPlateIsNamed(t *testing.T) {
	named := 0
	for seed := range uint64(30) {
		tr := usualTruth()
		tr.batches = 2
		a, aims := tr.draw(rand.New(rand.NewPCG(seed, 5)))
		q := ask(300)
		q.Collodion = "c01"
		before := expose(t, a, q)
		slip := plate(a, 30, func(p *record.Plate) {
			p.Batches.Collodion, p.Judged = "c01", "under"
			atDose(p, aims[[2]string{"c01", "north"}]+3)
		})
		after := expose(t, a, q)
		if !strings.Contains(strings.Join(after.Notes, " "), "Left out: "+slip.ID+",") {
			continue
		}
		named++
		if math.Abs(math.Log2(after.Seconds/before.Seconds)) > 0.02 {
			t.Errorf("%v s, was %v s: %q", after.Seconds, before.Seconds, after.Notes)
		}
		if n := analyse(t, a, 300).ExposureModel.N; n != len(a.Plates) {
			t.Errorf("the report's model has %d of %d plates", n, len(a.Plates))
		}
	}
	if named == 0 {
		t.Error("no archive of 30 had a plate left out")
	}
}

// The advice speaks up for a batch the archive does not hold and for an EI no
// collodion has.
func TestAdviceDoubts(t *testing.T) {
	a, _ := usualTruth().draw(rand.New(rand.NewPCG(7, 4)))
	q := ask(300)
	q.Collodion = "c5"
	if v := expose(t, a, q); !strings.Contains(strings.Join(v.Notes, " "), `holds no collodion "c5"`) {
		t.Errorf("%q", v.Notes)
	}
	for _, p := range a.Plates {
		p.Exposure.Seconds /= 1000
	}
	v := expose(t, a, ask(300))
	if !strings.Contains(strings.Join(v.Notes, " "), "outside what wet collodion") {
		t.Errorf("EI %v: %q", v.EI, v.Notes)
	}
	var b bytes.Buffer
	if err := v.Text(&b, 80); err != nil || strings.HasPrefix(b.String(), "0 s") {
		t.Errorf("%v: %s", err, b.String())
	}
}

func TestAdviceFallsBack(t *testing.T) {
	a, _ := usualTruth().draw(rand.New(rand.NewPCG(5, 4)))
	known := expose(t, a, ask(300))
	q := ask(300)
	q.Collodion = "new"
	fresh := expose(t, a, q)
	width := func(v *Advice) float64 { return math.Log2(v.Seconds95[1] / v.Seconds95[0]) }
	if width(fresh) < 1.3*width(known) {
		t.Errorf("a new batch is known to %v stops, an old one to %v", width(fresh), width(known))
	}
	if fresh.Basis.BatchJudged != 0 || !strings.Contains(strings.Join(fresh.Notes, " "), "No judged plate from new yet") {
		t.Errorf("%+v", fresh)
	}
	q = ask(300)
	q.Light = "limelight"
	unlit := expose(t, a, q)
	if width(unlit) < width(known)+1 || !strings.Contains(strings.Join(unlit.Notes, " "), "make a test plate") {
		t.Errorf("an unknown light is known to %v stops: %q", width(unlit), unlit.Notes)
	}
	// Without unders: medians, no interval, a reason.
	for _, p := range a.Plates {
		p.Judged = "right"
	}
	v := expose(t, a, ask(300))
	if v.Seconds95 != nil || v.PRight != nil || !strings.Contains(strings.Join(v.Notes, " "), "No interval") {
		t.Errorf("%+v", v)
	}
	var b bytes.Buffer
	if err := v.Text(&b, 80); err != nil || !strings.Contains(b.String(), "Half-stop bracket") {
		t.Errorf("%v: %s", err, b.String())
	}
}

func TestAdviceRefusals(t *testing.T) {
	a, _ := usualTruth().draw(rand.New(rand.NewPCG(5, 4)))
	lux, m, x := 1000.0, 0.2, 360.0
	for _, c := range []struct {
		name string
		a    *record.Archive
		edit func(*Ask)
		want error
	}{
		{"empty archive", newArchive(), func(*Ask) {}, ErrNoData},
		{"no light reading", a, func(q *Ask) { q.EV100 = nil }, ErrAsk},
		{"two readings", a, func(q *Ask) { q.Lux = &lux }, ErrAsk},
		{"no stop", a, func(q *Ask) { q.Stop = 0 }, ErrAsk},
		{"which light", a, func(q *Ask) { q.Light = "" }, ErrAsk},
		{"both distances", a, func(q *Ask) { q.Magnification, q.ExtensionMM = &m, &x }, ErrAsk},
		{"unknown lens", a, func(q *Ask) { q.ExtensionMM, q.Lens = &x, "box" }, ErrAsk},
	} {
		q := ask(300)
		c.edit(&q)
		if _, err := Expose(context.Background(), c.a, q); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
	// Lux by the studio's constant, the only lens, case of the light: all fine.
	q := ask(300)
	lux = 2.5 * 1024
	q.EV100, q.Lux, q.ExtensionMM, q.Light = nil, &lux, &x, "NORTH"
	v := expose(t, a, q)
	if v.EV100 != 10 || v.Light != "north" || math.Abs(v.Bellows-2*math.Log2(1.2)) > 1e-12 {
		t.Errorf("%+v", v)
	}
}

// The age of the batch counts once ages span a month.
func TestAdviceAges(t *testing.T) {
	tr := usualTruth()
	tr.perBatch, tr.agePerDay = 40, -0.05 // a fortieth of a stop a day
	a, _ := tr.draw(rand.New(rand.NewPCG(6, 4)))
	for i, p := range a.Plates {
		p.Made = p.Made.AddDate(0, 0, i%2*5) // ages to beyond a month
	}
	young, old := expose(t, a, ask(105)), expose(t, a, ask(130))
	if got := math.Log2(old.Seconds / young.Seconds); got < 0.3 || got > 1 {
		t.Errorf("25 days moved the advice by %.2f stop, truth 0.62", got)
	}
	m := analyse(t, a, 130).ExposureModelAge
	if m == nil || math.Abs(*m.AgeDays+0.05) > 0.02 {
		t.Errorf("age effect %+v, truth -0.05", m)
	}
}

func TestExposureTable(t *testing.T) {
	a, _ := usualTruth().draw(rand.New(rand.NewPCG(1, 4)))
	r := analyse(t, a, 170)
	table, err := r.ExposureTable("c05", "north")
	if err != nil {
		t.Fatal(err)
	}
	if len(table.Stops) != tableStops || table.Stops[0] != 4 || len(table.Times) != len(table.EV100) {
		t.Fatalf("%v, %v", table.Stops, table.EV100)
	}
	for i, ev := range table.EV100 {
		for j, n := range table.Stops {
			want, _ := exposure.SecondsFor(table.EI, n, 0, ev)
			x := table.Times[i][j]
			if math.Abs(x.Seconds/want-1) > 1e-9 || x.Limits95[0] > x.Seconds || x.Limits95[1] < x.Seconds {
				t.Errorf("EV %v f/%v: %+v, want %v", ev, n, x, want)
			}
		}
	}
	var b bytes.Buffer
	if err := table.Text(&b, 80); err != nil || !strings.Contains(b.String(), "f/5.6") {
		t.Errorf("%v: %s", err, b.String())
	}
	if _, err := r.ExposureTable("c05", "limelight"); !errors.Is(err, ErrNoData) {
		t.Errorf("unknown light: %v", err)
	}
	if x, err := r.ExposureTable("new", "north"); err != nil || len(x.Notes) == 0 {
		t.Errorf("a new batch: %+v, %v", x, err)
	}
}
