package seal

import (
	"crypto/hkdf"
	"crypto/sha256"
	"fmt"
)

const infoSite = "sandarac public names 1"

// SiteKey is the key from which the public site names its pages and pictures,
// so that no address can be worked out from a plate id. It is not the secret,
// and none of a gallery's keys follows from it.
func SiteKey(s Secret) ([]byte, error) {
	key, err := hkdf.Key(sha256.New, s.bytes[:], nil, infoSite, 32)
	if err != nil {
		return nil, fmt.Errorf("deriving the site's key: %w", err)
	}
	return key, nil
}
