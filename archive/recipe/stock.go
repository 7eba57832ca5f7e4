package recipe

import (
	"sandarac/archive/chemistry"
	"sandarac/archive/chemistry/silverbath"
	"sandarac/archive/record"
)

// Stock holds every batch understood and every bath's account on a day, so that
// pages that ask many times read once. It is not safe for concurrent use.
type Stock struct {
	archive *record.Archive
	today   record.Date
	recipes map[string]chemistry.Recipe
	baths   map[string]*BathAccount // nil: no account can be kept
}

// NewStock starts one for an archive on a day.
func NewStock(a *record.Archive, today record.Date) *Stock {
	return &Stock{archive: a, today: today, recipes: map[string]chemistry.Recipe{}, baths: map[string]*BathAccount{}}
}

// Recipe returns a batch's recipe, false for a batch the archive lacks.
func (s *Stock) Recipe(id string) (chemistry.Recipe, bool) {
	b, ok := s.archive.Batches[id]
	if !ok {
		return chemistry.Recipe{}, false
	}
	r, done := s.recipes[id]
	if !done {
		r, _ = read(b)
		s.recipes[id] = r
	}
	return r, true
}

// Bath returns a bath's account, false when none can be kept.
func (s *Stock) Bath(id string) (BathAccount, bool) {
	acc, done := s.baths[id]
	if !done {
		if got, err := Bath(s.archive, id, s.today); err == nil {
			acc = &got
		}
		s.baths[id] = acc
	}
	if acc == nil {
		return BathAccount{}, false
	}
	return *acc, true
}

// Account is Bath without the studio's side of it.
func (s *Stock) Account(id string) (silverbath.Account, bool) {
	acc, ok := s.Bath(id)
	return acc.Account, ok
}
