-- How a survey ends: the work was finished, the client signed it off, it was opened again for a reason. One row an act, each with the hash of the one before it. What a
-- finishing says lies frozen among the blobs under its sum; the sign-off and the reopening name the finishing that they are about by the same sum.
CREATE TABLE finish (
  survey    TEXT    NOT NULL REFERENCES survey (id),
  seq       INTEGER NOT NULL CHECK (seq >= 1),
  act       TEXT    NOT NULL CHECK (act IN ('finished', 'signed', 'reopened')),
  sha256    TEXT    NOT NULL CHECK (length(sha256) = 64), -- of what the finishing says
  approved  INTEGER NOT NULL CHECK (approved >= 0),       -- the revision that the work was held against, 0 for none
  by        TEXT    NOT NULL,                             -- who finished, opened again, or handed the phone over
  reason    TEXT    NOT NULL CHECK (act <> 'reopened' OR reason <> ''),
  name      TEXT    NOT NULL CHECK ((act = 'signed') = (name <> '')), -- from here: of a sign-off alone
  consent   TEXT    NOT NULL,
  lang      TEXT    NOT NULL,
  link      TEXT    NOT NULL CHECK ((link = '') = (by <> '')), -- '' in person
  address   TEXT    NOT NULL,
  agent     TEXT    NOT NULL,
  signature TEXT    NOT NULL,
  at        INTEGER NOT NULL,
  prev      TEXT    NOT NULL CHECK (length(prev) = CASE seq WHEN 1 THEN 0 ELSE 64 END), -- hash of the act before
  hash      TEXT    NOT NULL CHECK (length(hash) = 64),
  PRIMARY KEY (survey, seq)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER finish_is_not_updated BEFORE UPDATE ON finish BEGIN SELECT RAISE (ABORT, 'how a survey ended is never changed'); END;
CREATE TRIGGER finish_is_not_deleted BEFORE DELETE ON finish BEGIN SELECT RAISE (ABORT, 'how a survey ended is never deleted'); END;
CREATE TRIGGER finish_is_not_replaced BEFORE INSERT ON finish WHEN EXISTS (SELECT 1 FROM finish WHERE survey = NEW.survey AND seq = NEW.seq)
BEGIN SELECT RAISE (ABORT, 'how a survey ended is never replaced'); END;

PRAGMA user_version = 6;
