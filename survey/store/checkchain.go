package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"undercroft/survey"
)

// checkChains checks what was issued, decided and finished, survey by survey.
func (a *Aside) checkChains(ctx context.Context, q query, c *Checkup) error {
	known, err := migrations()
	if err != nil {
		return err
	}
	if there, err := hasTable(ctx, q, "revision"); err != nil || !there {
		return err
	}
	decisions, err := hasTable(ctx, q, "approval")
	if err != nil {
		return err
	}
	rows, err := q.QueryContext(ctx, `SELECT id, title FROM survey ORDER BY id`)
	list, err := collect(rows, err, func(row scanner) (survey.Survey, error) {
		var v survey.Survey
		return v, row.Scan(&v.ID, &v.Title)
	})
	if err != nil {
		return fmt.Errorf("list surveys: %w", err)
	}
	for _, v := range list {
		if err := ctx.Err(); err != nil {
			return err
		}
		chains := a.checkOldChains
		if a.schema == len(known) {
			chains = a.checkAllChains
		}
		if err := chains(ctx, q, v, decisions, c); err != nil {
			if passing(ctx, err) {
				return err
			}
			c.add(DatabaseDamage, "%s cannot be read: %v", v.Title, err)
		}
	}
	return nil
}

// checkAllChains checks a survey whose rows this program knows whole.
func (a *Aside) checkAllChains(ctx context.Context, q query, v survey.Survey, _ bool, c *Checkup) error {
	all, err := findSnapshot(ctx, q, v.ID)
	if err != nil {
		return err
	}
	c.Revisions += len(all.Revisions)
	c.Decided += len(all.Approvals)
	a.checkRevisions(v, all.Revisions, c)
	for _, err := range []error{survey.CheckApprovals(all.Approvals, all.Revisions), survey.CheckFinishes(all.Finishes, all.Revisions), survey.CheckSeals(all)} {
		if err != nil {
			c.add(BrokenChain, "%s: %s", v.Title, survey.Message(err))
		}
	}
	return nil
}

// checkOldChains checks of a survey of an older schema what has not changed since: the revisions and, where they are, the decisions.
func (a *Aside) checkOldChains(ctx context.Context, q query, v survey.Survey, decisions bool, c *Checkup) error {
	issued, err := listRevisions(ctx, q, v.ID)
	if err != nil {
		return err
	}
	c.Revisions += len(issued)
	a.checkRevisions(v, issued, c)
	if !decisions {
		return nil
	}
	made, err := listApprovals(ctx, q, v.ID)
	if err != nil {
		return err
	}
	c.Decided += len(made)
	if err := survey.CheckApprovals(made, issued); err != nil {
		c.add(BrokenChain, "%s: %s", v.Title, survey.Message(err))
	}
	return nil
}

// checkRevisions holds each revision against its own content and the one before it. That the content has its bytes is checked with the other files.
func (a *Aside) checkRevisions(v survey.Survey, issued []survey.Revision, c *Checkup) {
	prev := ""
	for i, r := range issued {
		if r.Number != i+1 || r.Prev != prev {
			c.add(BrokenChain, "%s: revision %d does not follow the one before it", v.Title, r.Number)
		}
		prev = r.SHA256
		body, err := readContent(a.Open, r.SHA256)
		if errors.Is(err, fs.ErrNotExist) {
			continue // found as missing
		}
		var content frozenContent
		if err == nil {
			err = json.Unmarshal(body, &content)
		}
		switch sum := sha256.Sum256(body); {
		case err != nil:
			c.add(BrokenChain, "%s: revision %d cannot be read: %s", v.Title, r.Number, strings.TrimSpace(err.Error()))
		case hex.EncodeToString(sum[:]) != r.SHA256:
			c.add(BrokenChain, "%s: revision %d is not what was issued: its sum is another", v.Title, r.Number)
		case content.Survey != v.ID || content.Number != r.Number || content.Prev != r.Prev:
			c.add(BrokenChain, "%s: revision %d says of itself that it is another", v.Title, r.Number)
		}
	}
}
