package stats

import "errors"

// Kinds of refusal, met with errors.Is.
var (
	// ErrNoData: there is nothing to compute from.
	ErrNoData = errors.New("no data")
	// ErrTooFew: there are observations, but fewer than the method needs.
	ErrTooFew = errors.New("too few observations")
	// ErrArgument: an argument is out of its range, or lengths differ.
	ErrArgument = errors.New("argument out of range")
	// ErrNoVariation: all values are alike where they must differ.
	ErrNoVariation = errors.New("no variation")
	// ErrGradeMissing: a grade of the response never occurs, so its
	// threshold has no finite estimate.
	ErrGradeMissing = errors.New("a grade never occurs")
	// ErrSeparated: the predictors separate the outcomes, so the likelihood
	// rises without end and no finite maximum exists.
	ErrSeparated = errors.New("complete or quasi-complete separation")
	// ErrCollinear: the columns of the design say the same thing twice.
	ErrCollinear = errors.New("columns are collinear")
	// ErrNotConverged: the search stopped before it found a maximum.
	ErrNotConverged = errors.New("no maximum found")
	// ErrUnbounded: an interval has no finite end on one side.
	ErrUnbounded = errors.New("the interval is unbounded")
)
