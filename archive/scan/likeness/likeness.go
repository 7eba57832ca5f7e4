// Package likeness says how alike two pictures look, whatever their size and
// compression, by a 64-bit perceptual hash. Who makes a derivative and who
// audits a finished site use the same one. It is the only package that imports
// github.com/corona10/goimagehash.
package likeness

import (
	"image"
	"math/bits"

	"github.com/corona10/goimagehash"

	"sandarac/archive/scan/fault"
)

// Same is the largest distance at which two hashes are taken to be of one
// picture: 10 of 64 bits, the value commonly used with this kind of hash.
const Same = 10

// Of is the DCT hash of a picture (64 low frequencies of a 64 × 64 reduction,
// each above or below their median). The picture must hold at least one pixel
// and must not be paletted.
func Of(img image.Image) (hash uint64, err error) {
	defer fault.Recover("goimagehash", &err)
	h, err := goimagehash.PerceptionHash(img)
	if err != nil {
		return 0, err
	}
	return h.GetHash(), nil
}

// Distance is the number of bits in which two hashes differ, 0 to 64.
func Distance(a, b uint64) int { return bits.OnesCount64(a ^ b) }
