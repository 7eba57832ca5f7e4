package audit

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"image"
	_ "image/jpeg" // the formats a published picture may have
	_ "image/png"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	_ "golang.org/x/image/webp"
	"golang.org/x/sync/errgroup"

	"sandarac/archive/audit/likeness"
	"sandarac/archive/finding"
)

// mostPixels is the largest picture that is decoded.
const mostPixels = 100_000_000

// album holds the pictures of the tree against those of the scans.
type album struct {
	hidden, shown []*reference
	cache         *cache
	decoded       atomic.Int64

	mu     sync.Mutex
	images map[[32]byte]*published
}

// reference is the small picture of a scan. Its sketch is made when it is wanted.
type reference struct {
	Picture
	sum    [32]byte
	sketch func() (*likeness.Sketch, error)
}

// published is a picture of the tree, under all the names it has there.
type published struct {
	sum   [32]byte
	at    []location
	print *likeness.Print // of a picture inside another file; else it is decoded anew
}

type location struct{ name, form string }

// newAlbum reads the reference pictures, or their sketches from the cache.
func newAlbum(ctx context.Context, f Forbidden, c *cache) (*album, error) {
	b := &album{cache: c, images: map[[32]byte]*published{}}
	for _, list := range []struct {
		from []Picture
		to   *[]*reference
	}{{f.Hidden, &b.hidden}, {f.Shown, &b.shown}} {
		*list.to = make([]*reference, len(list.from))
		group, ctx := errgroup.WithContext(ctx)
		group.SetLimit(runtime.GOMAXPROCS(0))
		for i, p := range list.from {
			group.Go(func() error {
				if err := ctx.Err(); err != nil {
					return err
				}
				r, err := b.reference(p)
				if err != nil {
					return fmt.Errorf("the reference picture of plate %s: %w", p.Plate, err)
				}
				(*list.to)[i] = r
				return nil
			})
		}
		if err := group.Wait(); err != nil {
			return nil, err
		}
	}
	return b, nil
}

func (b *album) reference(p Picture) (*reference, error) {
	c := b.cache
	info, err := os.Stat(p.Path)
	if err != nil {
		return nil, err
	}
	r := &reference{Picture: p}
	stamp := stampOf(info)
	sum, known := c.pictureByStamp(stamp)
	if !known {
		data, err := os.ReadFile(p.Path)
		if err != nil {
			return nil, err
		}
		sum = sha256.Sum256(data)
	}
	r.sum = sum
	c.keepStamp(stamp, sum)
	c.use(sum)
	r.sketch = sync.OnceValues(func() (*likeness.Sketch, error) {
		if kept := c.sketch(sum); kept != nil {
			return kept, nil
		}
		b.decoded.Add(1)
		print, err := r.print()
		if err != nil {
			return nil, fmt.Errorf("the reference picture of plate %s: %w", p.Plate, err)
		}
		c.keepSketch(sum, print.Sketch())
		return print.Sketch(), nil
	})
	return r, nil
}

func (r *reference) print() (*likeness.Print, error) {
	data, err := os.ReadFile(r.Path)
	if err != nil {
		return nil, err
	}
	return decode(data)
}

// decode makes the print of a picture file, within bounds.
func decode(data []byte) (*likeness.Print, error) {
	config, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	if int64(config.Width)*int64(config.Height) > mostPixels {
		return nil, fmt.Errorf("it has %d × %d pixels, more than %d million", config.Width, config.Height, mostPixels/1_000_000)
	}
	img, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	return likeness.New(img), nil
}

// add takes a picture of the tree. form is empty for a file of its own.
func (b *album) add(name, form string, data []byte, sum [32]byte) error {
	b.decoded.Add(1)
	print, err := decode(data)
	if err != nil {
		return err
	}
	b.cache.keepSketch(sum, print.Sketch())
	if form == "" {
		print = nil
	}
	b.note(name, form, sum, print)
	return nil
}

// again takes a picture that is known by its content.
func (b *album) again(name string, sum [32]byte) { b.note(name, "", sum, nil) }

func (b *album) note(name, form string, sum [32]byte, print *likeness.Print) {
	b.mu.Lock()
	defer b.mu.Unlock()
	p := b.images[sum]
	if p == nil {
		p = &published{sum: sum}
		b.images[sum] = p
	}
	p.at = append(p.at, location{name, form})
	if print != nil {
		p.print = print
	}
}

