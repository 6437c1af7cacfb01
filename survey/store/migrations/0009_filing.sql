-- Where a survey is kept: among the others, in the archive, or deleted, which is forgotten after a while. One row an act; the newest one holds.
CREATE TABLE filing (
  survey TEXT    NOT NULL REFERENCES survey (id),
  seq    INTEGER NOT NULL CHECK (seq >= 1),
  act    TEXT    NOT NULL CHECK (act IN ('archived', 'deleted', 'returned')),
  by     TEXT    NOT NULL, -- '' when nobody is signed in
  at     INTEGER NOT NULL,
  PRIMARY KEY (survey, seq)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER filing_is_not_updated BEFORE UPDATE ON filing BEGIN SELECT RAISE (ABORT, 'where a survey was kept is never changed'); END;
CREATE TRIGGER filing_is_not_replaced BEFORE INSERT ON filing WHEN EXISTS (SELECT 1 FROM filing WHERE survey = NEW.survey AND seq = NEW.seq)
BEGIN SELECT RAISE (ABORT, 'where a survey was kept is never replaced'); END;

-- A survey of which nothing is left but this row. It is written first: what is never deleted may then be, of this survey alone.
CREATE TABLE erasure (
  survey TEXT    NOT NULL PRIMARY KEY CHECK (length(survey) = 36),
  seq    INTEGER NOT NULL, -- of the store's sequence, so that its numbers never come twice
  reason TEXT    NOT NULL CHECK (reason IN ('asked', 'kept long enough', 'deleted')),
  by     TEXT    NOT NULL, -- '' when nobody is signed in
  at     INTEGER NOT NULL,
  totals TEXT    NOT NULL CHECK (json_type(totals) = 'object') -- counts, sums and dates; no names, no texts
) STRICT, WITHOUT ROWID;

CREATE TRIGGER erasure_is_not_updated BEFORE UPDATE ON erasure BEGIN SELECT RAISE (ABORT, 'an erasure is never changed'); END;
CREATE TRIGGER erasure_is_not_deleted BEFORE DELETE ON erasure BEGIN SELECT RAISE (ABORT, 'an erasure is never deleted'); END;
CREATE TRIGGER erasure_is_not_replaced BEFORE INSERT ON erasure WHEN EXISTS (SELECT 1 FROM erasure WHERE survey = NEW.survey)
BEGIN SELECT RAISE (ABORT, 'an erasure is never replaced'); END;

-- The blobs that an erased survey named and that are still to be looked at: each is removed unless another survey names it.
CREATE TABLE erased_blob (
  survey TEXT NOT NULL REFERENCES erasure (survey),
  sha256 TEXT NOT NULL CHECK (length(sha256) = 64),
  PRIMARY KEY (survey, sha256)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER filing_is_not_deleted BEFORE DELETE ON filing WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'where a survey was kept is never deleted'); END;
DROP TRIGGER history_is_not_deleted;
CREATE TRIGGER history_is_not_deleted BEFORE DELETE ON history WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'history is never deleted'); END;
DROP TRIGGER revision_is_not_deleted;
CREATE TRIGGER revision_is_not_deleted BEFORE DELETE ON revision WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'an issued revision is never deleted'); END;
DROP TRIGGER rendition_is_not_deleted;
CREATE TRIGGER rendition_is_not_deleted BEFORE DELETE ON rendition WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'a report of a revision is never deleted'); END;
DROP TRIGGER link_is_not_deleted;
CREATE TRIGGER link_is_not_deleted BEFORE DELETE ON link WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'a link is revoked, never deleted'); END;
DROP TRIGGER inquiry_is_not_deleted;
CREATE TRIGGER inquiry_is_not_deleted BEFORE DELETE ON inquiry WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'a question is never deleted'); END;
DROP TRIGGER approval_is_not_deleted;
CREATE TRIGGER approval_is_not_deleted BEFORE DELETE ON approval WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'a decision is never deleted'); END;
DROP TRIGGER finish_is_not_deleted;
CREATE TRIGGER finish_is_not_deleted BEFORE DELETE ON finish WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'how a survey ended is never deleted'); END;
DROP TRIGGER review_is_not_deleted;
CREATE TRIGGER review_is_not_deleted BEFORE DELETE ON review WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'a review is never deleted'); END;
DROP TRIGGER remark_is_not_deleted;
CREATE TRIGGER remark_is_not_deleted BEFORE DELETE ON remark WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'what was said is never deleted'); END;
DROP TRIGGER verification_is_not_deleted;
CREATE TRIGGER verification_is_not_deleted BEFORE DELETE ON verification WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'a verification is never deleted'); END;
DROP TRIGGER seal_is_not_deleted;
CREATE TRIGGER seal_is_not_deleted BEFORE DELETE ON seal WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'a seal is never deleted'); END;

-- When the house, as it is known, changed last: what a revision says may differ from then on. What only keeps the books of the survey does not count. A trigger sees every
-- entry of the history, also one that comes with a bundle.
ALTER TABLE survey ADD COLUMN content_at INTEGER NOT NULL DEFAULT 0;
UPDATE survey SET content_at = coalesce((SELECT max(at) FROM history h WHERE h.survey = survey.id AND NOT
  (kind = 'fact' AND (record = 'ready' OR record GLOB 'ready.*' OR record GLOB 'walk.*' OR record GLOB 'finish.*'))), created_at);
CREATE TRIGGER history_tells_content AFTER INSERT ON history WHEN NOT (NEW.kind = 'fact' AND (NEW.record = 'ready' OR NEW.record GLOB 'ready.*' OR NEW.record GLOB 'walk.*' OR NEW.record GLOB 'finish.*'))
BEGIN UPDATE survey SET content_at = max(content_at, NEW.at) WHERE id = NEW.survey; END;
CREATE TRIGGER verification_tells_content AFTER INSERT ON verification
BEGIN UPDATE survey SET content_at = max(content_at, NEW.at) WHERE id = NEW.survey; END;

-- How many years a finished or declined survey is kept before the office is asked whether it may go; 0: it is never asked.
ALTER TABLE company ADD COLUMN keep_years INTEGER NOT NULL DEFAULT 0 CHECK (keep_years BETWEEN 0 AND 50);

PRAGMA user_version = 9;
