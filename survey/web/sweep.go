package web

import (
	"context"
	"errors"
	"time"

	"undercroft/survey"
)

// sweepEvery is the time between two looks for deleted surveys whose days are over, and for files of erased ones that a backup kept from being removed.
const sweepEvery = time.Hour

// Sweep erases, now and every hour until ctx ends, the surveys that were deleted and not taken back in time. What goes wrong is in the log, and tried again the next hour.
func (s *Server) Sweep(ctx context.Context) {
	ticker := time.NewTicker(sweepEvery)
	defer ticker.Stop()
	for {
		if n, err := s.eraseOverdue(ctx); err != nil && ctx.Err() == nil {
			s.log.Error("deleted surveys were not all erased", "erased", n, "error", err.Error())
		} else if n > 0 {
			s.log.Info("erased surveys that were deleted long enough ago", "erased", n)
		}
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
		}
	}
}

// eraseOverdue erases them and tells how many; it also finishes what an erasure has left. One that fails does not keep the others.
func (s *Server) eraseOverdue(ctx context.Context) (int, error) {
	errs := []error{s.store.Sweep(ctx)}
	all, err := s.store.Standings(ctx)
	if err != nil {
		return 0, errors.Join(append(errs, err)...)
	}
	erased := 0
	for _, v := range all {
		filed := survey.Filing{Act: v.Filed, At: v.FiledAt}
		if v.Filed != survey.Deleted || s.now().Before(filed.ErasedOn()) || ctx.Err() != nil {
			continue
		}
		h, err := s.heldOf(ctx, v.ID)
		if err == nil {
			_, err = s.store.Erase(ctx, survey.Erasure{Survey: v.ID, Reason: survey.ErasedDeleted, Totals: h.totals})
		}
		if errs = append(errs, err); err == nil {
			erased++
		}
	}
	return erased, errors.Join(errs...)
}
