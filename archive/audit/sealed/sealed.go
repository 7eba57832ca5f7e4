// Package sealed says whether a file of a gallery can be what it should be: one
// RFC 8188 message of random-looking bytes, its length hidden. It has no key and
// opens nothing. In go bytes, out comes what is wrong. It imports none of ours.
package sealed

import (
	"encoding/binary"
	"fmt"
	"io"
)

// What the files of a gallery have in common (RFC 8188, section 2.1): records of
// 64 KiB, no key id, content and padding together a multiple of 16 KiB.
const (
	recordSize = 65536
	headerSize = 16 + 4 + 1
	overhead   = 1 + 16 // the delimiter and the tag of a record
	padStep    = 16 << 10
)

// block is how many bytes are judged together.
const block = 16 << 10

// limit is the chi-square of the 256 byte values, over a block, above which it is
// not random. With 255 degrees of freedom random bytes pass it with a probability
// of about 6e-18 (Wilson and Hilferty 1931).
const limit = 500

// longestText is the least number of printable ASCII characters in a row that is
// taken for text: (95/256)^48 is 2e-21.
const longestText = 48

// Check reads a file of the given size and gives the first thing that is wrong
// with it, or "". Each piece it reads goes to see as well, if that is not nil.
func Check(r io.Reader, size int64, see func(piece []byte)) (wrong string, err error) {
	if wrong := checkLength(size); wrong != "" {
		return wrong, nil
	}
	head := make([]byte, headerSize)
	if _, err := io.ReadFull(r, head); err != nil {
		return "", err
	}
	if rs := binary.BigEndian.Uint32(head[16:]); rs != recordSize {
		return fmt.Sprintf("its record size is %d, not %d: it is not a sealed file", rs, recordSize), nil
	}
	if head[20] != 0 {
		return "it names a key", nil
	}
	// The last block is filled up with the end of the one before, so that a
	// short one is judged as surely.
	buf := make([]byte, 0, 2*block)
	text := 0
	for left := size - headerSize; left > 0; {
		n := int(min(left, block))
		if len(buf) > block {
			buf = append(buf[:0], buf[len(buf)-block:]...)
		}
		from := len(buf)
		buf = buf[:from+n]
		if _, err := io.ReadFull(r, buf[from:]); err != nil {
			return "", err
		}
		left -= int64(n)
		if see != nil {
			see(buf)
		}
		if x := chiSquare(buf[max(0, len(buf)-block):]); x > limit {
			return fmt.Sprintf("its bytes are not random (chi-square %.0f): part of it is not encrypted", x), nil
		}
		for _, b := range buf[from:] {
			if b < 0x20 || b > 0x7e {
				text = 0
			} else if text++; text == longestText {
				return "it holds plain text", nil
			}
		}
	}
	return "", nil
}

// checkLength says whether a message of padded content can be this long.
func checkLength(size int64) string {
	body := size - headerSize
	records := (body + recordSize - 1) / recordSize
	padded := body - records*overhead
	const room = recordSize - overhead
	if body <= 0 || padded <= 0 || padded%padStep != 0 || (padded+room-1)/room != records {
		return fmt.Sprintf("its length, %d bytes, is not that of a sealed file with hidden length", size)
	}
	return ""
}

// chiSquare measures how far the counts of byte values are from equal.
func chiSquare(data []byte) float64 {
	var counts [256]int
	for _, b := range data {
		counts[b]++
	}
	expected := float64(len(data)) / 256
	sum := 0.0
	for _, n := range counts {
		d := float64(n) - expected
		sum += d * d / expected
	}
	return sum
}
