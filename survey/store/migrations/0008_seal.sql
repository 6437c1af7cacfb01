-- A seal on each record that was issued, sent, asked, answered or decided: what it said when it was made. One chain a survey, each seal with the hash of the one before.
CREATE TABLE seal (
  survey TEXT    NOT NULL REFERENCES survey (id),
  seq    INTEGER NOT NULL CHECK (seq >= 1),
  kind   TEXT    NOT NULL CHECK (length(kind) >= 1),
  record TEXT    NOT NULL, -- the record's number or id
  sum    TEXT    NOT NULL CHECK (length(sum) = 64), -- of what it said
  prev   TEXT    NOT NULL CHECK (length(prev) = CASE seq WHEN 1 THEN 0 ELSE 64 END), -- hash of the seal before
  hash   TEXT    NOT NULL CHECK (length(hash) = 64),
  PRIMARY KEY (survey, seq),
  UNIQUE (survey, kind, record)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER seal_is_not_updated BEFORE UPDATE ON seal BEGIN SELECT RAISE (ABORT, 'a seal is never changed'); END;
CREATE TRIGGER seal_is_not_deleted BEFORE DELETE ON seal BEGIN SELECT RAISE (ABORT, 'a seal is never deleted'); END;
CREATE TRIGGER seal_is_not_replaced BEFORE INSERT ON seal WHEN EXISTS (SELECT 1 FROM seal WHERE survey = NEW.survey AND (seq = NEW.seq OR kind = NEW.kind AND record = NEW.record))
BEGIN SELECT RAISE (ABORT, 'a seal is never replaced'); END;

PRAGMA user_version = 8;
