package check

import (
	"fmt"

	"sandarac/archive/exposure"
	"sandarac/archive/finding"
	"sandarac/archive/record"
)

// The range of exposure indices in which wet collodion is believed (common
// practice reports 0.2 to 2; turn-of-century speed scales give the same order).
const (
	leastEI = 0.05
	mostEI  = 5.0
)

// trade compares a plate's numbers with what the process can do. It warns and
// never refuses: the photographer was there.
func (c *checker) trade(p *record.Plate) {
	if p.Format.WidthMM == 0 && !p.Has("format") && !p.Has("size_mm") {
		c.plate(p, finding.Remark, "format-missing", "plate", "the record gives no plate size", "add format: such as half, or size_mm: [width, height]")
	}
	if p.Support == "" && !p.Has("support") {
		c.plate(p, finding.Remark, "support-missing", "plate", "the record does not say what the plate is made of, so care lines are general", "add support: tin, aluminium, glass or glass-negative")
	}
	if p.Light.EV100 != nil && p.Light.Lux != nil {
		fromLux, err := exposure.EV100FromLux(*p.Light.Lux, c.archive.Studio.MeterConstant)
		if d := fromLux - *p.Light.EV100; err == nil && (d > 1 || d < -1) {
			c.plate(p, finding.Warning, "light-disagrees", "light.lux", fmt.Sprintf("%g lux is EV %.1f, and ev100 says %g", *p.Light.Lux, fromLux, *p.Light.EV100), "keep the one that was measured")
		}
	}
	ei, ok := c.ei(p)
	if ok && (ei < leastEI || ei > mostEI) {
		c.plate(p, finding.Warning, "ei-implausible", "exposure", fmt.Sprintf("the exposure works out at EI %.3g, outside the %g to %g that wet collodion is known for", ei, leastEI, mostEI), "look at seconds, stop and the light reading: a slipped decimal point is the usual cause")
	}
}

// ei is the effective exposure index of a plate that has what it takes.
func (c *checker) ei(p *record.Plate) (float64, bool) {
	ev, ok := c.ev100(p)
	if !ok {
		return 0, false
	}
	m := 0.0
	if p.Exposure.Magnification != nil {
		m = *p.Exposure.Magnification
	} else if lens, ok := c.archive.Studio.LensByID(p.Lens); ok && p.Exposure.ExtensionMM != nil && lens.FocalMM > 0 {
		m = max(0, *p.Exposure.ExtensionMM/lens.FocalMM-1)
	}
	s := exposure.Setting{Seconds: p.Exposure.Seconds, Stop: p.Exposure.Stop, Magnification: m, EV100: ev}
	ei, err := s.EI()
	return ei, err == nil
}

// ev100 is the incident reading, from a meter in EV or in lux.
func (c *checker) ev100(p *record.Plate) (float64, bool) {
	if p.Light.EV100 != nil {
		return *p.Light.EV100, true
	}
	if p.Light.Lux == nil {
		return 0, false
	}
	ev, err := exposure.EV100FromLux(*p.Light.Lux, c.archive.Studio.MeterConstant)
	return ev, err == nil
}
