package picture

import "sandarac/archive/scan/icc"

// mixer brings three planes of full size, RGB or YCbCr, to sRGB luma and
// halved chroma. Planes may arrive one a few rows ahead of another.
type mixer struct {
	out          *working
	ycc          bool
	convert      *icc.Converter
	waiting      [3][][]uint16 // rows not yet used, oldest first
	spare        [][]uint16
	y            int
	phaseX       int // 1: the first chroma column covers one pixel only
	phaseY       int
	sumCb, sumCr []uint32
	weight       []uint32
}

func newMixer(out *working, ycc bool, profile *icc.Profile, mirrorX, mirrorY bool) *mixer {
	m := &mixer{out: out, ycc: ycc}
	if profile != nil {
		m.convert = profile.Converter()
	}
	if mirrorX {
		m.phaseX = out.width % 2
	}
	if mirrorY {
		m.phaseY = out.height % 2
	}
	n := (out.width + 1) / 2
	m.sumCb, m.sumCr, m.weight = make([]uint32, n), make([]uint32, n), make([]uint32, n)
	return m
}

// add takes the next row of one plane and works off what is complete.
func (m *mixer) add(plane int, row []uint16) {
	var keep []uint16
	if n := len(m.spare); n > 0 {
		keep, m.spare = m.spare[n-1], m.spare[:n-1]
	} else {
		keep = make([]uint16, len(row))
	}
	copy(keep, row)
	m.waiting[plane] = append(m.waiting[plane], keep)
	for len(m.waiting[0]) > 0 && len(m.waiting[1]) > 0 && len(m.waiting[2]) > 0 {
		m.mix(m.waiting[0][0], m.waiting[1][0], m.waiting[2][0])
		for p := range m.waiting {
			m.spare = append(m.spare, m.waiting[p][0])
			m.waiting[p] = m.waiting[p][1:]
		}
	}
}

func (m *mixer) mix(a, b, c []uint16) {
	if m.ycc {
		toRGB(a, b, c)
	}
	if m.convert != nil {
		m.convert.Row(a, b, c)
	}
	luma := m.out.luma.row(m.y)
	for x := range luma {
		y, cb, cr := toYCC(int32(a[x]), int32(b[x]), int32(c[x]))
		luma[x] = y
		i := (x + m.phaseX) / 2
		m.sumCb[i] += uint32(cb)
		m.sumCr[i] += uint32(cr)
		m.weight[i]++
	}
	m.y++
	if (m.y+m.phaseY)%2 == 0 || m.y == m.out.height {
		m.flush((m.y + m.phaseY - 1) / 2)
	}
}

// flush writes the means of up to four pixels as one chroma row.
func (m *mixer) flush(row int) {
	cb, cr := m.out.chroma[0].row(row), m.out.chroma[1].row(row)
	for i, n := range m.weight {
		cb[i] = uint16((m.sumCb[i] + n/2) / n)
		cr[i] = uint16((m.sumCr[i] + n/2) / n)
	}
	clear(m.sumCb)
	clear(m.sumCr)
	clear(m.weight)
}

// The coefficients of JFIF 1.02 (ITU-R BT.601), times 2^16.
const (
	kR, kG, kB    = 19595, 38470, 7471 // sum 65536
	cbB, crR      = 36984, 46745       // 0.5/(1−0.114), 0.5/(1−0.299)
	rCr, bCb      = 91881, 116130      // 1.402, 1.772
	gCb, gCr      = 22553, 46802       // 0.344136, 0.714136
	halfFixed     = 1 << 15
	fixedFraction = 16
)

// toYCC is RGB to YCbCr, 16 bits.
func toYCC(r, g, b int32) (y, cb, cr uint16) {
	luma := int32((int64(kR)*int64(r) + int64(kG)*int64(g) + int64(kB)*int64(b) + halfFixed) >> fixedFraction)
	return uint16(luma),
		clip16(neutral + int32((int64(b-luma)*cbB+halfFixed)>>fixedFraction)),
		clip16(neutral + int32((int64(r-luma)*crR+halfFixed)>>fixedFraction))
}

// toRGB is YCbCr to RGB in place, 16 bits.
func toRGB(y, cb, cr []uint16) {
	for x := range y {
		luma, u, v := int64(y[x]), int64(cb[x])-neutral, int64(cr[x])-neutral
		y[x] = clip16(int32(luma + (rCr*v+halfFixed)>>fixedFraction))
		cb[x] = clip16(int32(luma - (gCb*u+gCr*v+halfFixed)>>fixedFraction))
		cr[x] = clip16(int32(luma + (bCb*u+halfFixed)>>fixedFraction))
	}
}

func clip16(v int32) uint16 {
	if uint32(v) > 65535 {
		if v < 0 {
			return 0
		}
		return 65535
	}
	return uint16(v)
}
