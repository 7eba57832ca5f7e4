package publish

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"time"

	"gocloud.dev/gcerrors"
)

// pause is the wait before the second try; it doubles from try to try, up to a
// limit, and is varied so that many senders do not come back together.
var pause = 300 * time.Millisecond

const longestPause = 20 * time.Second

// again does something until it works, or until trying is of no use.
func (r *run) again(ctx context.Context, doing string, do func(context.Context) error) error {
	wait := pause
	for try := 1; ; try++ {
		err := do(ctx)
		if err == nil {
			return nil
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if hopeless(err) || try == r.opt.Tries {
			return fmt.Errorf("%s (try %d): %w", doing, try, err)
		}
		timer := time.NewTimer(wait/2 + rand.N(wait/2+1))
		select {
		case <-ctx.Done():
			timer.Stop()
			return ctx.Err()
		case <-timer.C:
		}
		wait = min(2*wait, longestPause)
	}
}

// hopeless are errors that another try does not mend.
func hopeless(err error) bool {
	switch gcerrors.Code(err) {
	case gcerrors.PermissionDenied, gcerrors.InvalidArgument, gcerrors.Unimplemented, gcerrors.NotFound:
		return true
	}
	return errors.Is(err, fs.ErrPermission) || errors.Is(err, fs.ErrNotExist)
}
