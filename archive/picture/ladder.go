package picture

import (
	"context"
	"image"
	"maps"
	"slices"

	"sandarac/archive/scan"
	"sandarac/archive/scan/raster"
)

// rungs are the widths that smaller pictures may be made from.
var rungs = []int{600, 1200, 2400}

// ladder is which sizes are made of a master, and from which larger one each.
//
// A width is made from the smallest rung at least twice as wide, if the master
// is wider still; else from the master itself. So each picture depends on the
// master and its own width alone, not on what else was asked for at the time:
// made again in other company, it has the same bytes.
type ladder struct {
	info    scan.Info
	outputs map[int][]Output // by true width
	from    map[int]int      // by width, 0 for the master
	roots   map[int]*reducer
}

func newLadder(info scan.Info) *ladder {
	return &ladder{info: info, outputs: map[int][]Output{}, from: map[int]int{}, roots: map[int]*reducer{}}
}

// want adds a width and all it depends on.
func (l *ladder) want(width int) {
	width, _ = fit(l.info, width)
	if _, ok := l.from[width]; ok {
		return
	}
	for _, rung := range rungs {
		if rung >= 2*width && rung < l.info.Width {
			l.from[width] = rung
			l.want(rung)
			return
		}
	}
	l.from[width] = 0
}

// weight is the memory its pictures need: 16-bit planes, once more while they
// are turned, cut to 8 bits and coded.
func (l *ladder) weight() (sum int64) {
	for width, from := range l.from {
		if from == 0 {
			w, h := fit(l.info, width)
			samples := int64(w) * int64(h)
			if l.info.Channels > 1 {
				samples += samples / 2
			}
			sum += 6 * samples
		}
	}
	return sum
}

// decode reads the master once for all widths that are made from it.
func (l *ladder) decode(ctx context.Context, master *scan.Master) error {
	var all tee
	for _, width := range slices.Sorted(maps.Keys(l.from)) {
		if l.from[width] == 0 {
			w, h := fit(l.info, width)
			l.roots[w] = newReducer(l.info, w, h, master.Profile())
			all = append(all, l.roots[w])
		}
	}
	return master.Decode(ctx, all)
}

// walk gives each picture to use, wider ones first.
func (l *ladder) walk(ctx context.Context, use func(*working) error) error {
	made := map[int]*working{}
	widths := slices.Sorted(maps.Keys(l.from))
	for i, width := range slices.Backward(widths) {
		if err := ctx.Err(); err != nil {
			return err
		}
		if root := l.roots[width]; root != nil {
			made[width] = root.result()
			delete(l.roots, width)
		} else {
			var err error
			w, h := fit(l.info, width)
			if made[width], err = made[l.from[width]].narrower(w, h); err != nil {
				return err
			}
		}
		if err := use(made[width]); err != nil {
			return err
		}
		for w := range made { // let go of what no smaller one is made from
			if !slices.ContainsFunc(widths[:i], func(smaller int) bool { return l.from[smaller] == w }) {
				delete(made, w)
			}
		}
	}
	return nil
}

// tee gives the rows of one decode to several reducers.
type tee []*reducer

// halved is the reduction from which on a picture is made from planes of half
// the size, if a decoder can give such.
const halved = 4

// Halves implements raster.HalvedSink. Each reducer decides for itself, so that
// what it makes does not depend on the others.
func (t tee) Halves() (whole, half raster.Sink) {
	var parts [2]tee
	for _, r := range t {
		i := 0
		if r.storedWidth >= halved*r.width && r.storedHeight >= halved*r.height {
			i = 1
		}
		parts[i] = append(parts[i], r)
	}
	if parts[0] != nil {
		whole = parts[0]
	}
	if parts[1] != nil {
		half = parts[1]
	}
	return whole, half
}

// Begin implements raster.Sink.
func (t tee) Begin(f raster.Frame) error {
	return t.each(func(r *reducer) error { return r.Begin(f) })
}

// Row8 implements raster.Sink.
func (t tee) Row8(plane int, row []byte) error {
	return t.each(func(r *reducer) error { return r.Row8(plane, row) })
}

// Row16 implements raster.Sink.
func (t tee) Row16(plane int, row []byte) error {
	return t.each(func(r *reducer) error { return r.Row16(plane, row) })
}

// Whole implements raster.WholeSink.
func (t tee) Whole(img *image.NRGBA) error {
	return t.each(func(r *reducer) error { return r.Whole(img) })
}

func (t tee) each(do func(*reducer) error) error {
	for _, r := range t {
		if err := do(r); err != nil {
			return err
		}
	}
	return nil
}
