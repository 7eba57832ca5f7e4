package picture

import (
	"context"
	"crypto/sha256"
	"fmt"
	"maps"

	"sandarac/archive/picture/avif"
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
	id, err := master.Identity(limited)
	if err != nil {
		return Set{}, err
	}
	k := m.remember(path, master, id)
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
func (m *Maker) remember(path string, master *scan.Master, id [32]byte) *known {
	size, changed := master.Stamp()
	k := &known{size: size, mtime: changed.UnixNano(), id: id, info: master.Info(), files: map[key]made{}}
	m.mu.Lock()
	defer m.mu.Unlock()
	if old := m.byID[id]; old != nil {
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
	m.index[path], m.byID[k.id], m.dirty = k, k, true
	return nil
}

// likenessWidth is the width of the picture that tone and hash are taken from.
const likenessWidth = 256

// work decodes the master once and makes every missing size.
func (m *Maker) work(ctx context.Context, master *scan.Master, k *known, outputs []Output) error {
	l := newLadder(k.info)
	l.want(likenessWidth)
	seen := map[key]bool{}
	coding := int64(0)
	for _, o := range outputs {
		w, h := fit(k.info, o.Width)
		id := keyOf(k.id, w, h, o)
		if f, ok := k.files[id]; ok && m.store.has(f) || seen[id] {
			continue
		}
		seen[id] = true
		l.want(w)
		l.outputs[w] = append(l.outputs[w], o)
		if o.AVIF {
			coding = max(coding, avif.Weight(w, h))
		}
	}
	weight := min(m.opt.Memory, master.Weight()+l.weight()+coding)
	if err := m.memory.Acquire(ctx, weight); err != nil {
		return err
	}
	defer m.memory.Release(weight)
	m.decoded.Add(1)
	if err := l.decode(ctx, master); err != nil {
		return err
	}
	return l.walk(ctx, func(picture *working) error {
		if w, _ := fit(k.info, likenessWidth); w == picture.width {
			if err := liken(picture, k); err != nil {
				return err
			}
		}
		return m.write(picture, k, l.outputs[picture.width])
	})
}

func (m *Maker) write(picture *working, k *known, outputs []Output) error {
	for _, o := range outputs {
		data, err := encode(picture, o)
		if err != nil {
			return err
		}
		f := made{
			key: keyOf(k.id, picture.width, picture.height, o), width: picture.width, height: picture.height,
			bytes: int64(len(data)), sum: sha256.Sum256(data), grey: picture.grey(), avif: o.AVIF,
		}
		if err := m.store.put(f, data); err != nil {
			return fmt.Errorf("writing a picture to the cache: %w", err)
		}
		k.files[f.key] = f
	}
	return nil
}

// liken takes the tone and the perceptual hash, the latter from luma alone.
func liken(picture *working, k *known) (err error) {
	k.tone = picture.tone()
	k.hash, err = likeness.Of(picture.eightBitGrey(0))
	return err
}
