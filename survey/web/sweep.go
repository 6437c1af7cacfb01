package web

import (
	"context"
	"errors"
	"time"

	"undercroft/survey"
)

// sweepEvery is the time between two looks for deleted surveys whose days are over, and for files of erased ones that a backup kept from being removed.
const sweepEvery = time.Hour

// Sweep finishes at once what an erasure has left, and then, every hour until ctx ends, erases the surveys that were deleted and not taken back in time. What goes wrong is in
// the log, and tried again the next hour.
func (s *Server) Sweep(ctx context.Context) { s.sweepEach(ctx, sweepEvery) }

// sweepEach is Sweep with the time between two looks. Nothing is erased before the first of them: the clock of a machine that has just started may not be set yet.
func (s *Server) sweepEach(ctx context.Context, every time.Duration) {
	ticker := time.NewTicker(every)
	defer ticker.Stop()
	if err := s.store.Sweep(ctx); err != nil && ctx.Err() == nil {
		s.log.Error("an erasure was not finished", "error", err.Error())
	}
	for {
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
		}
		if n, err := s.eraseOverdue(ctx); err != nil && ctx.Err() == nil {
			s.log.Error("deleted surveys were not all erased", "erased", n, "error", err.Error())
		} else if n > 0 {
			s.log.Info("erased surveys that were deleted long enough ago", "erased", n)
		}
	}
}

// eraseOverdue erases them and tells how many; it also finishes what an erasure has left. One that fails does not keep the others, and one that was taken back meanwhile
// stays.
func (s *Server) eraseOverdue(ctx context.Context) (int, error) {
	errs := []error{s.store.Sweep(ctx)}
	all, err := s.store.Standings(ctx)
	if err != nil {
		return 0, errors.Join(append(errs, err)...)
	}
	erased, err := s.eraseListed(ctx, all)
	return erased, errors.Join(append(errs, err)...)
}

// eraseListed erases those of a list that are overdue. The list may be old: each is looked at again when its turn comes.
func (s *Server) eraseListed(ctx context.Context, all []survey.Standing) (erased int, err error) {
	var errs []error
	for _, v := range all {
		filed := survey.Filing{Act: v.Filed, At: v.FiledAt}
		if v.Filed != survey.Deleted || s.now().Before(filed.ErasedOn(s.store.Restored())) || ctx.Err() != nil {
			continue
		}
		switch err := s.eraseDeleted(ctx, v.ID); {
		case err == nil:
			erased++
		case survey.KindOf(err) != survey.Conflict:
			errs = append(errs, err)
		}
	}
	if erased > 0 {
		errs = append(errs, s.store.Sweep(ctx))
	}
	return erased, errors.Join(errs...)
}

// eraseDeleted erases the rows of one of them; its files go with the store's next Sweep. Conflict when it was taken back.
func (s *Server) eraseDeleted(ctx context.Context, id survey.SurveyID) error {
	h, err := s.heldOf(ctx, id)
	if err != nil {
		return err
	}
	_, err = s.store.EraseRows(ctx, survey.Erasure{Survey: id, Reason: survey.ErasedDeleted, Totals: h.totals})
	return err
}
