package seal

import (
	"fmt"
	"math/bits"
)

// Layout says how many bytes a message carries and how many it seems to carry.
type Layout struct {
	Length int64 // bytes of content
	Padded int64 // content and padding together, at least Length
}

// padStep is the step, in bytes, to which the length of a sealed file is hidden.
const padStep = 16 << 10

// Hidden gives the layout of a sealed file: its length rounded up to a
// multiple of 16 KiB, one step for an empty file.
func Hidden(length int64) Layout {
	steps := max((length+padStep-1)/padStep, 1)
	return Layout{Length: length, Padded: steps * padStep}
}

func (l Layout) check() error {
	if l.Length < 0 || l.Padded < l.Length {
		return fmt.Errorf("sealing: %d bytes cannot be laid out in %d", l.Length, l.Padded)
	}
	return nil
}

// SealedLength is the length in bytes of the whole message.
func (l Layout) SealedLength(recordSize, keyIDLength int) int64 {
	return fixedSize + int64(keyIDLength) + l.Padded + l.records(recordSize)*overhead
}

// records is the number of records, at least one.
func (l Layout) records(recordSize int) int64 {
	room := int64(recordSize - overhead)
	return max((l.Padded+room-1)/room, 1)
}

// record gives content and padding in bytes of record i. Content is laid in
// proportion to the room, so that padding is spread over all records (RFC 8188,
// section 4.8) and the time to open a record tells nothing of the length.
// With 15 bytes in 16 and a record size of 25 this is the example of section 3.2.
func (l Layout) record(i int64, recordSize int) (content, padding int) {
	room := int64(recordSize - overhead)
	from, to := i*room, min((i+1)*room, l.Padded)
	n := l.until(to) - l.until(from)
	return int(n), int(to - from - n)
}

// until is the content laid in the first p bytes of content and padding:
// Length·p/Padded in whole numbers, the product taken in 128 bits.
func (l Layout) until(p int64) int64 {
	if l.Padded == 0 {
		return 0
	}
	high, low := bits.Mul64(uint64(l.Length), uint64(p))
	n, _ := bits.Div64(high, low, uint64(l.Padded)) // at most p, as Length ≤ Padded
	return int64(n)
}
