package store

import (
	"context"
	"database/sql"
	"errors"

	"undercroft/survey"
)

// Company reads the contractor's own texts as they stand; the zero Company, with Version 0, while nothing was ever saved.
func (s *Store) Company(ctx context.Context) (survey.Company, error) {
	return read(ctx, s, "read company", func(ctx context.Context, q query) (survey.Company, error) {
		return findCompany(ctx, q)
	})
}

// SaveCompany replaces the contractor's texts; Version is the one they were made from, 0 for the first. What is sent as it is stored is not
// changed. Conflict with the stored company when that has changed since, Invalid when Validate refuses it.
func (s *Store) SaveCompany(ctx context.Context, c survey.Company) (survey.Company, error) {
	if err := c.Validate(); err != nil {
		return survey.Company{}, err
	}
	return write(ctx, s, "save company", func(ctx context.Context, t *tx) (survey.Company, error) {
		return saveCompany(ctx, t, c)
	})
}

const companyColumns = `version, name, address, phone, license, terms, cancellation, care, valid_days, keep_years, updated_at`

func scanCompany(row scanner) (survey.Company, error) {
	var c survey.Company
	var updated int64
	err := row.Scan(&c.Version, &c.Name, &c.Address, &c.Phone, &c.License, &c.Terms, &c.Cancellation, &c.Care, &c.ValidDays, &c.KeepYears, &updated)
	if err != nil {
		return survey.Company{}, err
	}
	c.UpdatedAt = storedTime(updated)
	return c, nil
}

// findCompany reads the highest version; the zero Company when there is none.
func findCompany(ctx context.Context, q query) (survey.Company, error) {
	c, err := scanCompany(q.QueryRowContext(ctx, `SELECT `+companyColumns+` FROM company ORDER BY version DESC LIMIT 1`))
	if errors.Is(err, sql.ErrNoRows) {
		return survey.Company{}, nil
	}
	return c, err
}

// sameCompany tells whether two say the same, whatever their versions and times.
func sameCompany(a, b survey.Company) bool {
	b.Version, b.UpdatedAt = a.Version, a.UpdatedAt
	return a == b
}

func saveCompany(ctx context.Context, t *tx, c survey.Company) (survey.Company, error) {
	stored, err := findCompany(ctx, t)
	switch {
	case err != nil:
		return survey.Company{}, err
	case c.Version <= stored.Version && sameCompany(stored, c):
		return stored, nil
	case c.Version != stored.Version:
		return survey.Company{}, conflict(stored, "Somebody else changed the company’s texts in the meantime. Nothing of yours was saved yet.")
	}
	c.Version, c.UpdatedAt = stored.Version+1, t.now
	_, err = t.ExecContext(ctx, `INSERT INTO company (`+companyColumns+`) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		c.Version, c.Name, c.Address, c.Phone, c.License, c.Terms, c.Cancellation, c.Care, c.ValidDays, c.KeepYears, t.now.UnixMilli())
	if err != nil {
		return survey.Company{}, err
	}
	return c, nil
}
