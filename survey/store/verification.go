package store

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"undercroft/survey"
)

// Verify keeps values that were measured on site and puts them in place, in one transaction; one that Withdraws another puts back what stood before. What stands must still be
// its Was, else it is a Conflict. A verification whose id is there changes nothing. NotFound when there is no such pin any more; Invalid when as many are kept as may be.
func (s *Store) Verify(ctx context.Context, v survey.Verification) (survey.Verification, error) {
	if _, err := survey.ParseID(v.ID); err != nil {
		return survey.Verification{}, err
	}
	return write(ctx, s, "verify values", func(ctx context.Context, t *tx) (survey.Verification, error) {
		r, err := findRecord(ctx, t, v.Survey)
		if err != nil {
			return survey.Verification{}, err
		}
		if i := slices.IndexFunc(r.Verified, func(o survey.Verification) bool { return o.ID == v.ID }); i >= 0 {
			return r.Verified[i], nil
		}
		if err := taken(ctx, t, "verification", v.ID); err != nil {
			return survey.Verification{}, err
		}
		if len(r.Verified) >= survey.MaxVerifications {
			return survey.Verification{}, survey.Errorf(survey.Invalid, "%d values were verified already; no more are kept. Correct it on its pin.", len(r.Verified))
		}
		if v.Pin != "" {
			if _, there := r.Pin(v.Pin); !there {
				return survey.Verification{}, survey.Errorf(survey.NotFound, "This pin is not there any more: somebody has deleted it.")
			}
		}
		for key, was := range v.Was {
			if r.Standing(v.Pin, key) != was {
				return survey.Verification{}, survey.Errorf(survey.Conflict, "Somebody changed this meanwhile. Look at what stands now, then type what you measured again.")
			}
		}
		v.Seq, v.At = len(r.Verified)+1, t.now
		if err := putVerified(ctx, t, r, v); err != nil {
			return survey.Verification{}, err
		}
		if err := insertVerification(ctx, t, v); err != nil {
			return survey.Verification{}, err
		}
		return v, seal(ctx, t, v.Survey, v.Sealed())
	})
}

// putVerified puts the values in place as any change of a pin or fact.
func putVerified(ctx context.Context, t *tx, r survey.Record, v survey.Verification) error {
	pin, facts := v.Apply(r)
	if v.Pin != "" {
		_, err := putPin(ctx, t, pin)
		return err
	}
	if err := checkFacts(v.Survey, facts); err != nil {
		return err
	}
	_, err := putFacts(ctx, t, v.Survey, facts)
	return err
}

func insertVerification(ctx context.Context, t *tx, v survey.Verification) error {
	set, err := json.Marshal(v.Set)
	if err != nil {
		return fmt.Errorf("write what was measured: %w", err)
	}
	was, err := json.Marshal(v.Was)
	if err != nil {
		return fmt.Errorf("write what stood before: %w", err)
	}
	_, err = t.ExecContext(ctx, `INSERT INTO verification (`+verificationColumns+`) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		v.ID, v.Survey, v.Seq, v.Pin, string(set), string(was), v.Before, v.Withdraws, v.By, v.At.UnixMilli())
	return err
}

const verificationColumns = `id, survey, seq, pin, set_values, was_values, before_words, withdraws, by, at`

func scanVerification(row scanner) (survey.Verification, error) {
	var v survey.Verification
	var set, was string
	var at int64
	if err := row.Scan(&v.ID, &v.Survey, &v.Seq, &v.Pin, &set, &was, &v.Before, &v.Withdraws, &v.By, &at); err != nil {
		return survey.Verification{}, err
	}
	if err := json.Unmarshal([]byte(set), &v.Set); err != nil {
		return survey.Verification{}, fmt.Errorf("read what was measured: %w", err)
	}
	if err := json.Unmarshal([]byte(was), &v.Was); err != nil {
		return survey.Verification{}, fmt.Errorf("read what stood before: %w", err)
	}
	v.At = storedTime(at)
	return v, nil
}

func listVerifications(ctx context.Context, q query, in survey.SurveyID) ([]survey.Verification, error) {
	rows, err := q.QueryContext(ctx, `SELECT `+verificationColumns+` FROM verification WHERE survey = ? ORDER BY seq`, in)
	return collect(rows, err, scanVerification)
}

// readSaid reads what staff said, reviewed and verified into a record.
func readSaid(ctx context.Context, q query, r *survey.Record) error {
	var err error
	if r.Remarks, err = listRemarks(ctx, q, r.Survey.ID); err != nil {
		return err
	}
	if r.Reviews, err = listReviews(ctx, q, r.Survey.ID); err != nil {
		return err
	}
	r.Verified, err = listVerifications(ctx, q, r.Survey.ID)
	return err
}

// restoreSaid writes what staff said, reviewed and verified, as it was elsewhere.
func restoreSaid(ctx context.Context, t *tx, r survey.Record) error {
	for _, m := range r.Remarks {
		if err := taken(ctx, t, "remark", m.ID); err != nil {
			return err
		}
		m.Survey = r.Survey.ID
		if err := insertRemark(ctx, t, m); err != nil {
			return err
		}
	}
	for _, v := range r.Reviews {
		v.Survey = r.Survey.ID
		if err := insertReview(ctx, t, v); err != nil {
			return err
		}
	}
	for _, v := range r.Verified {
		if err := taken(ctx, t, "verification", v.ID); err != nil {
			return err
		}
		v.Survey = r.Survey.ID
		if err := insertVerification(ctx, t, v); err != nil {
			return err
		}
	}
	return nil
}
