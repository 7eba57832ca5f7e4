package tiff

import (
	"fmt"

	"sandarac/archive/scan/fault"
)

// bandLimit is the most memory one row of tiles may take.
const bandLimit = 256 << 20

// pixelBytes is the size of one pixel, with extra samples.
func (h *Header) pixelBytes() int64 { return int64(h.samples) * int64(h.Bits/8) }

// cut reads how the picture is divided and where the parts are.
func (h *Header) cut() (err error) {
	d, g := h.dir, &h.grid
	offsets, counts := uint16(tagStripOffsets), uint16(tagStripCounts)
	if _, g.tiled = d.entries[tagTileOffsets]; g.tiled {
		offsets, counts = tagTileOffsets, tagTileCounts
		w, t := d.number(tagTileWidth, 0), d.number(tagTileHeight, 0)
		if w < 1 || t < 1 || w > 1<<16 || t > 1<<16 {
			return fault.Damagedf("tiles of %d × %d pixels", w, t)
		}
		g.width, g.height = int(w), int(t)
		g.across, g.down = (h.Width+g.width-1)/g.width, (h.Height+g.height-1)/g.height
		if band := int64(g.across*g.width) * int64(g.height) * h.pixelBytes(); band > bandLimit {
			return &fault.Fault{Kind: fault.TooLarge, Found: fmt.Sprintf("tiles of %d × %d pixels", g.width, g.height), Accepted: "tiles of ordinary size, such as 256 × 256", Mend: mend}
		}
	} else {
		rows := min(max(d.number(tagRowsPerStrip, 1<<31), 1), uint32(h.Height))
		g.width, g.height = h.Width, int(rows)
		g.across, g.down = 1, (h.Height+g.height-1)/g.height
	}
	if g.offsets, err = d.numbers(offsets, nil); err != nil {
		return err
	}
	if g.counts, err = d.numbers(counts, nil); err != nil {
		return err
	}
	n := g.across * g.down
	if len(g.counts) == 0 && n == 1 && len(g.offsets) == 1 && h.compression == plain {
		g.counts = []uint32{uint32(max(0, min(h.file-int64(g.offsets[0]), 1<<32-1)))}
	}
	if len(g.offsets) < n || len(g.counts) < n {
		return fault.Damagedf("%d offsets and %d lengths for %d strips or tiles", len(g.offsets), len(g.counts), n)
	}
	for i := range n {
		if int64(g.offsets[i])+int64(g.counts[i]) > h.file {
			return fault.Damagedf("strip or tile %d lies beyond the end of the file", i+1)
		}
	}
	return nil
}

// partRows is the number of rows of strip row or tile row i. Tiles are always
// whole; the last strip may be short.
func (h *Header) partRows(i int) int {
	if h.grid.tiled {
		return h.grid.height
	}
	return min(h.grid.height, h.Height-i*h.grid.height)
}

// plausible refuses parts too small to hold what they must, before anything is
// allocated, and sets the weight.
func (h *Header) plausible() error {
	g := &h.grid
	// The most each scheme can pack: deflate 1,032 (258 bytes in 2 bits), LZW
	// below 1,400 (a table of 4,093 growing strings), PackBits 64.
	ratio := map[uint32]int64{plain: 1, lzwCode: 1400, deflate: 1032, oldDeflate: 1032, packBits: 64}[h.compression]
	for i := range g.across * g.down {
		need := int64(g.width) * int64(h.partRows(i/g.across)) * h.pixelBytes()
		if int64(g.counts[i])*ratio < need {
			return fault.Damagedf("strip or tile %d has %d bytes and should hold %d", i+1, g.counts[i], need)
		}
	}
	lanes, buffers, size := h.layout()
	h.Weight = 16*h.rowBytes() + int64(lanes)*(int64(buffers)*size+1<<20)
	return nil
}
