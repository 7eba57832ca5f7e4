package jpeg

import (
	"sandarac/archive/scan/fault"
	"sandarac/archive/scan/limit"
)

const iccPrefix = "ICC_PROFILE\x00"

// pieces gathers an ICC profile spread over APP2 segments, each with its
// number from 1 and the count of all (ICC.1:2022 annex B.4).
type pieces struct {
	parts [256][]byte
	count int
	size  int
	got   int
}

func (p *pieces) add(b []byte) error {
	if len(b) < 2 {
		return fault.Damagedf("a piece of the colour profile without its number")
	}
	number, count := int(b[0]), int(b[1])
	if number < 1 || number > count || p.got > 0 && count != p.count || p.parts[number] != nil {
		return fault.Damagedf("piece %d of %d of the colour profile does not fit the others", number, count)
	}
	if p.size += len(b) - 2; p.size > limit.Profile {
		return &fault.Fault{Kind: fault.TooLarge, Found: "the embedded colour profile is over 4 MiB", Mend: "embed a matrix profile such as sRGB or Adobe RGB"}
	}
	p.count = count
	p.parts[number] = b[2:]
	p.got++
	return nil
}

func (p *pieces) join() ([]byte, error) {
	if p.got != p.count {
		return nil, fault.Damagedf("%d of %d pieces of the colour profile are there", p.got, p.count)
	}
	var out []byte
	for _, part := range p.parts[:p.count+1] {
		out = append(out, part...)
	}
	return out, nil
}
