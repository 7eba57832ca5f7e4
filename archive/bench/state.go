package bench

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"time"

	"sandarac/archive/chemistry"
	"sandarac/archive/consent"
	"sandarac/archive/daybook"
	"sandarac/archive/record"
)

// State is what the form needs to know of the archive.
type State struct {
	Studio   string                   `json:"studio"`
	Token    string                   `json:"token"` // to be sent with every entry
	NextID   string                   `json:"next_id"`
	Today    string                   `json:"today"`
	Plain    bool                     `json:"plain"` // the connection is not encrypted and not on this machine
	Words    map[string][]string      `json:"words"` // what the keys take, by key
	Formats  []Choice                 `json:"formats"`
	Batches  map[string][]BatchChoice `json:"batches"` // by kind, newest first
	Lenses   []LensChoice             `json:"lenses"`
	Lights   []string                 `json:"lights"` // as used before, last first
	Cameras  []string                 `json:"cameras"`
	Stops    []string                 `json:"stops"`
	Sitters  []SitterChoice           `json:"sitters"`
	Clients  []Choice                 `json:"clients"`
	Last     map[string]string        `json:"last"` // what carries over to the next plate
	LastID   string                   `json:"last_id"`
	Session  bool                     `json:"session"` // the last plate is of today
	Plates   []PlateMade              `json:"plates"`  // of today, last first
	Open     []PlateMade              `json:"open"`    // of the days before, not judged or not varnished yet
	Consent  daybook.Words            `json:"consent"`
	Caution  string                   `json:"caution"` // with every form of consent
	Cautions Cautions                 `json:"cautions"`
}

// Choice is an id with the name it is known by.
type Choice struct {
	ID   string `json:"id"`
	Name string `json:"name"`
}

// BatchChoice is a batch as the form offers it.
type BatchChoice struct {
	ID      string `json:"id"`
	Mixed   string `json:"mixed"`
	Plates  int    `json:"plates"`         // that it made
	Since   int    `json:"since"`          // of these, since its last log entry
	Action  string `json:"action"`         // that entry, "" if there is none
	Note    string `json:"note,omitempty"` // not ready yet, or past its days
	Cyanide bool   `json:"cyanide,omitempty"`
}

// LensChoice is a lens of the studio.
type LensChoice struct {
	ID     string  `json:"id"`
	Focal  float64 `json:"focal_mm,omitempty"`
	Widest float64 `json:"widest_stop,omitempty"`
}

// SitterChoice is a sitter with what they agreed to today.
type SitterChoice struct {
	ID        string `json:"id"`
	Name      string `json:"name"`
	Portfolio bool   `json:"portfolio"`
	ShowName  bool   `json:"show_name"`
	Promotion bool   `json:"promotion"`
}

// PlateMade is a plate of the day, or one of the days before that something is
// still to be said of.
type PlateMade struct {
	ID     string            `json:"id"`
	Day    string            `json:"day"`
	Made   string            `json:"made"` // the hour, "" if it is not known
	Format string            `json:"format,omitempty"`
	Title  string            `json:"title,omitempty"`
	Values map[string]string `json:"values"` // what can be said later, as the record has it
}

// laterKeys are what the form says of a plate after it was logged.
var laterKeys = []string{"varnished", "batches.varnish", "judged", "outcome", "flaws"}

// openDays is how long a plate is asked about that was not judged or varnished;
// openMost is how many there are on the list.
const (
	openDays = 21
	openMost = 40
)

// Cautions stand beside the steps of the form.
type Cautions struct {
	Develop  []string `json:"develop"`
	Fix      []string `json:"fix"`
	Deferral string   `json:"deferral"`
	FirstAid []string `json:"first_aid"`
}

// choicesMost bounds lists of people and clients; the latest are offered.
const choicesMost = 200

// State reads the archive as it is now for the form.
func (l *Logbook) State(ctx context.Context) (*State, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	// Entries of this process are in the book's memory; its lists come from the
	// disk, so the archive is read anew if anything was written.
	if l.holders == 0 {
		l.stale = l.stale || l.amended || l.book != nil && l.book.Written()
	}
	if err := l.refresh(ctx); err != nil {
		return nil, err
	}
	a, now := l.book.Archive, l.now().In(l.book.Archive.Studio.Zone)
	s := &State{Studio: a.Studio.Name, Today: record.DateOf(now).String(), Consent: daybook.ConsentWords(a.Studio.Language), Caution: daybook.Caution,
		NextID: l.book.NextID(record.DateOf(now), nil), Words: map[string][]string{}, Batches: map[string][]BatchChoice{}}
	for _, key := range []string{"purpose", "support", "judged", "outcome", "flaws"} {
		k, _ := daybook.KeyOf(key)
		s.Words[key] = k.Words
	}
	for _, f := range record.Formats {
		s.Formats = append(s.Formats, Choice{f.Slug, f.Name})
	}
	for _, x := range a.Studio.Lenses {
		s.Lenses = append(s.Lenses, LensChoice{x.ID, x.FocalMM, x.WidestStop})
	}
	l.lastPlate(s, now)
	used(a, s)
	batches(a, s)
	people(a, s, record.DateOf(now))
	s.Cautions = cautions(a.Studio.PoisonCentre)
	return s, nil
}

