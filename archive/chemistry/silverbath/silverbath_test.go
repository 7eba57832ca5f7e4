package silverbath

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/gonum/interp"
	"pgregory.net/rapid"

	"sandarac/archive/chemistry/logbook"
)

func close(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.6g, want %.6g ± %g", what, got, want, tol)
	}
}

// TestDensity: Engineering ToolBox at 10 %; the others follow from the CRC rows
// by interpolation and division by the density of water.
func TestDensity(t *testing.T) {
	s, err := FromPercentWW(10)
	if err != nil {
		t.Fatal(err)
	}
	close(t, "density of 10 % w/w", s.GramsPerMl, 1.0882, 0.0005)
	close(t, "grams per litre of 10 % w/w", 10*s.PercentWV, 108.8, 0.05)
	close(t, "SG 20/20 of 10 % w/w", s.Gravity20(), 1.0902, 0.0005)
	for _, c := range []struct{ wv, ww, density, gravity float64 }{
		{9, 8.39, 1.0727, 1.0746}, {10, 9.25, 1.0809, 1.0829}, {7, math.NaN(), math.NaN(), 1.0582},
		{8, math.NaN(), math.NaN(), 1.0664}, {12, math.NaN(), math.NaN(), 1.0994},
	} {
		s, err := FromPercentWV(c.wv)
		if err != nil {
			t.Fatal(err)
		}
		if !math.IsNaN(c.ww) {
			close(t, "% w/w", s.PercentWW, c.ww, 0.01)
			close(t, "density", s.GramsPerMl, c.density, 0.0002)
		}
		close(t, "SG 20/20", s.Gravity20(), c.gravity, 0.0003)
	}
	r, err := Reading{SpecificGravity: 1.0829, TemperatureC: 20}.Strength()
	if err != nil {
		t.Fatal(err)
	}
	close(t, "% w/v at SG 1.0829", r.PercentWV, 10.0, 0.15)
	// The published table's own columns: g/l and SG at each strength.
	for _, c := range []struct{ ww, perLitre, gravity float64 }{
		{1, 10.07, 1.0088}, {5, 52.1, 1.0436}, {12, 133.0, 1.1099}, {14, 158.0, 1.1304}, {20, 238.8, 1.1964}, {30, 396.1, 1.3228}, {40, 589.7, 1.4770},
	} {
		s, err := FromPercentWW(c.ww)
		if err != nil {
			t.Fatal(err)
		}
		close(t, "g/l", 10*s.PercentWV, c.perLitre, 0.06)
		close(t, "SG", s.Gravity20(), c.gravity, 0.0001)
	}
}

// TestLeaveOneOut: the curve through the other rows finds each inner row of the
// working range again, to 0.0003 g/ml, which is 0.03 % w/v.
func TestLeaveOneOut(t *testing.T) {
	for out := 1; out < len(table.percentWW)-3; out++ {
		var xs, ys []float64
		for i, x := range table.percentWW {
			if i != out {
				xs, ys = append(xs, x), append(ys, table.gramsPerMl[i])
			}
		}
		var fb interp.FritschButland
		if err := fb.Fit(xs, ys); err != nil {
			t.Fatal(err)
		}
		close(t, "left out", fb.Predict(table.percentWW[out]), table.gramsPerMl[out], 0.0003)
	}
}

// TestWater: CIPM-recommended densities, Tanaka et al. 2001, table 1 (from
// memory), kg/m³.
func TestWater(t *testing.T) {
	for c, want := range map[float64]float64{4: 999.9749, 10: 999.7025, 15: 999.1026, 20: 998.2067, 25: 997.0470, 30: 995.6488} {
		close(t, "water", 1000*WaterDensity(c), want, 0.0005)
	}
	close(t, "5 °C of warmth lowers water by", WaterDensity(20)-WaterDensity(25), 0.0012, 0.00005)
}

func TestOutsideTable(t *testing.T) {
	for _, r := range []Reading{{SpecificGravity: 0.99, TemperatureC: 20}, {SpecificGravity: 1.6, TemperatureC: 20}, {SpecificGravity: 1.08, TemperatureC: 50},
		{SpecificGravity: 1.08, TemperatureC: 20, CalibratedC: 90}, {SpecificGravity: math.NaN(), TemperatureC: 20}} {
		_, err := r.Strength()
		if _, ok := errors.AsType[*OutsideTable](err); !ok || !strings.Contains(err.Error(), "outside the table") {
			t.Errorf("%+v: %v", r, err)
		}
	}
	for _, x := range []float64{-1, 60, math.NaN()} {
		if _, err := FromPercentWV(x); err == nil {
			t.Errorf("%v %% w/v accepted", x)
		}
		if _, err := FromPercentWW(x); err == nil {
			t.Errorf("%v %% w/w accepted", x)
		}
	}
}

