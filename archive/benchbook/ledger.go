package benchbook

import (
	"cmp"
	"slices"
	"strings"

	"sandarac/archive/consent"
	"sandarac/archive/finding"
	"sandarac/archive/recipe"
	"sandarac/archive/record"
)

// stage is one run of Stage: the records, set against each other once.
type stage struct {
	Input
	dir   string
	done  Staged
	stock *recipe.Stock

	plates  []*record.Plate // newest first
	batches []*record.Batch // by kind in the order of the process, newest first
	clients []*record.Client

	plateSlug                                  map[*record.Plate]string
	batchSlug, clientSlug, lightSlug, lensSlug map[string]string
	made                                       map[string][]*record.Plate // plates by batch, newest first
	ordered                                    map[string][]*record.Plate // plates by client, newest first
	hidden                                     map[*record.Plate][]consent.Reason
	found                                      map[string][]finding.Finding // by file
	about                                      map[string][]finding.Finding // by plate id
	doubled                                    map[string]bool              // ids that two plates claim
	cardDays                                   map[record.Date]bool         // whose papers are kept ready
	aims                                       map[[2]string]float64        // dose by collodion and light
	choices                                    filters                      // of the list of plates
	placed                                     map[string]bool              // pictures listed already
	codes                                      map[string]*qrView           // by link
}

func newStage(in Input, dir string) *stage {
	a := in.Archive
	s := &stage{Input: in, dir: dir, stock: recipe.NewStock(a, in.Today),
		made: map[string][]*record.Plate{}, ordered: map[string][]*record.Plate{},
		hidden: map[*record.Plate][]consent.Reason{}, found: map[string][]finding.Finding{},
		about: map[string][]finding.Finding{}, doubled: map[string]bool{}, placed: map[string]bool{}, codes: map[string]*qrView{},
		cardDays: map[record.Date]bool{}, aims: map[[2]string]float64{}}
	s.plates = slices.Clone(a.Plates)
	slices.Reverse(s.plates)
	for _, b := range a.Batches {
		s.batches = append(s.batches, b)
	}
	slices.SortFunc(s.batches, func(x, y *record.Batch) int {
		return cmp.Or(cmp.Compare(kindPlace(x.Kind), kindPlace(y.Kind)), strings.Compare(y.Mixed.String(), x.Mixed.String()), strings.Compare(x.ID, y.ID))
	})
	for _, c := range a.Clients {
		s.clients = append(s.clients, c)
	}
	slices.SortFunc(s.clients, func(x, y *record.Client) int { return strings.Compare(x.ID, y.ID) })
	s.name()
	s.join()
	s.choices = s.filters()
	for _, day := range s.days() {
		s.cardDays[day[0].MadeOn()] = true
	}
	if in.Analysis != nil && in.Analysis.ExposureModel != nil {
		for _, c := range in.Analysis.ExposureModel.Cells {
			if c.AimDose != nil {
				s.aims[[2]string{c.Batch, c.Light}] = *c.AimDose
			}
		}
	}
	return s
}

func kindPlace(kind string) int { return slices.Index(record.BatchKinds, kind) }

// name gives every record its address.
func (s *stage) name() {
	s.plateSlug = slugs(s.plates, func(p *record.Plate) string { return p.ID }, func(p *record.Plate) string { return p.File })
	var batches, clients []string
	for _, b := range s.batches {
		batches = append(batches, b.ID)
	}
	for _, c := range s.clients {
		clients = append(clients, c.ID)
	}
	s.batchSlug, s.clientSlug = slugs(batches, itself, itself), slugs(clients, itself, itself)
	s.lightSlug = s.wordSlugs(func(p *record.Plate) string { return p.Light.Kind })
	s.lensSlug = s.wordSlugs(func(p *record.Plate) string { return p.Lens })
}

// wordSlugs gives an address to each word that plates use for something.
func (s *stage) wordSlugs(of func(*record.Plate) string) map[string]string {
	var words []string
	seen := map[string]bool{}
	for _, p := range s.plates {
		if w := oneLine(of(p)); w != "" && !seen[w] {
			seen[w] = true
			words = append(words, w)
		}
	}
	slices.Sort(words)
	return slugs(words, itself, itself)
}

// join sorts plates to their batches and clients, findings to their files.
func (s *stage) join() {
	ids := map[string]int{}
	for _, p := range s.plates {
		p.Batches.Each(func(kind, id string) {
			if _, ok := s.Archive.Batch(kind, id); ok {
				s.made[id] = append(s.made[id], p)
			}
		})
		if _, ok := s.Archive.Clients[p.Client]; ok {
			s.ordered[p.Client] = append(s.ordered[p.Client], p)
		}
		ids[p.ID]++
		s.doubled[p.ID] = ids[p.ID] > 1
	}
	for _, h := range consent.Why(s.Archive, s.Today) {
		s.hidden[h.Plate] = h.Reasons
	}
	for _, f := range s.Findings {
		s.found[f.File] = append(s.found[f.File], f)
		if f.Plate != "" {
			s.about[f.Plate] = append(s.about[f.Plate], f)
		}
	}
}

// findingsOf are those of a plate's own record, and those that name it from
// elsewhere. Of two plates that claim one id, each gets its own file's only.
func (s *stage) findingsOf(p *record.Plate) []finding.Finding {
	out := slices.Clone(s.found[p.File])
	if s.doubled[p.ID] {
		return out
	}
	for _, f := range s.about[p.ID] {
		if f.File != p.File {
			out = append(out, f)
		}
	}
	return out
}
