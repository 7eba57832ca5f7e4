package tiff

import (
	"context"
	"io"
	"runtime"

	"golang.org/x/sync/errgroup"

	"sandarac/archive/scan/fault"
)

// span is some strips, or one row of tiles, that are read one after the other.
// Spans are read on all cores.
type span struct{ from, to int }

// piece is some finished rows of a span, or why there are no more. The buffer
// goes back to its lane.
type piece struct {
	rows, stride int
	buf          []byte
	lane         *lane
	err          error
}

// giver takes the next rows of a span.
type giver func(buf []byte, rows int) error

// lane is what one core reads spans with. Its few buffers go round, so however
// large strips are, no more is held.
type lane struct {
	h      *Header
	r      io.ReaderAt
	out    *rows
	unpack unpackers
	free   chan []byte
	size   int64
}

const (
	// pieceBytes is about how much is read before it is given on, and the
	// least that makes a span.
	pieceBytes = 256 << 10
	// pieces is how many of them a lane has.
	pieces = 4
	// wideBand is a row of tiles so large that one is read at a time.
	wideBand = 8 << 20
)

// layout is how many lanes there are, how many buffers each has, and their size.
func (h *Header) layout() (lanes, buffers int, size int64) {
	lanes = min(runtime.GOMAXPROCS(0), 8)
	if !h.grid.tiled {
		row := h.rowBytes()
		return lanes, pieces, row * max(1, pieceBytes/row)
	}
	size = int64(h.grid.across*h.grid.width) * int64(h.grid.height) * h.pixelBytes()
	if size > wideBand {
		return 1, 1, size
	}
	return lanes, 2, size
}

// spans cuts the picture.
func (h *Header) spans() (all []span) {
	if h.grid.tiled {
		for i := range h.grid.down {
			all = append(all, span{i, i + 1})
		}
		return all
	}
	for i := 0; i < h.grid.down; {
		s, rows := span{from: i}, int64(0)
		for ; i < h.grid.down && rows*h.rowBytes() < pieceBytes; i++ {
			rows += int64(h.partRows(i))
		}
		s.to = i
		all = append(all, s)
	}
	return all
}

// parallel reads spans on all cores and gives their rows to out in order.
func (h *Header) parallel(ctx context.Context, r io.ReaderAt, out *rows) (err error) {
	ctx, stop := context.WithCancel(ctx)
	lanes, buffers, size := h.layout()
	type job struct {
		span
		made chan piece
	}
	todo, inOrder := make(chan job), make(chan job, lanes)
	group, running := errgroup.WithContext(ctx)
	defer func() {
		stop()
		group.Wait() // what went wrong there came as a piece
	}()
	group.Go(func() error {
		defer close(todo)
		defer close(inOrder)
		for _, s := range h.spans() {
			j := job{s, make(chan piece, buffers)}
			for _, to := range []chan<- job{inOrder, todo} {
				select {
				case to <- j:
				case <-running.Done():
					return nil
				}
			}
		}
		return nil
	})
	for range lanes {
		l := &lane{h: h, r: r, out: out, free: make(chan []byte, buffers), size: size}
		for range buffers {
			l.free <- nil
		}
		group.Go(func() error {
			for j := range todo {
				l.read(running, j.span, j.made)
			}
			return nil
		})
	}
	for j := range inOrder {
		if err := h.take(ctx, j.made, out); err != nil {
			return err
		}
	}
	return ctx.Err()
}

// read makes the pieces of a span. The channel holds all buffers of a lane and
// one piece of error more than it can, so only that waits.
func (l *lane) read(ctx context.Context, s span, made chan<- piece) {
	defer close(made)
	if err := l.span(ctx, s, made); err != nil {
		select {
		case made <- piece{err: err}:
		case <-ctx.Done():
		}
	}
}

func (l *lane) span(ctx context.Context, s span, made chan<- piece) (err error) {
	defer fault.Recover("the TIFF reader", &err)
	stride := int(l.h.rowBytes())
	if l.h.grid.tiled {
		stride = l.h.grid.across * l.h.grid.width * int(l.h.pixelBytes())
	}
	give := func(buf []byte, rows int) error {
		made <- piece{rows: rows, stride: stride, buf: buf, lane: l}
		return nil
	}
	switch {
	case l.h.grid.tiled:
		return l.tiles(ctx, s, give)
	case l.h.compression == plain:
		return l.plain(ctx, s, give)
	}
	return l.strips(ctx, s, give)
}

// buffer waits until one of the lane's buffers is free.
func (l *lane) buffer(ctx context.Context) ([]byte, error) {
	select {
	case buf := <-l.free:
		if buf == nil {
			buf = make([]byte, l.size)
		}
		return buf, ctx.Err()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// take gives the rows of one span on.
func (h *Header) take(ctx context.Context, made <-chan piece, out *rows) error {
	for {
		select {
		case p, ok := <-made:
			if !ok {
				return ctx.Err()
			}
			if p.err != nil {
				return p.err
			}
			for y := range p.rows {
				if err := out.give(p.buf[y*p.stride:][:h.rowBytes()]); err != nil {
					return err
				}
			}
			p.lane.free <- p.buf
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}