// TestGravityRoundTrip: reading what Gravity predicts gives the strength back,
// at any temperature and marking.
func TestGravityRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		wv := rapid.Float64Range(0.1, 58).Draw(t, "wv")
		at := rapid.Float64Range(10, 35).Draw(t, "t")
		marked := rapid.SampledFrom([]float64{0, 15, 15.56, 20, 25}).Draw(t, "marked")
		g, err := Gravity(wv, at, marked)
		if err != nil {
			t.Fatal(err)
		}
		s, err := Reading{SpecificGravity: g, TemperatureC: at, CalibratedC: marked}.Strength()
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(s.PercentWV-wv) > 1e-6 {
			t.Fatalf("%v %% reads %v and comes back as %v %%", wv, g, s.PercentWV)
		}
	})
}

func TestTopUp(t *testing.T) {
	top := Restore(8.2, 1000, 9, 0)
	close(t, "crystals for a litre from 8.2 to 9.0 %", top.SilverNitrateG, 8.0, 0.1)
	close(t, "water", top.WaterMl, 0, 0)
	top = Restore(8.2, 900, 9, 1000)
	close(t, "crystals, 900 ml to a litre", top.SilverNitrateG, 90-73.8, 1e-9)
	close(t, "water", top.WaterMl, 100, 1e-9)
	if top := Restore(11, 900, 9, 1000); !top.TooStrong || top.SilverNitrateG != 0 || top.WaterMl != 100 {
		t.Errorf("too strong: %+v", top)
	}
}

// rapid's own draw: a litre at 9 %, then anything.
func randomBath(t *rapid.T) (Made, []Entry, []Plate) {
	start := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	day := func(label string) time.Time {
		return start.AddDate(0, 0, rapid.IntRange(0, 40).Draw(t, label))
	}
	made := Made{On: start, VolumeMl: rapid.Float64Range(200, 3000).Draw(t, "ml")}
	made.SilverNitrateG = made.VolumeMl * rapid.Float64Range(0.06, 0.12).Draw(t, "strength")
	var entries []Entry
	actions := logbook.Slugs()
	maybe := func(label string, lo, hi float64) *float64 {
		if !rapid.Bool().Draw(t, label+"?") {
			return nil
		}
		return new(rapid.Float64Range(lo, hi).Draw(t, label))
	}
	for range rapid.IntRange(0, 8).Draw(t, "entries") {
		e := Entry{At: day("entry day"), Action: logbook.Action(rapid.SampledFrom(actions).Draw(t, "action")),
			Gravity: maybe("sg", 0.99, 1.2), TemperatureC: maybe("c", 5, 40), PH: maybe("ph", 2, 8), VolumeMl: maybe("vol", -1, 3000),
			PercentWV: maybe("assay", 1, 14)}
		if rapid.Bool().Draw(t, "adds") {
			e.AddedSilverNitrateG = rapid.Float64Range(0, 50).Draw(t, "g")
			e.AddedLiquidMl = rapid.Float64Range(0, 200).Draw(t, "water")
			e.AddedHalideG = rapid.Float64Range(0, 1).Draw(t, "halide")
		}
		entries = append(entries, e)
	}
	var plates []Plate
	for i := range rapid.IntRange(0, 60).Draw(t, "plates") {
		plates = append(plates, Plate{ID: string(rune('a' + i)), At: day("plate day").Add(time.Hour),
			AreaDm2: rapid.Float64Range(0.05, 5.2).Draw(t, "dm2"), RetainedMlPerDm2: rapid.Float64Range(0.8, 2.5).Draw(t, "retained"),
			SilverMgPerMl: rapid.Float64Range(0, 25).Draw(t, "mg"), DragOutMlPerDm2: rapid.Float64Range(0, 1).Draw(t, "drag")})
	}
	return made, entries, plates
}

