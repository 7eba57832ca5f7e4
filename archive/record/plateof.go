package record

import "sandarac/archive/finding"

// PlateOf reads one plate's record from its bytes, as Read would in this
// archive, with what is wrong in it. Its scans stay names as they are written:
// they are not looked for. The error is that of a file that is no record of a
// plate.
func (a *Archive) PlateOf(rel string, data []byte) (*Plate, []finding.Finding, error) {
	b, err := splitBlock(data)
	if err != nil {
		return nil, nil, err
	}
	if firstKey(b.root) != "plate" {
		return nil, nil, errNoBlock
	}
	r := &reader{archive: a, zone: a.Studio.Zone}
	d, src := r.open(&parsed{rel: rel, block: b})
	p := decodePlate(d)
	d.leave()
	p.Source = *src
	return p, r.findings, nil
}
