package publish

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"strings"
	"syscall"
	"time"

	"gocloud.dev/gcerrors"
)

// pause is the wait before the second try; it doubles from try to try, up to a
// limit, and is varied so that many senders do not come back together.
var pause = 300 * time.Millisecond

const longestPause = 20 * time.Second

// leastWait is how long a host may take for anything, so that one that never
// answers does not hold the run for ever; slowest is the pace, in bytes a second,
// at which it may take a file on top of that.
var leastWait = time.Minute

const slowest = 8 << 10

// listWait is for the list of everything at the place, which takes many calls.
func listWait() time.Duration { return 10 * leastWait }

func sendWait(size int64) time.Duration {
	return leastWait + time.Duration(size/slowest)*time.Second
}

// again does something until it works, or until trying is of no use. A try that
// takes longer than most has failed.
func (r *run) again(ctx context.Context, doing string, most time.Duration, do func(context.Context) error) error {
	wait := pause
	for try := 1; ; try++ {
		err := within(ctx, most, do)
		if err == nil {
			return nil
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if hopeless(err) || try == r.opt.Tries {
			return fmt.Errorf("%s (try %d): %w", doing, try, brief{err})
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

func within(ctx context.Context, most time.Duration, do func(context.Context) error) error {
	ctx, stop := context.WithTimeout(ctx, most)
	defer stop()
	return do(ctx)
}

// brief is an error of a host in one line; some send a whole page.
type brief struct{ error }

func (b brief) Error() string {
	if withoutKeys(b.error) {
		return "there are no keys for this host; set them in the environment as its own tools take them, for S3 AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY (" + oneLine(b.error) + ")"
	}
	switch gcerrors.Code(b.error) {
	case gcerrors.NotFound:
		return "the host does not know it; look at the name of the bucket or container (" + oneLine(b.error) + ")"
	case gcerrors.PermissionDenied:
		return "the host refuses it; look at the keys in the environment and at what they allow (" + oneLine(b.error) + ")"
	}
	return oneLine(b.error)
}

func (b brief) Unwrap() error { return b.error }

// oneLine leaves out rules and markup, and what is too long for a line.
func oneLine(err error) string {
	var kept []string
	for line := range strings.Lines(err.Error()) {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "---") || strings.HasPrefix(line, "<") {
			if len(kept) > 2 {
				break
			}
			continue
		}
		kept = append(kept, line)
	}
	text := strings.Join(kept, "; ")
	const most = 400
	if len(text) > most {
		text = strings.ToValidUTF8(text[:most], "") + "…"
	}
	return text
}

// withoutKeys is told by the text alone: the AWS library has no error of its own
// for a chain of places none of which had keys.
func withoutKeys(err error) bool { return strings.Contains(err.Error(), "get credentials: ") }

// hopeless are errors that another try does not mend.
func hopeless(err error) bool {
	if withoutKeys(err) {
		return true
	}
	switch gcerrors.Code(err) {
	case gcerrors.PermissionDenied, gcerrors.InvalidArgument, gcerrors.Unimplemented, gcerrors.NotFound:
		return true
	}
	for _, end := range []error{fs.ErrPermission, fs.ErrNotExist, syscall.ENOSPC, syscall.EROFS} {
		if errors.Is(err, end) {
			return true
		}
	}
	return false
}
