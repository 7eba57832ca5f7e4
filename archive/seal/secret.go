package seal

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
)

// SecretSize is the length of an archive's secret in bytes.
const SecretSize = 32

// Secret is the archive's secret, from which names and keys of all galleries
// come. It prints as a placeholder, so that no log or error can hold it.
type Secret struct{ bytes [SecretSize]byte }

// String hides the secret.
func (Secret) String() string { return "(archive secret, not shown)" }

// GoString hides the secret.
func (Secret) GoString() string { return "seal.Secret{…}" }

// Format hides the secret under every verb, %x and %d included.
func (s Secret) Format(f fmt.State, _ rune) { _, _ = f.Write([]byte(s.String())) }

// SecretFrom makes a secret of 32 bytes. All equal bytes are refused: a file of
// zeros is what a crash or an empty image leaves behind.
func SecretFrom(b []byte) (Secret, error) {
	var s Secret
	if len(b) != SecretSize {
		return s, fmt.Errorf("archive secret has %d bytes, it must have %d", len(b), SecretSize)
	}
	same := true
	for _, c := range b[1:] {
		same = same && c == b[0]
	}
	if same {
		return s, errors.New("archive secret is one byte repeated, which is no secret")
	}
	copy(s.bytes[:], b)
	return s, nil
}

// ReadSecret reads the secret from the file at path. A missing file gives an
// error that is fs.ErrNotExist.
func ReadSecret(path string) (Secret, error) {
	info, err := os.Stat(path)
	if err != nil {
		return Secret{}, fmt.Errorf("reading the archive secret: %w", err)
	}
	if !info.Mode().IsRegular() || info.Size() != SecretSize {
		return Secret{}, fmt.Errorf("reading the archive secret: %s is not a file of %d bytes; "+
			"put it back from a backup, or delete it if no gallery link was ever sent (every link changes then)", path, SecretSize)
	}
	b, err := os.ReadFile(path)
	if err != nil {
		return Secret{}, fmt.Errorf("reading the archive secret: %w", err)
	}
	s, err := SecretFrom(b)
	if err != nil {
		return Secret{}, fmt.Errorf("%s: %w", path, err)
	}
	return s, nil
}

// EnsureSecret reads the secret at path, making a new one with mode 0600 if
// there is no file, and its folder if that is missing. An existing file is never replaced:
// links already sent depend on it.
func EnsureSecret(path string) (Secret, error) {
	s, err := ReadSecret(path)
	if !errors.Is(err, fs.ErrNotExist) {
		return s, err
	}
	if err := createSecret(path); err != nil && !errors.Is(err, fs.ErrExist) {
		return Secret{}, fmt.Errorf("making the archive secret: %w", err)
	}
	return ReadSecret(path)
}

// createSecret writes a whole new file and then gives it its name, so that a
// crash leaves either no secret or a good one.
func createSecret(path string) (err error) {
	var b [SecretSize]byte
	if _, err := rand.Read(b[:]); err != nil {
		return err
	}
	if err := os.Mkdir(filepath.Dir(path), 0o755); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	tmp, err := os.CreateTemp(filepath.Dir(path), ".secret-*") // mode 0600
	if err != nil {
		return err
	}
	defer func() {
		if removed := os.Remove(tmp.Name()); err == nil && !errors.Is(removed, fs.ErrNotExist) {
			err = removed
		}
	}()
	_, err = tmp.Write(b[:])
	if err := errors.Join(err, tmp.Sync(), tmp.Close()); err != nil {
		return err
	}
	// A hard link never replaces a file that another process made meanwhile.
	err = os.Link(tmp.Name(), path)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	if _, err := os.Lstat(path); err == nil {
		return fs.ErrExist
	}
	return os.Rename(tmp.Name(), path) // file systems without hard links
}

// SecretExposed reports whether others than the owner may read or write the
// file at path. It is always false on Windows, whose modes do not tell.
func SecretExposed(path string) (bool, error) {
	info, err := os.Stat(path)
	if err != nil {
		return false, fmt.Errorf("looking at the archive secret: %w", err)
	}
	return runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0, nil
}
