package archive

import (
	"context"

	"sandarac/archive/consent"
	"sandarac/archive/gallery"
	"sandarac/archive/record"
	"sandarac/archive/seal"
)

// Galleries gives each client's link and its state. It reads records only, and
// makes the archive's secret if there is none yet.
func Galleries(ctx context.Context, opt LookOptions) ([]gallery.Link, error) {
	looked, err := Look(ctx, opt)
	if err != nil {
		return nil, err
	}
	a := looked.Archive
	if a.Studio.Broken {
		return nil, &StudioError{a}
	}
	secret, err := seal.EnsureSecret(secretPath(opt.Root))
	if err != nil {
		return nil, err
	}
	views := consent.Galleries(a, looked.Today)
	return gallery.Links(views, secret, consent.Publish(a, looked.Today).Studio.URL)
}

// StudioError says that nothing can be published for the studio record's faults.
type StudioError struct{ archive *record.Archive }

func (e *StudioError) Error() string { return "the studio record has errors, so nothing is published" }

// Remedy says what to do.
func (e *StudioError) Remedy() string { return "run check and mend " + e.archive.Studio.File }
