package bench

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"sync"
	"time"

	"sandarac/archive/swap"
)

// codeLetters are those that nobody misreads.
const codeLetters = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"

// codeLength letters of 31 are 39 bits; wrong tries are counted.
const codeLength = 8

// Bounds of pairing.
const (
	triesAMinute = 6
	triesAtAll   = 60 // then no device is paired until the server starts again
	pairedFor    = 30 * 24 * time.Hour
	devicesMost  = 40
)

// Pairing lets devices of the network in that know the code on the terminal. A
// device that is in stays in for thirty days, also when the server is started
// again; only sums of its secret are kept.
type Pairing struct {
	Code string

	path string
	now  func() time.Time

	mu      sync.Mutex
	devices map[string]device // by sum of the secret
	recent  []time.Time       // of wrong tries
	wrong   int
}

type device struct {
	Name  string    `json:"name"`
	Since time.Time `json:"since"`
}

// Errors of pairing.
var (
	errWrongCode = errors.New("this is not the code on the terminal")
	errTooMany   = errors.New("too many wrong codes: wait a minute")
	errClosed    = errors.New("too many wrong codes: start the server again for a new one")
)

// NewPairing makes a fresh code and reads which devices were let in before. The
// file keeps their sums.
func NewPairing(path string, now func() time.Time) (*Pairing, error) {
	if now == nil {
		now = time.Now
	}
	p := &Pairing{path: path, now: now, devices: map[string]device{}}
	var err error
	if p.Code, err = newCode(); err != nil {
		return nil, err
	}
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return p, nil
	}
	if err != nil {
		return nil, err
	}
	if err := json.Unmarshal(data, &p.devices); err != nil {
		return nil, fmt.Errorf("%s cannot be read (%w): take it away, and pair the devices again", path, err)
	}
	return p, nil
}

// newCode draws letters without a bias.
func newCode() (string, error) {
	var out strings.Builder
	buf := make([]byte, 1)
	for out.Len() < codeLength {
		if _, err := rand.Read(buf); err != nil {
			return "", err
		}
		if n := int(buf[0]) & 31; n < len(codeLetters) {
			out.WriteByte(codeLetters[n])
		}
	}
	return out.String(), nil
}

// Shown is the code as it is shown: in two halves.
func (p *Pairing) Shown() string { return p.Code[:4] + "-" + p.Code[4:] }

// Pair lets a device in and gives its secret.
func (p *Pairing) Pair(code, name string) (secret string, err error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	now := p.now()
	for len(p.recent) > 0 && now.Sub(p.recent[0]) > time.Minute {
		p.recent = p.recent[1:]
	}
	switch {
	case p.wrong >= triesAtAll:
		return "", errClosed
	case len(p.recent) >= triesAMinute:
		return "", errTooMany
	}
	plain := strings.ToUpper(strings.Map(func(c rune) rune {
		if c == '-' || c == ' ' {
			return -1
		}
		return c
	}, code))
	if subtle.ConstantTimeCompare([]byte(plain), []byte(p.Code)) != 1 {
		p.recent = append(p.recent, now)
		p.wrong++
		return "", errWrongCode
	}
	raw := make([]byte, 32)
	if _, err := rand.Read(raw); err != nil {
		return "", err
	}
	secret = base64.RawURLEncoding.EncodeToString(raw)
	p.expire(now)
	p.devices[sumOf(secret)] = device{Name: name, Since: now.UTC().Truncate(time.Second)}
	return secret, p.save()
}

// Known reports whether a secret is that of a device that was let in.
func (p *Pairing) Known(secret string) bool {
	if len(secret) < 40 || len(secret) > 60 {
		return false
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	// The map is looked up by the sum, so the time it takes tells nothing of a secret.
	d, ok := p.devices[sumOf(secret)]
	return ok && p.now().Sub(d.Since) < pairedFor
}

// Forget puts all devices out.
func (p *Pairing) Forget() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.devices = map[string]device{}
	return p.save()
}

func (p *Pairing) expire(now time.Time) {
	for sum, d := range p.devices {
		if now.Sub(d.Since) >= pairedFor {
			delete(p.devices, sum)
		}
	}
	for len(p.devices) >= devicesMost {
		oldest := ""
		for sum, d := range p.devices {
			if oldest == "" || d.Since.Before(p.devices[oldest].Since) {
				oldest = sum
			}
		}
		delete(p.devices, oldest)
	}
}

func (p *Pairing) save() error {
	data, err := json.MarshalIndent(p.devices, "", "  ")
	if err != nil {
		return err
	}
	return swap.WriteFile(p.path, data, 0o600)
}

func sumOf(secret string) string {
	sum := sha256.Sum256([]byte(secret))
	return hex.EncodeToString(sum[:])
}
