package picture

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"image"
	"maps"
	"slices"

	"sandarac/archive/scan"
	"sandarac/archive/scan/fault"
	"sandarac/archive/scan/likeness"
)

// one makes the outputs of a master that the index cannot answer for.
func (m *Maker) one(ctx context.Context, path string, outputs []Output) (Set, error) {
	limited, stop := context.WithTimeout(ctx, m.opt.Time)
	defer stop()
	master, err := scan.Open(path, m.opt.Limits)
	if err != nil {
		return Set{}, err
	}
	defer master.Close()
	sum, err := master.Sum(limited)
	if err != nil {
		return Set{}, err
	}
	k := m.remember(path, master, sum)
	if set, ok := m.assemble(path, k, outputs); ok {
		return set, m.enter(path, master, k)
	}
	if err := m.work(limited, master, k, outputs); err != nil {
		if limited.Err() != nil && ctx.Err() == nil {
			err = fault.In(context.DeadlineExceeded, path)
		}
		return Set{}, err
	}
	if err := m.enter(path, master, k); err != nil {
		return Set{}, err
	}
	set, ok := m.assemble(path, k, outputs)
	if !ok {
		return Set{}, fmt.Errorf("picture: a file just made from %s is gone from the cache", path)
	}
	return set, nil
}

// remember starts a new entry, with what is known of a master of the same
// content under another name or time.
func (m *Maker) remember(path string, master *scan.Master, sum [32]byte) *known {
	size, changed := master.Stamp()
	k := &known{size: size, mtime: changed.UnixNano(), sum: sum, info: master.Info(), files: map[key]made{}}
	m.mu.Lock()
	defer m.mu.Unlock()
	if old := m.bySum[sum]; old != nil {
		k.tone, k.hash = old.tone, old.hash
		maps.Copy(k.files, old.files)
	}
	return k
}

// enter puts a finished entry into the index, unless the master changed while
// it was read.
func (m *Maker) enter(path string, master *scan.Master, k *known) error {
	if err := master.Settled(); err != nil {
		return err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	m.index[path], m.bySum[k.sum], m.dirty = k, k, true
	return nil
}

// target is one size to be made, with the outputs of that size.
type target struct {
	width, height int
	outputs       []Output
}

// targets gathers the outputs that are not in the cache, widest first.
func (m *Maker) targets(k *known, outputs []Output) []target {
	var out []target
	seen := map[key]bool{}
	for _, o := range outputs {
		w, h := fit(k.info, o.Width)
		id := keyOf(k.sum, w, h, o)
		if f, ok := k.files[id]; ok && m.store.has(f) || seen[id] {
			continue
		}
		seen[id] = true
		i := slices.IndexFunc(out, func(t target) bool { return t.width == w })
		if i < 0 {
			out, i = append(out, target{width: w, height: h}), len(out)
		}
		out[i].outputs = append(out[i].outputs, o)
	}
	slices.SortFunc(out, func(a, b target) int { return b.width - a.width })
	return out
}

// likenessWidth is the width of the picture the hash is taken from.
const likenessWidth = 256

// work decodes the master once and makes every missing size from the next
// larger one.
func (m *Maker) work(ctx context.Context, master *scan.Master, k *known, outputs []Output) error {
	todo := m.targets(k, outputs)
	w, h := fit(k.info, likenessWidth)
	if len(todo) == 0 || todo[0].width < w {
		todo = slices.Insert(todo, 0, target{width: w, height: h})
	}
	weight := min(m.opt.Memory, master.Weight()+weigh(todo[0].width, todo[0].height, k.info))
	if err := m.memory.Acquire(ctx, weight); err != nil {
		return err
	}
	defer m.memory.Release(weight)
	red := newReducer(todo[0].width, todo[0].height, master.Orientation(), master.Profile())
	m.decoded.Add(1)
	if err := master.Decode(ctx, red); err != nil {
		return err
	}
	picture := red.result()
	k.tone = picture.tone()
	for _, t := range todo {
		if err := ctx.Err(); err != nil {
			return err
		}
		var err error
		if t.width != picture.width {
			if picture, err = picture.narrower(t.width, t.height); err != nil {
				return err
			}
		}
		if err := m.write(picture, k, t.outputs); err != nil {
			return err
		}
	}
	return m.liken(picture, k)
}

// weigh is the memory of the largest size: 16-bit planes, turned once, cut to
// 8 bits and coded.
func weigh(width, height int, info scan.Info) int64 {
	samples := int64(width) * int64(height)
	if info.Channels > 1 {
		samples += samples / 2
	}
	return 6 * samples
}

func (m *Maker) write(picture *working, k *known, outputs []Output) error {
	for _, o := range outputs {
		data, err := encode(picture, o)
		if err != nil {
			return err
		}
		f := made{
			key: keyOf(k.sum, picture.width, picture.height, o), width: picture.width, height: picture.height,
			bytes: int64(len(data)), sum: sha256.Sum256(data), grey: picture.grey(),
		}
		if err := m.store.put(f.key, data); err != nil {
			return fmt.Errorf("writing a picture to the cache: %w", err)
		}
		k.files[f.key] = f
	}
	return nil
}

// liken takes the perceptual hash from the luma at a fixed small width.
func (m *Maker) liken(picture *working, k *known) error {
	grey := &working{width: picture.width, height: picture.height, luma: picture.luma}
	if w, h := fit(k.info, likenessWidth); w < picture.width {
		var err error
		if grey, err = grey.narrower(w, h); err != nil {
			return err
		}
	}
	img := grey.eightBit(0)
	if _, ok := img.(*image.Gray); !ok {
		return errors.New("picture: a likeness is taken from grey")
	}
	hash, err := likeness.Of(img)
	k.hash = hash
	return err
}
