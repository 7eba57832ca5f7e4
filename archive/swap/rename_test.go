package swap

import (
	"errors"
	"io/fs"
	"testing"
)

func TestPatiently(t *testing.T) {
	open := errors.New("open elsewhere")
	isOpen := func(err error) bool { return errors.Is(err, open) }
	for name, c := range map[string]struct {
		fails []error
		want  error
		tries int
	}{
		"at once":          {nil, nil, 1},
		"open for a while": {[]error{open, open, open}, nil, 4},
		"another reason":   {[]error{open, fs.ErrNotExist, nil}, fs.ErrNotExist, 2},
		"open for ever":    {[]error{open, open, open, open, open, open, open, open, open, open, open, open}, open, 9},
	} {
		tries := 0
		err := patiently(func() error {
			if tries++; tries <= len(c.fails) {
				return c.fails[tries-1]
			}
			return nil
		}, isOpen, 0)
		if !errors.Is(err, c.want) || tries != c.tries {
			t.Errorf("%s: %v after %d tries, want %v after %d", name, err, tries, c.want, c.tries)
		}
	}
}
