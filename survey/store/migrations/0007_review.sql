-- Who has gone through a survey before arriving, and which state of it: revision is the newest one then, 0 while none was issued, and sha256 is that of the state,
-- whose content lies among the blobs. What was reviewed stays; a later review stands beside it.
CREATE TABLE review (
  survey   TEXT    NOT NULL REFERENCES survey (id),
  seq      INTEGER NOT NULL CHECK (seq >= 1),
  by       TEXT    NOT NULL CHECK (length(by) >= 1),
  at       INTEGER NOT NULL,
  revision INTEGER NOT NULL CHECK (revision >= 0),
  sha256   TEXT    NOT NULL CHECK (length(sha256) = 64),
  PRIMARY KEY (survey, seq)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER review_is_not_updated BEFORE UPDATE ON review BEGIN SELECT RAISE (ABORT, 'a review is never changed'); END;
CREATE TRIGGER review_is_not_deleted BEFORE DELETE ON review BEGIN SELECT RAISE (ABORT, 'a review is never deleted'); END;
CREATE TRIGGER review_is_not_replaced BEFORE INSERT ON review WHEN EXISTS (SELECT 1 FROM review WHERE survey = NEW.survey AND seq = NEW.seq)
BEGIN SELECT RAISE (ABORT, 'a review is never replaced'); END;

-- What is said between staff: a question, its answers, and what is asked further. question is the id of the remark that asked first, its own for that one; only that
-- one says what the question is about. Photo is '' or one of the survey's.
CREATE TABLE remark (
  id       TEXT    NOT NULL PRIMARY KEY CHECK (length(id) = 36),
  survey   TEXT    NOT NULL REFERENCES survey (id),
  question TEXT    NOT NULL REFERENCES remark (id),
  kind     TEXT    NOT NULL CHECK (kind IN ('ask', 'answer')),
  subject  TEXT    NOT NULL CHECK (subject IN ('', 'survey', 'pin', 'photo', 'fact', 'line') AND (subject = '') = (question <> id)),
  target   TEXT    NOT NULL,
  about    TEXT    NOT NULL, -- the subject in words, as it was called then
  text     TEXT    NOT NULL CHECK (length(text) >= 1),
  photo    TEXT    NOT NULL,
  by       TEXT    NOT NULL CHECK (length(by) >= 1),
  at       INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX remark_survey ON remark (survey, at);
CREATE TRIGGER remark_is_not_updated BEFORE UPDATE ON remark BEGIN SELECT RAISE (ABORT, 'what was said is never changed'); END;
CREATE TRIGGER remark_is_not_deleted BEFORE DELETE ON remark BEGIN SELECT RAISE (ABORT, 'what was said is never deleted'); END;
CREATE TRIGGER remark_is_not_replaced BEFORE INSERT ON remark WHEN EXISTS (SELECT 1 FROM remark WHERE id = NEW.id)
BEGIN SELECT RAISE (ABORT, 'what was said is never replaced'); END;

-- Values that somebody measured on site in place of what stood there: of a pin, or of a fact of the deck (then pin is ''). set_values is what was typed, was_values what
-- stood before, both by the keys of the fields, before_words what that was and how it was got. withdraws is the id of the verification that is taken back, else ''.
CREATE TABLE verification (
  id           TEXT    NOT NULL PRIMARY KEY CHECK (length(id) = 36),
  survey       TEXT    NOT NULL REFERENCES survey (id),
  seq          INTEGER NOT NULL CHECK (seq >= 1),
  pin          TEXT    NOT NULL,
  set_values   TEXT    NOT NULL CHECK (json_type(set_values) = 'object'),
  was_values   TEXT    NOT NULL CHECK (json_type(was_values) = 'object'),
  before_words TEXT    NOT NULL,
  withdraws    TEXT    NOT NULL,
  by           TEXT    NOT NULL CHECK (length(by) >= 1),
  at           INTEGER NOT NULL,
  UNIQUE (survey, seq)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER verification_is_not_updated BEFORE UPDATE ON verification BEGIN SELECT RAISE (ABORT, 'a verification is never changed'); END;
CREATE TRIGGER verification_is_not_deleted BEFORE DELETE ON verification BEGIN SELECT RAISE (ABORT, 'a verification is never deleted'); END;
CREATE TRIGGER verification_is_not_replaced BEFORE INSERT ON verification WHEN EXISTS (SELECT 1 FROM verification WHERE id = NEW.id OR survey = NEW.survey AND seq = NEW.seq)
BEGIN SELECT RAISE (ABORT, 'a verification is never replaced'); END;

PRAGMA user_version = 7;
