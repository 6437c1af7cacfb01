-- Links to the scope of one revision. The secret is known here by its SHA-256 alone: whoever reads this table cannot make the address from it. A link that came with
-- a bundle has none and never works here.
CREATE TABLE link (
  id           TEXT    NOT NULL PRIMARY KEY,
  survey       TEXT    NOT NULL,
  number       INTEGER NOT NULL,
  token_sha256 BLOB    UNIQUE CHECK (length(token_sha256) = 32),
  by           TEXT    NOT NULL,
  at           INTEGER NOT NULL,
  expires_at   INTEGER NOT NULL CHECK (expires_at > at),
  revoked_at   INTEGER,
  revoked_by   TEXT    NOT NULL DEFAULT '',
  FOREIGN KEY (survey, number) REFERENCES revision (survey, number)
) STRICT, WITHOUT ROWID;

CREATE INDEX link_survey ON link (survey, at);
CREATE TRIGGER link_is_not_deleted BEFORE DELETE ON link BEGIN SELECT RAISE (ABORT, 'a link is revoked, never deleted'); END;
CREATE TRIGGER link_is_only_revoked BEFORE UPDATE ON link WHEN OLD.revoked_at IS NOT NULL OR NEW.revoked_at IS NULL OR NEW.id IS NOT OLD.id OR NEW.survey IS NOT OLD.survey
  OR NEW.number IS NOT OLD.number OR NEW.token_sha256 IS NOT OLD.token_sha256 OR NEW.by IS NOT OLD.by OR NEW.at IS NOT OLD.at OR NEW.expires_at IS NOT OLD.expires_at
BEGIN SELECT RAISE (ABORT, 'a link is revoked, never changed'); END;
CREATE TRIGGER link_is_not_replaced BEFORE INSERT ON link WHEN EXISTS (SELECT 1 FROM link WHERE id = NEW.id OR token_sha256 = NEW.token_sha256)
BEGIN SELECT RAISE (ABORT, 'a link is never replaced'); END;

-- What the homeowner asks about a revision. It is answered once.
CREATE TABLE inquiry (
  id          TEXT    NOT NULL PRIMARY KEY,
  survey      TEXT    NOT NULL,
  number      INTEGER NOT NULL,
  link        TEXT    NOT NULL REFERENCES link (id),
  name        TEXT    NOT NULL,
  text        TEXT    NOT NULL CHECK (length(text) >= 1),
  at          INTEGER NOT NULL,
  answer      TEXT    NOT NULL DEFAULT '',
  answered_by TEXT    NOT NULL DEFAULT '',
  answered_at INTEGER,
  FOREIGN KEY (survey, number) REFERENCES revision (survey, number)
) STRICT, WITHOUT ROWID;

CREATE INDEX inquiry_survey ON inquiry (survey, at);
CREATE TRIGGER inquiry_is_not_deleted BEFORE DELETE ON inquiry BEGIN SELECT RAISE (ABORT, 'a question is never deleted'); END;
CREATE TRIGGER inquiry_is_only_answered BEFORE UPDATE ON inquiry WHEN OLD.answered_at IS NOT NULL OR NEW.answered_at IS NULL OR NEW.id IS NOT OLD.id OR NEW.survey IS NOT OLD.survey
  OR NEW.number IS NOT OLD.number OR NEW.link IS NOT OLD.link OR NEW.name IS NOT OLD.name OR NEW.text IS NOT OLD.text OR NEW.at IS NOT OLD.at
BEGIN SELECT RAISE (ABORT, 'a question is answered once, never changed'); END;
CREATE TRIGGER inquiry_is_not_replaced BEFORE INSERT ON inquiry WHEN EXISTS (SELECT 1 FROM inquiry WHERE id = NEW.id)
BEGIN SELECT RAISE (ABORT, 'a question is never replaced'); END;

-- What the homeowner decided: one row a revision, each with the hash of the one before it.
CREATE TABLE approval (
  survey    TEXT    NOT NULL,
  seq       INTEGER NOT NULL CHECK (seq >= 1),
  number    INTEGER NOT NULL,
  sha256    TEXT    NOT NULL CHECK (length(sha256) = 64), -- of the revision's content
  decision  TEXT    NOT NULL CHECK (decision IN ('approved', 'declined')),
  name      TEXT    NOT NULL CHECK (length(name) >= 1),
  reason    TEXT    NOT NULL,
  consent   TEXT    NOT NULL,
  lang      TEXT    NOT NULL,
  at        INTEGER NOT NULL,
  link      TEXT    NOT NULL, -- '' in person
  made_with TEXT    NOT NULL CHECK ((link = '') <> (made_with = '')), -- who handed the phone over
  address   TEXT    NOT NULL,
  agent     TEXT    NOT NULL,
  signature TEXT    NOT NULL,
  prev      TEXT    NOT NULL CHECK (length(prev) = CASE seq WHEN 1 THEN 0 ELSE 64 END), -- hash of the decision before
  hash      TEXT    NOT NULL CHECK (length(hash) = 64),
  PRIMARY KEY (survey, seq),
  UNIQUE (survey, number),
  FOREIGN KEY (survey, number) REFERENCES revision (survey, number)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER approval_is_not_updated BEFORE UPDATE ON approval BEGIN SELECT RAISE (ABORT, 'a decision is never changed'); END;
CREATE TRIGGER approval_is_not_deleted BEFORE DELETE ON approval BEGIN SELECT RAISE (ABORT, 'a decision is never deleted'); END;
CREATE TRIGGER approval_is_not_replaced BEFORE INSERT ON approval WHEN EXISTS (SELECT 1 FROM approval WHERE survey = NEW.survey AND (seq = NEW.seq OR number = NEW.number))
BEGIN SELECT RAISE (ABORT, 'a decision is never replaced'); END;

PRAGMA user_version = 5;