// lastPlate says what carries over to a plate made now.
func (l *Logbook) lastPlate(s *State, now time.Time) {
	d := &daybook.Draft{Entry: l.book.Entry()}
	if err := d.Set("made", daybook.FormatMoment(now, true)); err != nil {
		return
	}
	_, s.Session = l.book.Last(d.Entry)
	l.book.Carry(d, false)
	s.LastID, s.Last = d.From, map[string]string{}
	for _, key := range d.Carried {
		s.Last[key] = d.Text(key)
	}
	s.Plates, s.Open = []PlateMade{}, []PlateMade{}
	today := record.DateOf(now)
	for i := len(l.book.Archive.Plates) - 1; i >= 0; i-- {
		switch p := l.book.Archive.Plates[i]; {
		case p.MadeOn() == today:
			s.Plates = append(s.Plates, l.plateMade(p))
		case !p.Broken && stillOpen(p, today) && len(s.Open) < openMost:
			s.Open = append(s.Open, l.plateMade(p))
		}
	}
}

// stillOpen says of a plate of the last weeks that its outcome is not known, or
// that it was kept and not varnished. Test plates are judged and thrown away.
func stillOpen(p *record.Plate, today record.Date) bool {
	age := today.DaysSince(p.MadeOn())
	return age > 0 && age <= openDays && p.Purpose != "test" && (p.Outcome == "" || p.Outcome == "keeper" && p.Varnished.IsZero())
}

func (l *Logbook) plateMade(p *record.Plate) PlateMade {
	out := PlateMade{ID: p.ID, Day: p.MadeOn().String(), Format: p.Format.Name, Title: p.Title, Values: map[string]string{}}
	if p.Timed {
		out.Made = p.Made.Format("15:04")
	}
	e := daybook.Of(l.book.Archive, p)
	for _, key := range laterKeys {
		if e.Has(key) {
			out.Values[key] = e.Text(key)
		}
	}
	return out
}

// used lists lights, cameras and stops as the photographer wrote them, the last
// used first.
func used(a *record.Archive, s *State) {
	const most = 12
	add := func(to *[]string, word string) {
		if word != "" && len(*to) < most && !slices.Contains(*to, word) {
			*to = append(*to, word)
		}
	}
	for i := len(a.Plates) - 1; i >= 0; i-- {
		p := a.Plates[i]
		add(&s.Lights, p.Light.Kind)
		add(&s.Cameras, p.Camera)
		if p.Exposure.Stop > 0 {
			add(&s.Stops, daybook.FormatNumber(p.Exposure.Stop))
		}
	}
}

// batches lists the batches of each kind with the plates that they made, all and
// since the last thing that was done to them.
func batches(a *record.Archive, s *State) {
	all, since := map[string]int{}, map[string]int{}
	for _, p := range a.Plates {
		p.Batches.Each(func(kind, id string) {
			b, ok := a.Batch(kind, id)
			if !ok {
				return
			}
			all[id]++
			if n := len(b.Log); n == 0 || !p.MadeOn().Before(b.Log[n-1].Date) {
				since[id]++
			}
		})
	}
	for id, b := range a.Batches {
		if b.Kind == "" {
			continue
		}
		c := BatchChoice{ID: id, Mixed: b.Mixed.String(), Plates: all[id], Since: since[id]}
		if n := len(b.Log); n > 0 {
			c.Action = b.Log[n-1].Action + ", " + b.Log[n-1].Date.String()
		}
		switch {
		case !b.ReadyFrom.IsZero() && s.Today < b.ReadyFrom.String():
			c.Note = "ready from " + b.ReadyFrom.String()
		case !b.Retire.IsZero() && s.Today > b.Retire.String():
			c.Note = "to be retired since " + b.Retire.String()
		}
		for _, part := range b.Parts {
			c.Cyanide = c.Cyanide || strings.Contains(strings.ToLower(part.Substance), "cyanide")
		}
		s.Batches[b.Kind] = append(s.Batches[b.Kind], c)
	}
	for _, list := range s.Batches {
		slices.SortFunc(list, func(x, y BatchChoice) int { return cmp.Or(cmp.Compare(y.Mixed, x.Mixed), cmp.Compare(x.ID, y.ID)) })
	}
}

// people lists sitters and clients, those of the latest plates first.
func people(a *record.Archive, s *State, today record.Date) {
	seen := map[string]bool{}
	addSitter := func(x *record.Sitter) {
		if x == nil || x.Broken || seen["s"+x.ID] || len(s.Sitters) >= choicesMost {
			return
		}
		seen["s"+x.ID] = true
		s.Sitters = append(s.Sitters, SitterChoice{x.ID, cmp.Or(x.Name, x.ID), consent.Portfolio(x, today), consent.Named(x, today), consent.Promoted(x, today)})
	}
	addClient := func(x *record.Client) {
		if x == nil || x.Broken || seen["c"+x.ID] || len(s.Clients) >= choicesMost {
			return
		}
		seen["c"+x.ID] = true
		s.Clients = append(s.Clients, Choice{x.ID, cmp.Or(x.Name, x.ID)})
	}
	// Those whose consent was taken today come first: they are in the studio.
	for _, id := range sortedKeys(a.Sitters) {
		if a.Sitters[id].Consent.Given == today {
			addSitter(a.Sitters[id])
		}
	}
	for i := len(a.Plates) - 1; i >= 0; i-- {
		for _, sitting := range a.Plates[i].Sitters {
			addSitter(a.Sitters[sitting.Ref])
		}
		addClient(a.Clients[a.Plates[i].Client])
	}
	for _, id := range sortedKeys(a.Sitters) {
		addSitter(a.Sitters[id])
	}
	for _, id := range sortedKeys(a.Clients) {
		addClient(a.Clients[id])
	}
}

func cautions(poisonCentre string) Cautions {
	of := func(slugs ...string) []string {
		var out []string
		for _, slug := range slugs {
			if step, ok := chemistry.StepOf(slug); ok {
				out = append(out, step.Cautions...)
			}
		}
		return out
	}
	return Cautions{Develop: of("develop"), Fix: of("stop", "fix"), Deferral: chemistry.Deferral, FirstAid: chemistry.FirstAid(poisonCentre, true)}
}
