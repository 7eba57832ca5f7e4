package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"
)

// Sizes of an ordinary studio's work: plates to a batch of collodion, to a
// client, to a sitter.
const (
	platesABatch  = 60
	platesABath   = 400
	platesAClient = 6
	platesASitter = 4
	platesADay    = 8
)

// last is the day of the last plate; the others were made in the years before.
var last = time.Date(2026, 10, 30, 10, 0, 0, 0, time.UTC)

// truth is the model that the exposures follow. A plate is judged right when its
// dose in stops, d = log2(t · 2^EV / (N² (1+m)²)), lies within half the latitude
// of the aim of its light and batch at its age, with normal noise.
type truth struct {
	Light           map[string]float64 `json:"aim_dose_by_light"`
	Batch           map[string]float64 `json:"batch_effect_stops"`
	StopsADay       float64            `json:"slower_stops_per_day"`
	LatitudeStops   float64            `json:"latitude_stops"`
	NoiseStops      float64            `json:"noise_stops"`
	KeeperIfRight   float64            `json:"keeper_if_right"`
	KeeperIfNot     float64            `json:"keeper_if_not"`
	SpreadOfSetting float64            `json:"spread_of_setting_stops"`
}

type batch struct {
	id, kind string
	mixed    time.Time
}

type person struct {
	id, name            string
	portfolio, named    bool
	given               time.Time
	until               time.Time // zero: no end
	minor, withGuardian bool
}

type plate struct {
	n                    int
	id, file             string
	made                 time.Time
	batches              map[string]string
	light                string
	ev, seconds, stop, m float64
	judged, outcome      string
	purpose              string
	sitter, client       string
	title, alt           string
	tags                 []string
	flaw                 string
	notes                string
	width                int // of the scan in pixels
}

// season is the whole archive.
type season struct {
	o       options
	rng     *rand.Rand
	truth   truth
	batches []batch
	clients []person
	sitters []person
	plates  []plate
}

func newSeason(o options) *season {
	s := &season{o: o, rng: rand.New(rand.NewPCG(o.seed, 0x53616e64)), truth: truth{
		Light: map[string]float64{"north skylight": 6.6, "open shade": 6.1, "south window": 7.0}, Batch: map[string]float64{},
		StopsADay: 0.012, LatitudeStops: 1.1, NoiseStops: 0.35, KeeperIfRight: 0.82, KeeperIfNot: 0.25, SpreadOfSetting: 0.55,
	}}
	for i := range 1 + o.plates/platesAClient {
		s.clients = append(s.clients, person{id: fmt.Sprintf("client-%05d", i), name: s.name()})
	}
	for i := range 1 + o.plates/platesASitter {
		s.sitters = append(s.sitters, s.drawSitter(fmt.Sprintf("sitter-%05d", i)))
	}
	for i := range o.plates {
		s.plates = append(s.plates, s.drawPlate(i))
	}
	return s
}

func (s *season) drawSitter(id string) person {
	p := person{id: id, name: s.name(), portfolio: s.rng.Float64() < 0.7, named: s.rng.Float64() < 0.5, given: s.day(0)}
	if s.rng.Float64() < 0.1 {
		p.until = s.day(0).AddDate(0, 0, s.rng.IntN(9000))
	}
	p.minor = s.rng.Float64() < 0.08
	p.withGuardian = s.rng.Float64() < 0.8
	return p
}

// day is when the n-th plate was made: the studio works three days in five.
func (s *season) day(n int) time.Time {
	d := (s.o.plates - 1 - n) / platesADay
	return last.AddDate(0, 0, -d-d/3*2).Add(time.Duration(n%platesADay) * 35 * time.Minute)
}

// batchFor gives the batch in use for the n-th plate, mixing one if need be.
func (s *season) batchFor(kind string, n, lasts int) string {
	id := fmt.Sprintf("%s-%04d", kind, n/lasts)
	if n%lasts == 0 {
		mixed := s.day(n).AddDate(0, 0, -6)
		s.batches = append(s.batches, batch{id, kind, mixed})
		if kind == "collodion" {
			s.truth.Batch[id] = round(0.25*s.rng.NormFloat64(), 3)
		}
	}
	return id
}

func (s *season) drawPlate(n int) plate {
	p := plate{n: n, id: fmt.Sprintf("%s-%06d", s.day(n).Format("06"), n), made: s.day(n), batches: map[string]string{}, width: s.o.width}
	p.file = fmt.Sprintf("%s/%s", s.day(n).Format("2006/01"), p.id)
	for _, b := range []struct {
		kind  string
		lasts int
	}{{"collodion", platesABatch}, {"bath", platesABath}, {"developer", 2 * platesABatch}, {"fixer", 2 * platesABatch}, {"varnish", platesABath}} {
		p.batches[b.kind] = s.batchFor(b.kind, n, b.lasts)
	}
	if s.o.every > 0 && n%s.o.every == s.o.every/2 {
		p.width = s.o.large
	}
	s.drawExposure(&p)
	s.drawWords(&p)
	if n%platesADay == 0 {
		p.purpose, p.outcome, p.sitter = "test", "", ""
		return p
	}
	p.sitter = s.sitters[n/platesASitter].id
	if s.rng.Float64() < 0.7 {
		p.client = s.clients[n/platesAClient].id
	}
	return p
}

func (s *season) drawExposure(p *plate) {
	lights := []string{"north skylight", "open shade", "south window"}
	p.light, p.ev = lights[s.rng.IntN(len(lights))], round(8+4*s.rng.Float64(), 1)
	p.stop, p.m = []float64{4, 5.6, 8}[s.rng.IntN(3)], round(0.1+0.3*s.rng.Float64(), 2)
	age := math.Floor(p.made.Sub(s.batches[s.lastCollodion()].mixed).Hours() / 24)
	aim := s.truth.Light[p.light] + s.truth.Batch[p.batches["collodion"]] + s.truth.StopsADay*age
	stops := aim + s.truth.SpreadOfSetting*s.rng.NormFloat64() - p.ev + 2*math.Log2(p.stop) + 2*math.Log2(1+p.m)
	p.seconds = max(0.3, round(math.Exp2(stops), 1))
	dose := math.Log2(p.seconds) + p.ev - 2*math.Log2(p.stop) - 2*math.Log2(1+p.m)
	p.judged = "right"
	switch off := dose - aim + s.truth.NoiseStops*s.rng.NormFloat64(); {
	case off < -s.truth.LatitudeStops/2:
		p.judged = "under"
	case off > s.truth.LatitudeStops/2:
		p.judged = "over"
	}
	keep := s.truth.KeeperIfNot
	if p.judged == "right" {
		keep = s.truth.KeeperIfRight
	}
	p.outcome = "keeper"
	if s.rng.Float64() > keep {
		p.outcome = []string{"remake", "scrapped"}[s.rng.IntN(2)]
		p.flaw = []string{"fog", "comets", "oysters", "streaks", "lifting", "stains"}[s.rng.IntN(6)]
	}
}

func (s *season) lastCollodion() int {
	for i := len(s.batches) - 1; ; i-- {
		if s.batches[i].kind == "collodion" {
			return i
		}
	}
}

func round(x float64, digits int) float64 {
	k := math.Pow10(digits)
	return math.Round(x*k) / k
}