// TestSilverIsConserved: made + added + corrected = left + consumed + carried
// off + discarded, and nothing is negative, whatever happens to the bath.
func TestSilverIsConserved(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		made, entries, plates := randomBath(t)
		a := Run(made, entries, plates, DefaultFloor(made.PercentWV()))
		l := a.Ledger
		scale := l.Made + l.Added + math.Abs(l.Corrected) + 1
		if math.Abs(l.Balance()) > 1e-9*scale {
			t.Fatalf("balance %g: %+v", l.Balance(), l)
		}
		for name, x := range map[string]float64{"left": l.Left, "consumed": l.Consumed, "dragged": l.DraggedOut, "discarded": l.Discarded, "volume": a.VolumeMl, "strength": a.PercentWV} {
			if !(x >= -1e-9) {
				t.Fatalf("%s = %v", name, x)
			}
		}
		if len(a.Series) != len(entries)+len(plates) {
			t.Fatalf("%d points for %d events", len(a.Series), len(entries)+len(plates))
		}
		var gaps float64
		for _, g := range a.Gaps {
			gaps += g.SilverNitrateG
		}
		if math.Abs(gaps-l.Corrected) > 1e-9*scale {
			t.Fatalf("gaps sum to %v, corrected %v", gaps, l.Corrected)
		}
	})
}

// TestDragOutLeavesStrength: plates without halide lower the volume and never
// the strength; plates without drag-out lower the strength and never the volume.
func TestDragOutLeavesStrength(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		made, _, plates := randomBath(t)
		wet := append([]Plate{}, plates...)
		dry := append([]Plate{}, plates...)
		for i := range plates {
			wet[i].SilverMgPerMl, dry[i].DragOutMlPerDm2 = 0, 0
		}
		if a := Run(made, nil, wet, 0); math.Abs(a.PercentWV-made.PercentWV()) > 1e-9 || a.VolumeMl > made.VolumeMl {
			t.Fatalf("drag-out alone: %v %% in %v ml", a.PercentWV, a.VolumeMl)
		}
		if a := Run(made, nil, dry, 0); a.VolumeMl != made.VolumeMl || a.PercentWV > made.PercentWV()+1e-12 {
			t.Fatalf("halide alone: %v %% in %v ml", a.PercentWV, a.VolumeMl)
		}
	})
}

var worked = Plate{AreaDm2: 3.5645, RetainedMlPerDm2: 1.5, SilverMgPerMl: 14.31}

// TestWorkedPlate: the worked collodion, a whole plate, 1.5 ml/dm²: 76.5 mg of
// silver nitrate; about 131 such plates take 10 g.
func TestWorkedPlate(t *testing.T) {
	close(t, "mg AgNO3 per whole plate", worked.SilverNitrateMg(), 76.5, 0.2)
	close(t, "plates for 10 g", 10000/worked.SilverNitrateMg(), 131, 0.5)
}

func many(n int, from time.Time, drag float64) []Plate {
	plates := make([]Plate, n)
	for i := range plates {
		plates[i] = worked
		plates[i].ID = time.Duration(i).String()
		plates[i].At = from.Add(time.Duration(i) * time.Hour)
		plates[i].DragOutMlPerDm2 = drag
	}
	return plates
}

// TestFloor: the forecast agrees with running the plates one by one.
func TestFloor(t *testing.T) {
	start := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	made := Made{On: start, VolumeMl: 1000, SilverNitrateG: 90}
	for _, drag := range []float64{0, 0.6, 1} {
		floor := DefaultFloor(9)
		seen := Run(made, nil, many(5, start, drag), floor)
		forecast, ok := seen.PlatesToFloor()
		if !ok || seen.Crossed != nil {
			t.Fatalf("no forecast at %v %%", seen.PercentWV)
		}
		ran := Run(made, nil, many(200, start, drag), floor)
		if ran.Crossed == nil {
			t.Fatal("200 plates never cross the floor")
		}
		crossed := 0
		for i, p := range ran.Series {
			if p.PercentWV < floor {
				crossed = i + 1
				break
			}
		}
		if d := crossed - (5 + forecast); d < 0 || d > 1 {
			t.Errorf("drag-out %v: forecast %d more, crossed at plate %d", drag, forecast, crossed)
		}
	}
	for made, want := range map[float64]float64{9: 8.5, 8.2: 8, 10: 9.5, 6.84: 6.34, 8: 7.5, 0.2: 0} {
		close(t, "floor", DefaultFloor(made), want, 1e-9)
	}
}

