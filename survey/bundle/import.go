package bundle

import (
	"context"
	"fmt"
	"io"

	"undercroft/survey"
	"undercroft/survey/store"
)

// Target is where a bundle is imported to; a store is one.
type Target interface {
	ReceiveBlob(ctx context.Context, r io.Reader, max int64) (store.Blob, error)
	Restore(ctx context.Context, v survey.Snapshot) error
}

// Import stores a checked bundle's files and then its survey, which is the same survey there: ids, numbers, versions, times and bytes. A survey that is there already
// and is the same changes nothing; one that differs is a Conflict, and nothing of it is changed.
func (b *Bundle) Import(ctx context.Context, to Target) error {
	for name, sum := range b.sums {
		if name == surveyName {
			continue
		}
		if err := b.importFile(ctx, to, name, sum); err != nil {
			return err
		}
	}
	return to.Restore(ctx, b.Snapshot)
}

func (b *Bundle) importFile(ctx context.Context, to Target, name, sum string) error {
	r, err := b.files[name].Open()
	if err != nil {
		return refuse("%s cannot be unpacked", name)
	}
	defer r.Close()
	blob, err := to.ReceiveBlob(ctx, r, int64(b.files[name].UncompressedSize64)) // #nosec G115 -- list has bounded it by maxTotal
	if err != nil {
		return fmt.Errorf("import %s: %w", name, err)
	}
	if blob.SHA256 != sum {
		return refuse("%s changed while it was read", name)
	}
	return nil
}
