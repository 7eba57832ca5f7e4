package picture

// plane is a rectangle of 16-bit samples without gaps between rows.
type plane struct {
	width, height int
	pix           []uint16
}

func newPlane(width, height int) plane {
	return plane{width, height, make([]uint16, width*height)}
}

func (p plane) row(y int) []uint16 { return p.pix[y*p.width : (y+1)*p.width] }

// working is a picture between its reductions: upright or not, sRGB, luma at
// full size and chroma at half of it in both directions, full range, BT.601,
// as JFIF has it. 8-bit v is 257·v here. A grey picture has no chroma.
type working struct {
	width, height int
	luma          plane
	chroma        []plane // Cb, Cr or none
}

// neutral is the chroma of grey.
const neutral = 128 * 257

func newWorking(width, height int, grey bool) *working {
	w := &working{width: width, height: height, luma: newPlane(width, height)}
	if !grey {
		w.chroma = []plane{newPlane((width+1)/2, (height+1)/2), newPlane((width+1)/2, (height+1)/2)}
	}
	return w
}

func (w *working) grey() bool { return len(w.chroma) == 0 }

// dropNeutral makes a picture grey whose chroma never leaves neutral by as
// much as half an 8-bit step.
func (w *working) dropNeutral() {
	for _, p := range w.chroma {
		for _, v := range p.pix {
			if v < neutral-128 || v > neutral+128 {
				return
			}
		}
	}
	w.chroma = nil
}

// tone is the mean luma, 0 to 1.
func (w *working) tone() float64 {
	var sum uint64
	for _, v := range w.luma.pix {
		sum += uint64(v)
	}
	return float64(sum) / float64(len(w.luma.pix)) / 65535
}

// narrower makes the picture at a smaller width.
func (w *working) narrower(width, height int) (*working, error) {
	out := newWorking(width, height, w.grey())
	scaleX, scaleY := float64(w.width)/float64(width), float64(w.height)/float64(height)
	if err := reduce(w.luma, out.luma, scaleX, scaleY); err != nil {
		return nil, err
	}
	for i := range w.chroma { // both chroma grids start at the picture's corner
		if err := reduce(w.chroma[i], out.chroma[i], scaleX, scaleY); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func reduce(from, to plane, scaleX, scaleY float64) error {
	r := newResampler(16, 1,
		geometry{in: from.width, out: to.width, scale: scaleX},
		geometry{in: from.height, out: to.height, scale: scaleY},
		func(_, y int, row []uint16) error { copy(to.row(y), row); return nil })
	for y := range from.height {
		if err := r.row16(from.row(y)); err != nil {
			return err
		}
	}
	return nil
}

// upright turns a picture by its EXIF orientation 1–8.
func (w *working) upright(orientation int) *working {
	if orientation <= 1 {
		return w
	}
	out := &working{luma: w.luma.turned(orientation)}
	out.width, out.height = out.luma.width, out.luma.height
	for _, p := range w.chroma {
		out.chroma = append(out.chroma, p.turned(orientation))
	}
	return out
}

// mirrored says whether an orientation reverses the stored columns and rows.
func mirrored(orientation int) (columns, rows bool) {
	switch orientation {
	case 2, 3, 7, 8:
		columns = true
	}
	switch orientation {
	case 3, 4, 6, 7:
		rows = true
	}
	return columns, rows
}

// turned applies an EXIF orientation to one plane.
func (p plane) turned(orientation int) plane {
	columns, rows := mirrored(orientation)
	if orientation < 5 {
		out := newPlane(p.width, p.height)
		for y := range p.height {
			from := y
			if rows {
				from = p.height - 1 - y
			}
			src, dst := p.row(from), out.row(y)
			copy(dst, src)
			if columns {
				for x := range dst {
					dst[x] = src[p.width-1-x]
				}
			}
		}
		return out
	}
	out := newPlane(p.height, p.width)
	const tile = 32 // columns and rows are exchanged in tiles that fit the cache
	for ty := 0; ty < p.height; ty += tile {
		for tx := 0; tx < p.width; tx += tile {
			for y := ty; y < min(ty+tile, p.height); y++ {
				to := y
				if rows {
					to = p.height - 1 - y
				}
				src := p.row(y)
				for x := tx; x < min(tx+tile, p.width); x++ {
					line := x
					if columns {
						line = p.width - 1 - x
					}
					out.pix[line*out.width+to] = src[x]
				}
			}
		}
	}
	return out
}