// TestReading: a measured gravity beats the estimate, the gap is shown, and on a
// used bath it is called apparent.
func TestReading(t *testing.T) {
	start := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	made := Made{On: start, VolumeMl: 1000, SilverNitrateG: 90}
	g, err := Gravity(8, 24, 0)
	if err != nil {
		t.Fatal(err)
	}
	entries := []Entry{{At: start.AddDate(0, 0, 10), Action: logbook.Measured, Gravity: &g, TemperatureC: new(24.0)}}
	a := Run(made, entries, many(10, start.Add(9*time.Hour), 0), 8.5)
	close(t, "strength after the reading", a.PercentWV, 8, 1e-6)
	if len(a.Gaps) != 1 || !a.Gaps[0].Apparent || a.Gaps[0].PlatesBeforeReading != 10 {
		t.Fatalf("gaps %+v", a.Gaps)
	}
	close(t, "estimate", a.Gaps[0].EstimatedPercent, 9-0.0765, 0.001)
	close(t, "gap", a.Gaps[0].SilverNitrateG, 80-90+0.765, 0.001)
	if a.Crossed == nil || a.Crossed.Plate != "" {
		t.Errorf("crossed %+v", a.Crossed)
	}
	fresh := Run(made, entries, nil, 8.5)
	if fresh.Gaps[0].Apparent {
		t.Error("a fresh bath's reading is not apparent")
	}
	entries[0].PercentWV = new(8.9) // an assay beats the hydrometer
	if b := Run(made, entries, many(10, start.Add(9*time.Hour), 0), 8.5); b.PercentWV != 8.9 || b.Gaps[0].Apparent {
		t.Errorf("assayed: %v, %+v", b.PercentWV, b.Gaps)
	}
	entries[0].PercentWV, entries[0].TemperatureC = nil, nil
	if b := Run(made, entries, nil, 8.5); len(b.Notes) != 1 || !strings.Contains(b.Notes[0], "20 °C taken") {
		t.Errorf("notes %q", b.Notes)
	}
	entries[0].Gravity = new(1.9)
	if b := Run(made, entries, nil, 8.5); len(b.Gaps) != 0 || !strings.Contains(strings.Join(b.Notes, " "), "outside the table") {
		t.Errorf("a reading off the table: %+v, %q", b.Gaps, b.Notes)
	}
}

func TestEntries(t *testing.T) {
	start := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	made := Made{On: start, VolumeMl: 1000, SilverNitrateG: 90}
	one := func(e Entry) Account {
		e.At = start.AddDate(0, 0, 1)
		return Run(made, []Entry{e}, nil, 8.5)
	}
	for _, c := range []struct {
		name                        string
		e                           Entry
		ml, left, discarded, strong float64
	}{
		{"evaporated keeps the silver", Entry{Action: logbook.Evaporated, VolumeMl: new(900.0)}, 900, 90, 0, 10},
		{"filtered loses liquid", Entry{Action: logbook.Filtered, VolumeMl: new(900.0)}, 900, 81, 9, 9},
		{"topped up with both", Entry{Action: logbook.ToppedUp, AddedSilverNitrateG: 10, AddedLiquidMl: 250}, 1250, 100, 0, 8},
		{"more volume is water", Entry{Action: logbook.ToppedUp, VolumeMl: new(1200.0)}, 1200, 90, 0, 7.5},
		{"part poured off", Entry{Action: logbook.Discarded, VolumeMl: new(400.0)}, 400, 36, 54, 9},
		{"all poured off", Entry{Action: logbook.Discarded}, 0, 0, 90, 0},
		{"replaced as made", Entry{Action: logbook.Replaced}, 1000, 90, 90, 9},
		{"replaced from crystals", Entry{Action: logbook.Replaced, AddedSilverNitrateG: 50, AddedLiquidMl: 500}, 500, 50, 90, 10},
		{"iodised", Entry{Action: logbook.Iodised, AddedHalideG: 1}, 1000, 89, 0, 8.9},
		{"noted", Entry{Action: logbook.Noted}, 1000, 90, 0, 9},
		{"read, then strengthened", Entry{Action: logbook.ToppedUp, PercentWV: new(8.0), AddedSilverNitrateG: 10}, 1000, 90, 0, 9},
		{"volume read with strength", Entry{Action: logbook.Measured, VolumeMl: new(900.0), PercentWV: new(9.5)}, 900, 85.5, 0, 9.5},
	} {
		a := one(c.e)
		close(t, c.name+": ml", a.VolumeMl, c.ml, 1e-9)
		close(t, c.name+": left", a.Ledger.Left, c.left, 1e-9)
		close(t, c.name+": discarded", a.Ledger.Discarded, c.discarded, 1e-9)
		close(t, c.name+": strength", a.PercentWV, c.strong, 1e-9)
		close(t, c.name+": balance", a.Ledger.Balance(), 0, 1e-9)
	}
}