// compare holds each published picture against the hidden scans: all of them, or,
// if it was found clean before, those that are new since.
func (b *album) compare(ctx context.Context, dir string, out *sink) error {
	fresh := slices.DeleteFunc(slices.Clone(b.hidden), func(r *reference) bool { return b.cache.clearedReference(r.sum) })
	shown := map[[32]byte]bool{}
	for _, r := range b.shown {
		shown[r.sum] = true
	}
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	todo := map[string][]pending{}
	for _, p := range b.images {
		against := b.hidden
		by, cleared := b.cache.cleared(p.sum, shown)
		if cleared {
			against = fresh
		}
		if len(against) == 0 {
			b.cache.clear(p.sum, by)
			continue
		}
		folder := p.folder()
		todo[folder] = append(todo[folder], pending{p, against, by})
	}
	for _, folder := range todo {
		group.Go(func() error { return b.judgeFolder(ctx, folder, dir, out) })
	}
	if err := group.Wait(); err != nil {
		return err
	}
	for _, r := range b.hidden {
		b.cache.clearReference(r.sum)
	}
	return nil
}

// pending is a picture that is to be held against scans.
type pending struct {
	*published
	against []*reference
	by      [32]byte // what clears it of the scans it is not held against now
}

// folder names what is likely to hold the several sizes of one picture: the first
// two folders of its path.
func (p *published) folder() string {
	parts := strings.SplitN(p.at[0].name, "/", 3)
	return strings.Join(parts[:min(len(parts), 2)], "/")
}

// judgeFolder judges the pictures of a folder. Sizes of one that was made from no
// hidden scan, by far, were not either.
func (b *album) judgeFolder(ctx context.Context, folder []pending, dir string, out *sink) error {
	slices.SortFunc(folder, func(x, y pending) int { return bytes.Compare(x.sum[:], y.sum[:]) })
	var clean []pending
	for _, p := range folder {
		if err := ctx.Err(); err != nil {
			return err
		}
		mine := b.cache.sketch(p.sum)
		twin := slices.IndexFunc(clean, func(c pending) bool {
			other := b.cache.sketch(c.sum)
			return mine != nil && other != nil && len(c.against) >= len(p.against) && likeness.Twin(mine, other)
		})
		if twin >= 0 {
			b.cache.clear(p.sum, p.by)
			continue
		}
		score, err := b.judge(p.published, p.against, p.by, dir, out)
		if err != nil {
			return err
		}
		if score < likeness.Same-0.1 {
			clean = append(clean, p)
		}
	}
	return nil
}

// candidate is a scan that a picture may have been made from.
type candidate struct {
	*reference
	score float64
}

// judge says whether a picture was made from a hidden scan. Where a shown one is
// the likelier origin, by more than the margin, it was made from that. by is what
// clears the picture of the scans that it is not held against now.
func (b *album) judge(p *published, hidden []*reference, by [32]byte, dir string, out *sink) (float64, error) {
	print := sync.OnceValues(func() (*likeness.Print, error) {
		b.decoded.Add(1)
		return p.load(dir)
	})
	sketch := b.cache.sketch(p.sum)
	if sketch == nil {
		whole, err := print()
		if err != nil {
			return 0, err
		}
		sketch = whole.Sketch()
		b.cache.keepSketch(p.sum, sketch)
	}
	origin, err := likeliest(sketch, print, hidden)
	if err != nil {
		return 0, err
	}
	if origin.score < likeness.Same {
		b.cache.clear(p.sum, by)
		return origin.score, nil
	}
	witness, err := likeliest(sketch, print, b.shown)
	if err != nil {
		return 0, err
	}
	if witness.score > origin.score+likeness.Margin {
		b.cache.clear(p.sum, witness.sum)
		return origin.score, nil
	}
	p.accuse(origin, out)
	return origin.score, nil
}

// load decodes a picture of the tree.
func (p *published) load(dir string) (*likeness.Print, error) {
	if p.print != nil {
		return p.print, nil
	}
	data, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(p.at[0].name)))
	if err != nil {
		return nil, err
	}
	return decode(data)
}

// likeliest gives the scan that a picture was most likely made from, if any.
func likeliest(sketch *likeness.Sketch, print func() (*likeness.Print, error), among []*reference) (candidate, error) {
	var top candidate
	for _, r := range among {
		other, err := r.sketch()
		if err != nil {
			return top, err
		}
		how, ok := likeness.Near(sketch, other)
		if !ok {
			continue
		}
		mine, err := print()
		if err != nil {
			return top, err
		}
		theirs, err := r.print()
		if err != nil {
			return top, err
		}
		if score := likeness.Score(mine, theirs, how); score > top.score {
			top = candidate{r, score}
		}
	}
	return top, nil
}

// accuse reports a picture at every place it has in the tree.
func (p *published) accuse(origin candidate, out *sink) {
	for _, at := range p.at {
		f := finding.Finding{Code: codePicture, File: at.name, Plate: origin.Plate,
			Message: fmt.Sprintf("the picture was made from a scan of plate “%s”, which may not be seen (likeness %.2f of 1)", origin.Plate, origin.score),
			Remedy:  "see which scans the published plates name; if two plates have the same scan, give each its own"}
		if at.form != "" {
			f.Message += " (" + at.form + ")"
		}
		out.add(f)
	}
}