func TestTopUpSaid(t *testing.T) {
	for _, c := range []struct {
		top  TopUp
		want string
	}{
		{Restore(8.2, 900, 9, 1000), "16.2 g of silver nitrate in 100 ml of distilled water bring it to 9.0 % in 1000 ml"},
		{Restore(8.2, 1050, 9, 1000), "8.4 g of silver nitrate and no more water bring it to 9.0 % in 1050 ml"},
		{Restore(11, 900, 9, 1000), "100 ml of distilled water and no crystals bring it to 9.9 % in 1000 ml"},
		{Restore(9, 1000, 9, 1000), "nothing is wanted"},
	} {
		if got := c.top.Said(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

func TestClocksAndAdvice(t *testing.T) {
	start := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	made := Made{On: start, VolumeMl: 1000, SilverNitrateG: 90}
	entries := []Entry{
		{At: start.AddDate(0, 0, 2), Action: logbook.Filtered, PH: new(6.1)},
		{At: start.AddDate(0, 0, 3), Action: logbook.Noted},
	}
	plates := many(80, start.Add(9*time.Hour), 0.6) // one an hour: 39 before the filtering
	a := Run(made, entries, plates, DefaultFloor(9))
	if c, done := a.Clocks.Since(logbook.Filtered); !done || c.Plates != 80-39 || a.Clocks.PlatesSinceTended() != c.Plates {
		t.Errorf("since filtered %+v, since any %d", c, a.Clocks.PlatesSinceTended())
	}
	if c, done := a.Clocks.Since(logbook.Sunned); done || c.Plates != 80 {
		t.Errorf("never sunned: %+v", c)
	}
	got := map[logbook.Action]string{}
	for _, adv := range a.Advise(start.AddDate(0, 0, 12), 9, DefaultTriggers) {
		got[adv.Action] = adv.Why + " | " + adv.Caution
	}
	for action, part := range map[logbook.Action]string{
		logbook.ToppedUp: "under the floor", logbook.Filtered: "10 days", logbook.Sunned: "not with ammonia",
		logbook.Acidified: "pH 6.1", logbook.Measured: "80 plates",
	} {
		if !strings.Contains(got[action], part) {
			t.Errorf("%s: %q lacks %q", action, got[action], part)
		}
	}
	if p, ok := a.At(plates[5].ID); !ok || p.Plates != 6 || !p.At.Equal(plates[5].At) {
		t.Errorf("the sixth plate: %+v, %v", p, ok)
	}
	if _, ok := a.At("elsewhere"); ok {
		t.Error("a plate of another bath")
	}
	// Each point keeps its own clocks: the plate after the filtering is its first.
	for i, p := range a.Series {
		if p.Action == logbook.Filtered {
			if c, _ := a.Series[i+1].Clocks.Since(logbook.Filtered); c.Plates != 1 || a.Series[i+1].Plates != 40 || a.Series[i+1].PH.Value != 6.1 {
				t.Errorf("point after filtering: %+v", a.Series[i+1])
			}
			if _, done := a.Series[i-1].Clocks.Since(logbook.Filtered); done {
				t.Error("the point before knows of the filtering")
			}
		}
	}
	entries = append(entries, Entry{At: start.AddDate(0, 0, 4), Action: logbook.Acidified})
	for _, adv := range Run(made, entries, plates, 8.5).Advise(start, 9, DefaultTriggers) {
		if adv.Action == logbook.Acidified {
			t.Error("acid was added since the reading: the old pH says nothing")
		}
	}
	if adv := Run(made, nil, nil, 8.5).Advise(start, 9, DefaultTriggers); len(adv) != 0 {
		t.Errorf("a new bath wants %+v", adv)
	}
	low := Run(made, []Entry{{At: start, Action: logbook.Measured, PH: new(2.5)}}, nil, 8.5).Advise(start, 9, DefaultTriggers)
	if len(low) != 1 || low[0].Action != logbook.Neutralised || !strings.Contains(low[0].Caution, "Never ammonia") {
		t.Errorf("pH 2.5: %+v", low)
	}
}

func TestRunsDry(t *testing.T) {
	start := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	a := Run(Made{On: start, VolumeMl: 10, SilverNitrateG: 0.1}, nil, many(20, start, 1), 8)
	if a.Ledger.Left != 0 || a.VolumeMl != 0 || len(a.Notes) == 0 {
		t.Errorf("%+v", a.Ledger)
	}
	close(t, "balance", a.Ledger.Balance(), 0, 1e-12)
	if n, ok := a.PlatesToFloor(); ok {
		t.Errorf("a dry bath forecasts %d plates", n)
	}
}

func BenchmarkRun(b *testing.B) {
	start := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	plates := many(5000, start, 0.6)
	made := Made{On: start, VolumeMl: 1000, SilverNitrateG: 90}
	for b.Loop() {
		Run(made, nil, plates, 8.5)
	}
}
